import { requirePositive } from './check-numbers.ts';

/** Share of its own width by which a preformed seal is squeezed when it works. Sources disagree on the upper limit. */
export interface CompressionRange {
  /** Squeezed less, it falls out: 0.2 in every source. */ readonly least: number;
  /** Squeezed more, it takes a set: 0.5 (FP-96), 0.55 (federal rigid pavement chapter), 0.6 (TM 5-822-11). */
  readonly most: number;
}

export const TM_5_822_11_RANGE: CompressionRange = { least: 0.2, most: 0.6 };
export const FP_96_RANGE: CompressionRange = { least: 0.2, most: 0.5 };

export interface JointRange {
  readonly closedMm: number;
  readonly openMm: number;
}

export interface CompressionSealFit {
  /** Widest and narrowest that the joint lets the seal become, as compression. */
  readonly compressionClosed: number;
  readonly compressionOpen: number;
  /** `snug`: fits, but within 3 % of its width of a limit. */ readonly verdict:
    | 'fits'
    | 'snug'
    | 'too small'
    | 'too large';
}

/** Compression to spare below which a fit is called snug: about the width tolerance of a 2 in seal, 1/16 in. */
const SNUG_MARGIN = 0.03;

/**
 * First guess of seal widths, mm: five times the closed joint at most, 1.2 times the open joint at least. `compressionSealFit`
 * then decides. Source: TM 5-822-11, Appendix C.
 */
export function firstGuessSizesMm({ closedMm, openMm }: JointRange) {
  requireJoint({ closedMm, openMm });
  const [largestMm, smallestMm] = [closedMm * 5, openMm * 1.2];
  return { largestMm, smallestMm, averageMm: (largestMm + smallestMm) / 2 };
}

/** Narrowest and widest uncompressed seal that stays inside the range over a joint's whole movement, mm. */
export function compressionSealSizesMm({ closedMm, openMm }: JointRange, range: CompressionRange) {
  requireJoint({ closedMm, openMm });
  return { smallestMm: openMm / (1 - range.least), largestMm: closedMm / (1 - range.most) };
}

/** Whether a seal of an uncompressed width works in a joint that opens and closes. */
export function compressionSealFit(
  sealWidthMm: number,
  joint: JointRange,
  range: CompressionRange,
): CompressionSealFit {
  requirePositive({ sealWidthMm });
  requireJoint(joint);
  const compressionClosed = 1 - joint.closedMm / sealWidthMm;
  const compressionOpen = 1 - joint.openMm / sealWidthMm;
  const verdict = () => {
    if (compressionOpen < range.least) return 'too small';
    if (compressionClosed > range.most) return 'too large';
    return compressionOpen < range.least + SNUG_MARGIN || compressionClosed > range.most - SNUG_MARGIN
      ? 'snug'
      : 'fits';
  };
  return { compressionClosed, compressionOpen, verdict: verdict() };
}

/** Width to saw, mm, so that a preformed seal sits at the compression wanted when it is installed. */
export function sawcutWidthMm(sealWidthMm: number, compression: number): number {
  requirePositive({ sealWidthMm, '1 - compression': 1 - compression });
  return sealWidthMm * (1 - compression);
}

/** Compression at an installation temperature, running evenly from `least` when coldest to `most` when hottest. */
export function compressionAtInstallation(
  temperature: { readonly installC: number; readonly coldestC: number; readonly hottestC: number },
  range: CompressionRange,
): number {
  const { installC, coldestC, hottestC } = temperature;
  requirePositive({ 'hottestC - coldestC': hottestC - coldestC });
  return range.least + ((installC - coldestC) / (hottestC - coldestC)) * (range.most - range.least);
}

function requireJoint({ closedMm, openMm }: JointRange): void {
  requirePositive({ closedMm, openMm });
  if (openMm < closedMm) throw new RangeError(`openMm is ${openMm}; expected at least closedMm, ${closedMm}`);
}
