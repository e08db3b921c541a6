import type { Closure } from '../schemas/closures.ts';

const LITRES_PER_US_GALLON = 3.785411784;
const M_PER_FOOT = 0.3048;
const MM_PER_INCH = 25.4;

/** Lengths, litres and diameters in the reader's units. Exact factors: international yard of 1959, US gallon of 231 in³. */
export const unitWords = (units: 'si' | 'us') => ({
  length: (m: number, digits = 0) =>
    units === 'si' ? `${grouped(m, digits)} m` : `${grouped(m / M_PER_FOOT, digits)} ft`,
  volume: (litres: number) =>
    units === 'si' ? `${grouped(litres, 1)} L` : `${grouped(litres / LITRES_PER_US_GALLON, 1)} US gal`,
  width: (mm: number) => (units === 'si' ? `${grouped(mm, 1)} mm` : `${grouped(mm / MM_PER_INCH, 3)} in`),
});

const grouped = (value: number, digits: number): string =>
  value.toLocaleString('en-US', { minimumFractionDigits: digits, maximumFractionDigits: digits });

/** Sealant with waste and rod by size, one line for each. */
export function sealantWords({ sealant, rods }: Pick<Closure, 'sealant' | 'rods'>, units: 'si' | 'us'): string[] {
  const { length, volume, width } = unitWords(units);
  return [
    ...sealant.map(({ sealantClass, litres, metres }) => {
      if (metres !== null) return `Preformed seal: ${length(metres)}`;
      return `Sealant: ${sealantClass.replaceAll('-', ' ')}, ${litres === null ? 'litres not known, a width is missing on record' : `${volume(litres)} with waste`}`;
    }),
    ...rods.map(({ diameterMm, metres }) =>
      diameterMm === null
        ? `Backer rod: ${length(metres)} of a size to be measured`
        : `Backer rod: ${length(metres)}, ${width(diameterMm)} in diameter`,
    ),
  ];
}
