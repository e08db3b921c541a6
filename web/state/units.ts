/** SI is stored and computed in; US customary is for the screen and for exports. */
export type Units = 'si' | 'us';

export const readUnits = (text: string | null): Units => (text === 'us' ? 'us' : 'si');

const M_PER_FOOT = 0.3048;
const M_PER_MILE = 1609.344;
const MM_PER_INCH = 25.4;
/** The US gallon is 231 cubic inches. */
const LITRES_PER_US_GALLON = 3.785411784;

/** A number in the unit that it is shown in. */
export interface Measured {
  readonly value: number;
  readonly unit: string;
}

/** Lengths along the network: m and km, or ft and mi. The unit grows with the number. */
export function lengthInUnits(lengthM: number, units: Units, longM = 10_000): Measured {
  const long = Math.abs(lengthM) >= longM;
  if (units === 'us') {
    return long ? { value: lengthM / M_PER_MILE, unit: 'mi' } : { value: lengthM / M_PER_FOOT, unit: 'ft' };
  }
  return long ? { value: lengthM / 1000, unit: 'km' } : { value: lengthM, unit: 'm' };
}

/** Widths and depths of a joint: mm or inches. */
export const widthInUnits = (widthMm: number, units: Units): Measured =>
  units === 'us' ? { value: widthMm / MM_PER_INCH, unit: 'in' } : { value: widthMm, unit: 'mm' };

/** Sealant: litres, or US gallons. */
export const volumeInUnits = (litres: number, units: Units): Measured =>
  units === 'us' ? { value: litres / LITRES_PER_US_GALLON, unit: 'US gal' } : { value: litres, unit: 'L' };

/** Back from what was typed: feet are 0.3048 m. */
export const lengthInM = (typed: number, units: Units): number => (units === 'us' ? typed * M_PER_FOOT : typed);

/** Back from what was typed. */
export const widthInMm = (typed: number, units: Units): number => (units === 'us' ? typed * MM_PER_INCH : typed);

export const temperatureInUnits = (celsius: number, units: Units): Measured =>
  units === 'us' ? { value: (celsius * 9) / 5 + 32, unit: '°F' } : { value: celsius, unit: '°C' };

/** Price of a metre, as a price of a metre or of a foot. */
export const pricePerLength = (costPerM: number, units: Units): Measured =>
  units === 'us' ? { value: costPerM * M_PER_FOOT, unit: 'per ft' } : { value: costPerM, unit: 'per m' };

/** Back from what was typed: a price of a foot is a price of 0.3048 m. */
export const pricePerM = (typed: number, units: Units): number => (units === 'us' ? typed / M_PER_FOOT : typed);
