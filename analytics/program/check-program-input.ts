import type { ProgramInput } from './program-input.ts';
import { requiredWorkFaults } from './work-mask.ts';

/** @throws RangeError naming the field, what was found and what is allowed */
export function checkProgramInput(input: ProgramInput): void {
  checkWhole('years', input.years, 1, 40);
  checkLengths(input);
  checkColumn(input.lengthM, 'lengthM', 'above 0', (value) => value > 0);
  checkColumn(input.pricePerM, 'pricePerM', 'above 0, or NaN', (value) => value > 0 || Number.isNaN(value));
  checkColumn(input.openCostPerMYear, 'openCostPerMYear', '0 or more', (value) => value >= 0);
  checkColumn(input.inPlace.ageYears, 'inPlace.ageYears', '0 or more', (value) => value >= 0);
  checkColumn(input.inPlace.failedByYearEnd, 'inPlace.failedByYearEnd', '0 to 1', (p) => p >= 0 && p <= 1 + 1e-9);
  if (!(input.discountRatePerYear >= 0))
    throw new RangeError(`discountRatePerYear is ${input.discountRatePerYear}; expected 0 or more`);
  if (!(input.minimumJobM >= 0)) throw new RangeError(`minimumJobM is ${input.minimumJobM}; expected 0 or more`);
  const [fault] = requiredWorkFaults(input);
  if (fault) throw new RangeError(`Required work of segment ${fault.segment} in year ${fault.year}: ${fault.why}`);
}

function checkLengths(input: ProgramInput): void {
  const { count, newLives, inPlace, years } = input;
  if (newLives.length === 0) throw new RangeError('newLives has no class; expected 1 or more');
  checkWhole('inPlace.yearEnds', inPlace.yearEnds, years, 200);
  const lengths: Record<string, readonly [number, number]> = {
    lengthM: [input.lengthM.length, count],
    facility: [input.facility.length, count],
    district: [input.district.length, count],
    facilityKind: [input.facilityKind.length, count],
    pricePerM: [input.pricePerM.length, count * newLives.length],
    openCostPerMYear: [input.openCostPerMYear.length, count],
    replacedInYear: [input.replacedInYear.length, count],
    heldBackYears: [input.heldBackYears.length, count],
    'inPlace.failedByYearEnd': [inPlace.failedByYearEnd.length, count * inPlace.yearEnds],
    'inPlace.ageYears': [inPlace.ageYears.length, count],
    'inPlace.lives.curve': [inPlace.lives.curve.length, count],
    'facilities.mobilisationCost': [input.facilities.mobilisationCost.length, input.facilities.count],
    'facilities.district': [input.facilities.district.length, input.facilities.count],
  };
  newLives.forEach(({ curve, oldestAge }, c) => {
    lengths[`newLives[${c}].curve`] = [curve.length, count];
    checkWhole(`newLives[${c}].oldestAge`, oldestAge, years, 200);
    if (oldestAge !== newLives[0].oldestAge)
      throw new RangeError(
        `newLives[${c}].oldestAge is ${oldestAge}; expected ${newLives[0].oldestAge} as for class 0`,
      );
  });
  for (const [name, [found, expected]] of Object.entries(lengths))
    if (found !== expected) throw new RangeError(`${name} has ${found} entries; expected ${expected}`);
}

function checkColumn(values: Float64Array, name: string, allowed: string, fits: (value: number) => boolean): void {
  const at = values.findIndex((value) => !fits(value));
  if (at >= 0) throw new RangeError(`${name}[${at}] is ${values[at]}; expected ${allowed}`);
}

function checkWhole(name: string, value: number, least: number, most: number): void {
  if (!(Number.isInteger(value) && value >= least && value <= most))
    throw new RangeError(`${name} is ${value}; expected a whole number from ${least} to ${most}`);
}
