/** What a seal is to the crew that removes or makes it. `none`: the joint holds no seal. */
export type SealantFamily = 'silicone' | 'hot-applied' | 'cold-poured' | 'preformed' | 'unknown' | 'none';

const FAMILY: Readonly<Record<string, SealantFamily>> = {
  'silicone-self-levelling': 'silicone',
  'silicone-non-sag': 'silicone',
  'hot-applied': 'hot-applied',
  'hot-applied-type-1': 'hot-applied',
  'hot-applied-type-2': 'hot-applied',
  'hot-applied-type-3': 'hot-applied',
  'hot-applied-type-4': 'hot-applied',
  polysulfide: 'cold-poured',
  'polyurethane-two-part': 'cold-poured',
  'preformed-compression': 'preformed',
};

/** Family of a sealant class; `none` for null (no seal in place), `unknown` for a class that is not listed. */
export const sealantFamily = (sealantClass: string | null): SealantFamily =>
  sealantClass === null ? 'none' : (FAMILY[sealantClass] ?? 'unknown');
