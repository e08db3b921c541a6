import type { ClosureWindow, WorkPass } from '../../analytics/closures/closure-plan.ts';
import { rateKey } from '../../analytics/closures/operation-rates.ts';
import { refusedClass } from '../../analytics/closures/sealant-rules.ts';
import { shiftMinutes } from '../../analytics/closures/shift-minutes.ts';
import { type ResealJob, workPasses } from '../../analytics/closures/work-blocks.ts';
import { resealOperations } from '../../analytics/closures/work-operations.ts';
import type { ClosureRules, WindowRule } from '../schemas/closure-rules.ts';
import type { ClosureProduction } from '../schemas/closures.ts';
import type { SealantClass } from '../schemas/words.ts';
import type { Store } from '../store/store.ts';
import type { ClosingUnit } from './closing-unit.ts';
import { closingWorks } from './closing-work.ts';
import { unitFits, windowsOf } from './plan-windows.ts';
import { readWorkOfYear, resealJob } from './planned-work.ts';
import { workSettings } from './work-settings.ts';

type Row = ClosureProduction['rows'][number];

/** Segments that are resealed alike, whatever class is there. */
interface AlikeWork {
  readonly job: ResealJob;
  readonly inPlace: Set<SealantClass | null>;
  /** What closes, by id. */ readonly units: Map<string, { readonly unit: ClosingUnit; lengthM: number }>;
}

/** What one closure of each kind of window holds of the year's work, before weather, order and other closures count. */
export async function closureProduction(store: Store, rules: ClosureRules): Promise<ClosureProduction> {
  const { planned } = await readWorkOfYear(store, rules);
  const alike = new Map<string, AlikeWork>();
  let refusedM = 0;
  for (const each of closingWorks(planned, rules, await store.closures.readDirections())) {
    const job = resealJob(each, rules);
    if (refusedClass(job.newClass, job.fuelExposure) !== null) {
      refusedM += job.lengthM;
      continue;
    }
    const key = likeness(job);
    const group = alike.get(key) ?? { job, inPlace: new Set(), units: new Map() };
    group.inPlace.add(each.planned.work.sealantClassInPlace);
    const at = group.units.get(each.unit.id) ?? { unit: each.unit, lengthM: 0 };
    at.lengthM += job.lengthM;
    group.units.set(each.unit.id, at);
    alike.set(key, group);
  }
  const rows = rules.windows.flatMap((rule, window) =>
    [...alike.values()].flatMap((work) => productionIn(rules, { rule, window }, work) ?? []),
  );
  return { rows: rows.sort((a, b) => a.window - b.window || b.lengthM - a.lengthM), refusedM };
}

/** Of the same operations at the same rates. */
const likeness = (job: ResealJob): string => {
  const operations = resealOperations(job).map(({ kind }) => kind);
  return [job.newClass, rateKey('remove-old-seal', job), ...operations].join(' ');
};

/** Of one kind of window and one kind of work; null where the two never meet. */
function productionIn(
  rules: ClosureRules,
  { rule, window }: { readonly rule: WindowRule; readonly window: number },
  { job, inPlace, units }: AlikeWork,
): Row | null {
  const fitting = [...units.values()].filter(({ unit }) => unitFits(rule, unit));
  if (fitting.length === 0) return null;
  const windows = windowsOf({ ...rules, windows: [rule] }, fitting[0].unit);
  const lengthM = fitting.reduce((sum, each) => sum + each.lengthM, 0);
  const row = {
    ...{ window, windows: windows.length, lengthM },
    sealsInPlace: [...inPlace],
    sealantClass: job.newClass as SealantClass,
    facilities: new Set(fitting.map(({ unit }) => unit.facility.id)).size,
  };
  const none = (why: string): Row => ({ ...row, workMinutes: 0, metres: null, closures: null, why });
  const [first] = windows;
  if (!first) return none('The season holds no such day.');
  const longest = Math.max(...first.shifts.map(({ startMinute, endMinute }) => endMinute - startMinute));
  const passes = workPasses(job, workSettings(rules, longest));
  const minutes = passes.map((pass) => workMinutes(rules, first, pass));
  const workable = Math.min(...minutes);
  if (passes.some(({ afterPrevious }) => afterPrevious?.sameClosure))
    return none(`Joints dry ${rules.dryingHours} h between two parts of the work: the schedule works it out.`);
  if (workable <= 0) return none('Set-up, clear-away and the time to opening leave no time for work.');
  const paces = rules.crews.map(({ id }) =>
    passes.reduce((sum, pass, i) => sum + (pass.minutesPerM[id] ?? Number.POSITIVE_INFINITY) / minutes[i], 0),
  );
  const fastest = paces
    .filter(Number.isFinite)
    .sort((a, b) => a - b)
    .slice(0, rules.crewsAtOnce);
  if (fastest.length === 0) return none('No crew has the teams and machines for it.');
  const metres = fastest.reduce((sum, closuresPerM) => sum + 1 / closuresPerM, 0);
  const closures = fitting.reduce((sum, each) => sum + Math.ceil(each.lengthM / metres - 1e-9), 0);
  return { ...row, workMinutes: workable, metres, closures, why: null };
}

/** Of all shifts of a window. */
const workMinutes = (rules: ClosureRules, window: ClosureWindow, pass: WorkPass): number =>
  window.shifts.reduce((sum, _, shift) => sum + Math.max(0, shiftMinutes(rules, window, shift, pass).netMinutes), 0);
