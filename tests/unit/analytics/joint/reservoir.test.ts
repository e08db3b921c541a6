import { describe, expect, test } from 'vitest';
import {
  compressionAtInstallation,
  compressionSealFit,
  compressionSealSizesMm,
  FP_96_RANGE,
  firstGuessSizesMm,
  sawcutWidthMm,
  TM_5_822_11_RANGE,
} from '../../../../analytics/joint/compression-seal.ts';
import {
  backerRodDiameterMm,
  DEPTH_ALLOWANCE_MM,
  leastWidthMm,
  reservoirDepthMm,
  reservoirFaults,
  widthToDepth,
} from '../../../../analytics/joint/reservoir.ts';
import { sealantVolumeL } from '../../../../analytics/joint/sealant-volume.ts';

const INCH_MM = 25.4;
const halfInch = {
  recessMm: (3 / 8) * INCH_MM,
  beadDepthMm: INCH_MM / 4,
  backerRodDiameterMm: (5 / 8) * INCH_MM,
  allowanceMm: DEPTH_ALLOWANCE_MM,
};

describe('the reservoir (common practice)', () => {
  test('1/2 in joint: 3/8 recess + 1/4 bead + 5/8 rod + 1/8 allowance = 1 3/8 in', () => {
    expect(backerRodDiameterMm(INCH_MM / 2) / INCH_MM).toBeCloseTo(5 / 8, 12);
    expect(reservoirDepthMm(halfInch) / INCH_MM).toBeCloseTo(1.375, 12);
    // In whole millimetres: 10 + 6 + 16 + 3 = 35.
    const metric = { recessMm: 10, beadDepthMm: 6, backerRodDiameterMm: 16, allowanceMm: 3 };
    expect(reservoirDepthMm(metric)).toBe(35);
  });

  test('a movement of 1/4 in asks for at least 1/2 in', () => {
    expect(leastWidthMm(INCH_MM / 4)).toBeCloseTo(INCH_MM / 2, 12);
    expect(widthToDepth(12, 6)).toBe(2);
  });

  test('each fault is told once, and a sound reservoir has none', () => {
    const sound = { ...halfInch, widthMm: 12.7, reservoirDepthMm: 35, movementMm: 3 };
    expect(reservoirFaults(sound)).toEqual([]);
    expect(reservoirFaults({ ...sound, reservoirDepthMm: 30 })[0]).toMatch(/slot is 30.0 mm deep.*take 34.9 mm/);
    expect(reservoirFaults({ ...sound, movementMm: 7 })).toEqual([
      'The joint is 12.7 mm wide; twice its movement is 14.0 mm.',
    ]);
    expect(reservoirFaults({ ...sound, recessMm: 3 })[0]).toMatch(/recess is 3.0 mm/);
    expect(reservoirFaults({ ...sound, backerRodDiameterMm: 12 })[0]).toMatch(/will not stay put/);
    expect(() => reservoirDepthMm({ ...halfInch, beadDepthMm: 0 })).toThrow(/beadDepthMm is 0/);
  });
});

describe('sealant volume (FHWA-RD-99-146, from memory)', () => {
  test('10 x 10 mm x 1,000 m with 20 % waste is 120 L; 10 x 5 tooled with 15 % is 63.25 L', () => {
    const bead = { widthMm: 10, depthMm: 10, lengthM: 1000, wastageFactor: 1.2, surfaceFactor: 1 };
    expect(sealantVolumeL(bead)).toBeCloseTo(120, 9);
    expect(sealantVolumeL({ ...bead, depthMm: 5, wastageFactor: 1.15, surfaceFactor: 1.1 })).toBeCloseTo(63.25, 9);
    expect(() => sealantVolumeL({ ...bead, wastageFactor: 0.9 })).toThrow(/wastageFactor is 0.9/);
  });
});

describe('preformed compression seals', () => {
  const joint = { closedMm: 0.44 * INCH_MM, openMm: 0.584 * INCH_MM };

  test('TM 5-822-11, Appendix C: 2.20 in at most, 0.70 in at least, average 1.45; 1 in fits, 3/4 in only just', () => {
    const guess = firstGuessSizesMm(joint);
    expect(guess.largestMm / INCH_MM).toBeCloseTo(2.2, 12);
    expect(guess.smallestMm / INCH_MM).toBeCloseTo(0.7008, 12);
    expect(guess.averageMm / INCH_MM).toBeCloseTo(1.45, 2);
    expect(compressionSealFit(INCH_MM, joint, TM_5_822_11_RANGE).verdict).toBe('fits');
    // 3/4 in works up to 0.60 in, 0.016 in more than the joint opens.
    expect(compressionSealFit(0.75 * INCH_MM, joint, TM_5_822_11_RANGE).verdict).toBe('snug');
    expect(compressionSealFit(0.7 * INCH_MM, joint, TM_5_822_11_RANGE).verdict).toBe('too small');
    expect(compressionSealFit(1.2 * INCH_MM, joint, TM_5_822_11_RANGE).verdict).toBe('too large');
  });

  test('a 1 in seal works from 0.40 to 0.80 in by one source and from 0.50 by another', () => {
    const sizes = compressionSealSizesMm({ closedMm: 0.4, openMm: 0.8 }, TM_5_822_11_RANGE);
    expect(sizes.smallestMm).toBeCloseTo(1, 12);
    expect(sizes.largestMm).toBeCloseTo(1, 12);
    expect(compressionSealFit(INCH_MM, joint, FP_96_RANGE).verdict).toBe('too large');
  });

  test('saw cut by installation temperature: federal rigid pavement chapter, pp. 3.3.7 and 3.3.8', () => {
    // 14 to 90 °F; working range 20 to 55 %.
    const at = (installC: number) =>
      compressionAtInstallation({ installC, coldestC: 14, hottestC: 90 }, { least: 0.2, most: 0.55 });
    expect(at(80)).toBeCloseTo(0.504, 3);
    expect(sawcutWidthMm(1, at(80))).toBeCloseTo(0.4961, 4);
    expect(sawcutWidthMm(1, at(40))).toBeCloseTo(0.6803, 4);
    expect(sawcutWidthMm(0.688, at(80))).toBeCloseTo(0.3413, 4);
    expect(sawcutWidthMm(0.688, at(40))).toBeCloseTo(0.468, 4);
  });

  test('a joint that closes wider than it opens is refused', () => {
    expect(() => firstGuessSizesMm({ closedMm: 20, openMm: 10 })).toThrow(/openMm is 10/);
  });
});
