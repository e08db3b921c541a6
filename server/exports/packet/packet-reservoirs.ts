import { sealantFamily } from '../../../analytics/closures/sealant-family.ts';
import { rodSizeMm, usualBeadDepthMm } from '../../../analytics/closures/sealant-rules.ts';
import { unitWords } from '../../closures/quantity-words.ts';
import type { Closure } from '../../schemas/closures.ts';
import type { Units } from '../units.ts';

const MM_PER_INCH = 25.4;
/** Below the surface at least, and what the slot is deeper than all that is in it: common practice, 3/8 and 1/8 in. */
const RECESS_MM = 0.375 * MM_PER_INCH;
const ALLOWANCE_MM = 0.125 * MM_PER_INCH;

/** Slots of a closure by width and new class: bead, rod, recess and least depth, as the checks ask for them. */
export function reservoirs(works: Closure['works'], units: Units): { readonly slot: string; readonly shape: string }[] {
  const { width } = unitWords(units);
  const found = new Map<string, string>();
  for (const { sealantClass, widthMm, pass } of works) {
    if (pass === 'open' || widthMm === null || sealantFamily(sealantClass) === 'preformed') continue;
    const bead = usualBeadDepthMm(sealantClass, widthMm);
    const rod = rodSizeMm(widthMm);
    const depth = RECESS_MM + bead + (rod ?? 0) + ALLOWANCE_MM;
    const backing = rod === null ? 'bond-breaker tape, no rod is wide enough' : `rod ${width(rod)}`;
    found.set(
      `Slot ${width(widthMm)} wide`,
      `Bead ${width(bead)} thick, ${backing}, recess ${width(RECESS_MM)} or more; slot at least ${width(depth)} deep. Common practice; the design and the maker's directions govern.`,
    );
  }
  return [...found].map(([slot, shape]) => ({ slot, shape }));
}
