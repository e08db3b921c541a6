import type { ClosureWindow } from '../../analytics/closures/closure-plan.ts';
import { crewPace } from '../../analytics/closures/crew-pace.ts';
import type { JudgedRecord, ShiftWork, UncertainClosure } from '../../analytics/closures/finish-chance.ts';
import { openingTime } from '../../analytics/closures/sealant-rules.ts';
import { shiftMinutes } from '../../analytics/closures/shift-minutes.ts';
import { weatherGate } from '../../analytics/closures/weather-gates.ts';
import type { ClosureRules } from '../schemas/closure-rules.ts';
import type { Closure } from '../schemas/closures.ts';
import { unitIdOf } from './closing-unit.ts';
import { passOperations, treatmentOf } from './closure-hours.ts';
import { minuteOf } from './local-time.ts';
import type { PlanWeather } from './plan-weather.ts';
import { coldestWorkC, ratesOf } from './work-settings.ts';

const MINUTES_PER_DAY = 1440;
type Planned = Pick<Closure, 'id' | 'facilityId' | 'part' | 'startsAt' | 'endsAt' | 'works'>;
type Work = Closure['works'][number];

export interface ChanceGround {
  readonly rules: ClosureRules;
  readonly weather: PlanWeather;
  /** Of the facilities of the closures. */ readonly windows: readonly ClosureWindow[];
}

/** What a chance is reckoned from, or why there is none. */
export type UncertainOrNot = { readonly closure: UncertainClosure } | { readonly unknown: string };

/** Pace, time and weather of a closure's own work, shift by shift and crew by crew. */
export function uncertainClosure(planned: Planned, ground: ChanceGround): UncertainOrNot {
  const window = windowOf(planned, ground.windows);
  const groups = new Map<string, { shift: number; crewId: string; works: Work[] }>();
  for (const work of planned.works) {
    const at = window.shifts.findIndex(({ endMinute }) => minuteOf(work.startsAt) < endMinute);
    const shift = Math.max(0, at);
    const key = `${String(shift).padStart(3, '0')} ${work.crewId}`;
    const group = groups.get(key) ?? { shift, crewId: work.crewId, works: [] };
    group.works.push(work);
    groups.set(key, group);
  }
  const shifts: ShiftWork[] = [];
  for (const [, group] of [...groups].sort(([a], [b]) => (a < b ? -1 : 1))) {
    const made = shiftWork(planned.facilityId, window, group, ground);
    if ('unknown' in made) return made;
    shifts.push(made);
  }
  const { id } = planned;
  return { closure: { id, facilityId: unitIdOf(planned), startMinute: window.startMinute, shifts, reserve: false } };
}

/** The reserve window of a closure, as a second chance for what it leaves; null: it has none, or one that is not judged. */
export function uncertainReserve(
  planned: Planned & Pick<Closure, 'reserve'>,
  ground: ChanceGround,
): UncertainClosure | null {
  if (!planned.reserve) return null;
  const { startsAt, reserve } = planned;
  const facilityId = unitIdOf(planned);
  const later = minuteOf(reserve.startsAt) - minuteOf(startsAt);
  const own = uncertainClosure(planned, ground);
  if ('unknown' in own) return null;
  const shifts = own.closure.shifts.map((work) => ({ ...work, day: work.day + Math.round(later / MINUTES_PER_DAY) }));
  const id = `${facilityId} reserve ${reserve.startsAt}`;
  return { id, facilityId, startMinute: minuteOf(reserve.startsAt), shifts, reserve: true };
}

type TimedWindow = Pick<ClosureWindow, 'startMinute' | 'endMinute' | 'shifts' | 'clockChangeMinutes'>;

/** A closure that was moved where the rules have no window is taken for one shift. */
function windowOf(planned: Planned, windows: readonly ClosureWindow[]): TimedWindow {
  const { startsAt, endsAt } = planned;
  const facilityId = unitIdOf(planned);
  const [startMinute, endMinute] = [minuteOf(startsAt), minuteOf(endsAt)];
  const known = windows.find(
    (each) => each.facilityId === facilityId && each.startMinute === startMinute && each.endMinute === endMinute,
  );
  return known ?? { startMinute, endMinute, shifts: [{ startMinute, endMinute }], clockChangeMinutes: 0 };
}

function shiftWork(
  facilityId: string,
  window: TimedWindow,
  { shift, crewId, works }: { shift: number; crewId: string; works: readonly Work[] },
  { rules, weather }: ChanceGround,
): ShiftWork | { readonly unknown: string } {
  let [minutes, spread, mostFactor] = [0, 0, Number.POSITIVE_INFINITY];
  const inOrder = [...works].sort((a, b) => a.startsAt.localeCompare(b.startsAt));
  for (const work of inOrder) {
    const pace = paceOf(work, rules);
    if ('cannot' in pace) return { unknown: `${pace.cannot}.` };
    const taken = work.lengthM * pace.minutesPerM;
    minutes += taken;
    spread += taken * pace.spread;
    mostFactor = Math.min(
      mostFactor,
      Math.max(0, shiftMinutes(rules, window, shift, waitsOf(work, rules)).netMinutes / minutes),
    );
  }
  const { startMinute, endMinute } = window.shifts[shift];
  const day = Math.floor(startMinute / MINUTES_PER_DAY);
  const hours = { startMinuteOfDay: startMinute - day * MINUTES_PER_DAY, lengthMinutes: endMinute - startMinute };
  const gates = new Map(
    works.map(({ sealantClass }) => weatherGate(rules.gateProfile, sealantClass)).map((gate) => [gate.id, gate]),
  );
  const records: JudgedRecord[] = [];
  for (const gate of gates.values()) {
    const found = weather.judgedFor(facilityId, gate, hours);
    if (found === null) return { unknown: 'No weather record is near enough to judge by.' };
    if (found.kind === 'refused') return { unknown: found.reason };
    records.push(found);
  }
  return { crewId, minutes, mostFactor, spread: spread / minutes, day, records };
}

function paceOf(work: Work, rules: ClosureRules) {
  const crew = rules.crews.find(({ id }) => id === work.crewId);
  if (!crew) return { cannot: `There is no crew ${work.crewId} any more` };
  return crewPace(crew, passOperations(work, rules), treatmentOf(work, rules), ratesOf(rules));
}

/** Waits of a pass, as `workPasses` gives them: a joint washed and sealed in one go dries in between. */
function waitsOf(work: Work, rules: ClosureRules): { insideWaitMinutes: number; openingMinutes: number } {
  if (work.pass === 'open') return { insideWaitMinutes: 0, openingMinutes: 0 };
  const dries = work.pass === 'reseal' && passOperations(work, rules).includes('dry');
  const own = rules.openingMinutes.find(({ sealantClass }) => sealantClass === work.sealantClass)?.minutes;
  return {
    insideWaitMinutes: dries ? rules.dryingHours * 60 : 0,
    openingMinutes: own ?? openingTime(work.sealantClass, coldestWorkC(rules)).minutes,
  };
}
