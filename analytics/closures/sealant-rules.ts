import { requirePositive } from '../joint/check-numbers.ts';
import { backerRodDiameterMm } from '../joint/reservoir.ts';
import { sealantFamily } from './sealant-family.ts';

/** Common practice: concrete has dried for at least this many full days before it is sealed. */
export const LEAST_CONCRETE_AGE_DAYS = 7;
/** Prepared joints are never left open longer, and only what is sealed the same day is prepared. TM 5-822-11, chapter 5. */
export const MOST_DAYS_PREPARED_JOINT_OPEN = 1;
/** Common practice: a washed joint is dry after several hours to several days. */
export const DRYING_HOURS = 12;

/**
 * Why a class may not be used on a joint, or null. ASTM D6690 (hot-applied) and ASTM D5893 (silicone) exclude areas of fuel
 * spills from their scope; ETL 02-8 (2002) says the same of silicone where spills are frequent.
 */
export function refusedClass(newClass: string, fuelExposure: boolean): string | null {
  const family = sealantFamily(newClass);
  if (family === 'unknown') return 'The class of the new seal is unknown: choose one.';
  if (!fuelExposure) return null;
  if (family === 'hot-applied') return 'ASTM D6690 excludes hot-applied sealant from areas of fuel spills.';
  if (family === 'silicone') return 'ASTM D5893 excludes silicone from areas of fuel spills.';
  return null;
}

/** Types of backer rod. ASTM D5249, from memory. */
export type RodType = 'round-hot-or-cold' | 'strip-hot-or-cold' | 'round-cold-only';

/** Why a rod may not be used under a class, or null: a cold-only rod melts under hot-applied sealant. */
export function refusedRod(newClass: string, rod: RodType): string | null {
  const family = sealantFamily(newClass);
  if (family === 'preformed') return 'A preformed seal takes no rod.';
  if (family === 'hot-applied' && rod === 'round-cold-only')
    return 'ASTM D5249 type 3 rod is for cold-applied sealant only; take type 1 or 2 under hot-applied.';
  return null;
}

const INCH = 25.4;
/** Diameters that rod is sold in, mm: 1/4, 3/8, 1/2, 5/8, 3/4, 7/8, 1, 1 1/4, 1 1/2, 2 in. Common practice. */
export const ROD_SIZES_MM = [0.25, 0.375, 0.5, 0.625, 0.75, 0.875, 1, 1.25, 1.5, 2].map((inches) => inches * INCH);

/** The least rod that is a quarter wider than the joint, mm; null when the joint is too wide for any. */
export function rodSizeMm(widthMm: number): number | null {
  const least = backerRodDiameterMm(widthMm);
  return ROD_SIZES_MM.find((size) => size >= least - 0.05) ?? null;
}

/** Minutes from the last metre sealed until traffic may run, with where the number is from. */
export interface OpeningTime {
  readonly minutes: number;
  readonly mark: 'seen' | 'common practice';
  readonly source: string;
}

const WARM_C = 23.9;
const COLD_C = 4.4;
/** Silicone: tack-free in about 1 h at 75 °F and 2 to 3 h at 40 °F (P-605 as taught); the longer, straight in between. */
const SILICONE_WARM_MINUTES = 60;
const SILICONE_COLD_MINUTES = 180;

/**
 * Time to opening by sealant class and air temperature. The trade disagrees (an agency table has 30 to 180 min by type,
 * a guide specification 5 h at most), so each is a default to be edited.
 * @throws RangeError for a class that is not known
 */
export function openingTime(newClass: string, airC: number): OpeningTime {
  switch (sealantFamily(newClass)) {
    case 'silicone': {
      const cold = Math.min(1, Math.max(0, (WARM_C - airC) / (WARM_C - COLD_C)));
      const minutes = Math.round(SILICONE_WARM_MINUTES + cold * (SILICONE_COLD_MINUTES - SILICONE_WARM_MINUTES));
      return { minutes, mark: 'seen', source: 'FAA P-605 as taught to inspectors: 1 h at 75 °F, 2 to 3 h at 40 °F' };
    }
    case 'hot-applied':
      return { minutes: 30, mark: 'common practice', source: 'opens when it will not pick up' };
    case 'cold-poured':
      return { minutes: 240, mark: 'common practice', source: 'two-part sealant: see the data sheet of the product' };
    case 'preformed':
      return { minutes: 0, mark: 'common practice', source: 'carries traffic once in place' };
    default:
      throw new RangeError(`newClass is ${newClass}; expected a known sealant class`);
  }
}

/** Wastage: 1.2 is 20 %. Surface: 1.1 for a tooled (non-sag) surface, 1.0 otherwise. FHWA-RD-99-146, from memory. */
export const WASTAGE_FACTOR = 1.2;
export const surfaceFactor = (newClass: string): number => (newClass === 'silicone-non-sag' ? 1.1 : 1);

/** Depth of bead for a width where none is given: half the width for silicone, the width for the rest (from memory). */
export function usualBeadDepthMm(newClass: string, widthMm: number): number {
  requirePositive({ widthMm });
  return sealantFamily(newClass) === 'silicone' ? widthMm / 2 : widthMm;
}
