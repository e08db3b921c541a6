/** Draws that network totals keep of each segment: 20 bytes a segment. */
export const KEPT_DRAWS = 20;

/** A chance as a byte, on the arc-sine scale: finest near 0 and 1, never off by more than 0.004. */
export const byteOfChance = (chance: number): number => Math.round((510 / Math.PI) * Math.asin(Math.sqrt(chance)));
