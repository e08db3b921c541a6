import type { ProgramInput, RequiredWork } from './program-input.ts';
import { WORK } from './program-problem.ts';

export interface WorkMask {
  readonly work: Uint8Array;
  readonly requiredClass: Int32Array;
  readonly goneFromYear: Int32Array;
}

export interface RequiredWorkFault extends RequiredWork {
  readonly why: 'outside-horizon' | 'pavement-replaced' | 'class-not-allowed' | 'two-classes';
}

type MaskInput = Pick<
  ProgramInput,
  'count' | 'years' | 'newLives' | 'pricePerM' | 'replacedInYear' | 'heldBackYears' | 'required' | 'barred'
>;

/**
 * Settled work that cannot be done: outside the horizon, when the pavement is gone, with a class that may not be used there
 * or of several classes in one segment, which a program does not hold. To be put right before a program is made.
 */
export function requiredWorkFaults(input: MaskInput): RequiredWorkFault[] {
  const gone = goneFromYear(input);
  const classOf = new Map<number, number>();
  const faults: RequiredWorkFault[] = [];
  for (const work of input.required) {
    const { segment, year, sealantClass } = work;
    const known = classOf.get(segment);
    if (!(year >= 0 && year < input.years)) faults.push({ ...work, why: 'outside-horizon' });
    else if (year >= gone[segment]) faults.push({ ...work, why: 'pavement-replaced' });
    else if (!isAllowed(input, segment, sealantClass)) faults.push({ ...work, why: 'class-not-allowed' });
    else if (known !== undefined && known !== sealantClass) faults.push({ ...work, why: 'two-classes' });
    else classOf.set(segment, sealantClass);
  }
  return faults;
}

/** What each year may hold: required before barred, barred before allowed. */
export function workMask(input: MaskInput): WorkMask {
  const { count, years } = input;
  const gone = goneFromYear(input);
  const work = new Uint8Array(count * years).fill(WORK.allowed);
  const requiredClass = new Int32Array(count).fill(-1);
  for (let i = 0; i < count; i++) {
    const from = isAllowed(input, i, -1) ? heldBackFrom(input, i) : 0;
    work.fill(WORK.barred, i * years + from, (i + 1) * years);
  }
  for (const { segment, fromYear, toYear } of input.barred)
    for (let t = Math.max(0, fromYear); t <= Math.min(toYear, years - 1); t++) work[segment * years + t] = WORK.barred;
  for (const { segment, year, sealantClass } of input.required) {
    work[segment * years + year] = WORK.required;
    requiredClass[segment] = sealantClass;
  }
  return { work, requiredClass, goneFromYear: gone };
}

function heldBackFrom({ replacedInYear, heldBackYears, years }: MaskInput, i: number): number {
  return replacedInYear[i] < 0 ? years : Math.min(years, Math.max(0, replacedInYear[i] - heldBackYears[i]));
}

const goneFromYear = ({ replacedInYear, years }: MaskInput): Int32Array =>
  replacedInYear.map((year) => (year < 0 ? years : Math.min(year, years)));

/** `sealantClass` -1: any class at all. */
function isAllowed({ newLives, pricePerM }: MaskInput, i: number, sealantClass: number): boolean {
  const classes = newLives.length;
  if (sealantClass >= 0) return sealantClass < classes && !Number.isNaN(pricePerM[i * classes + sealantClass]);
  for (let c = 0; c < classes; c++) if (!Number.isNaN(pricePerM[i * classes + c])) return true;
  return false;
}
