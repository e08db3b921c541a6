export type Units = 'si' | 'us';

// Exact by definition: international yard and pound agreement of 1959, 1 in = 25.4 mm.
const MM_PER_INCH = 25.4;
const M_PER_FOOT = 0.3048;

export const lengthUnit = (units: Units): 'M' | 'Ft' => (units === 'si' ? 'M' : 'Ft');
export const widthUnit = (units: Units): 'Mm' | 'In' => (units === 'si' ? 'Mm' : 'In');

export const inLengthUnit = (lengthM: number | null, units: Units): number | null =>
  lengthM === null ? null : rounded(units === 'si' ? lengthM : lengthM / M_PER_FOOT, 3);

export const inWidthUnit = (widthMm: number | null, units: Units): number | null =>
  widthMm === null ? null : rounded(units === 'si' ? widthMm : widthMm / MM_PER_INCH, 4);

export const rounded = (value: number, digits: number): number => Math.round(value * 10 ** digits) / 10 ** digits;
