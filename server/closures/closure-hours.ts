import { labourHours } from '../../analytics/closures/crew-pace.ts';
import { rateKey } from '../../analytics/closures/operation-rates.ts';
import {
  isWorkOperation,
  OPERATION_KINDS,
  type OperationKind,
  type ResealTreatment,
  resealOperations,
} from '../../analytics/closures/work-operations.ts';
import type { ClosureRules } from '../schemas/closure-rules.ts';
import type { Closure } from '../schemas/closures.ts';
import { ratesOf } from './work-settings.ts';

/** A length that one crew works in one go, and the operations of its pass. */
export interface DoneWork {
  readonly work: Closure['works'][number];
  readonly operations: readonly string[];
}

export const treatmentOf = (
  { sealantClass, sealantClassInPlace }: Pick<DoneWork['work'], 'sealantClass' | 'sealantClassInPlace'>,
  { washAfterSawing }: Pick<ClosureRules, 'washAfterSawing'>,
): ResealTreatment => ({
  ...{ oldClass: sealantClassInPlace, newClass: sealantClass, washAfterSawing, withRod: true },
});

/** Operations of one pass of a reseal. */
export function passOperations(work: DoneWork['work'], rules: Pick<ClosureRules, 'washAfterSawing'>): OperationKind[] {
  const kinds = resealOperations(treatmentOf(work, rules)).map(({ kind }) => kind);
  const dry = kinds.indexOf('dry');
  if (work.pass === 'reseal' || dry < 0) return kinds;
  return work.pass === 'open' ? kinds.slice(0, dry) : kinds.slice(dry + 1);
}

/** Operations of a closure in order of work, each with what is done and the hours that its machines are busy. */
export function operationHours(done: readonly DoneWork[], rules: ClosureRules): Closure['operations'] {
  const rates = ratesOf(rules);
  const found = new Map<string, { kind: OperationKind; how: string; hours: number | null }>();
  for (const { work, operations } of done) {
    const treatment = treatmentOf(work, rules);
    const crew = rules.crews.find(({ id }) => id === work.crewId);
    for (const { kind, how } of resealOperations(treatment)) {
      if (!operations.includes(kind)) continue;
      const entry = found.get(`${kind} ${how}`) ?? { kind, how, hours: isWorkOperation(kind) ? 0 : null };
      found.set(`${kind} ${how}`, entry);
      if (!isWorkOperation(kind)) continue;
      const machines = crew?.teams.find((team) => team.operations.includes(kind))?.machines ?? 1;
      const pace = rates[rateKey(kind, treatment)].metresPerHour * machines * (crew?.paceFactor ?? 1);
      entry.hours = (entry.hours ?? 0) + work.lengthM / pace;
    }
  }
  return [...found.values()].sort((a, b) => OPERATION_KINDS.indexOf(a.kind) - OPERATION_KINDS.indexOf(b.kind));
}

/** Hours of labour in a length of work, by the pace of its crew. */
export function workCrewHours({ work, operations }: DoneWork, rules: ClosureRules): number {
  const crew = rules.crews.find(({ id }) => id === work.crewId);
  const kinds = operations as readonly OperationKind[];
  return labourHours(work.lengthM, kinds, treatmentOf(work, rules), ratesOf(rules)) / (crew?.paceFactor ?? 1);
}
