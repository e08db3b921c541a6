import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  longestSlabM,
  narrowestWidthMm,
  resealOpeningMm,
  seasonalOpeningMm,
} from '../../../../analytics/joint/movement.ts';
import { MOVEMENT_CAPABILITY, movementDemand } from '../../../../analytics/joint/movement-demand.ts';
import { expansionPerC, RESTRAINT, shrinkageByStrength } from '../../../../analytics/joint/movement-tables.ts';

const FOOT_M = 0.3048;
const INCH_MM = 25.4;
/** A difference of °F in °C. */
const ofF = (degrees: number) => degrees / 1.8;

describe('seasonal opening, AASHTO 1993', () => {
  const example = { restraint: 0.8, expansionPerC: 5.5e-6 * 1.8, rangeC: ofF(76), shrinkage: 1e-4 };

  test('federal rigid pavement chapter, p. 3.3.7: 60 ft slab opens 0.3 in and needs 0.86 in at 35 % strain', () => {
    const openingIn = seasonalOpeningMm({ ...example, slabLengthM: 60 * FOOT_M }) / INCH_MM;
    // Printed 0.3; 0.29837 unrounded.
    expect(openingIn).toBeCloseTo(0.29837, 5);
    expect(narrowestWidthMm(openingIn, 0.35)).toBeCloseTo(0.852, 3);
    expect(narrowestWidthMm(0.3, 0.35)).toBeCloseTo(0.857, 3);
  });

  test('the same, p. 3.3.8: 30 ft slab opens 0.15 in', () => {
    expect(seasonalOpeningMm({ ...example, slabLengthM: 30 * FOOT_M }) / INCH_MM).toBeCloseTo(0.14918, 5);
  });

  test('longest slab for 0.05 in and 0.25 in of opening: 14.9 and 74.5 ft', () => {
    // Huang, Pavement Analysis and Design, section 4.4, from memory: 14.88 and 74.40 with 0.00028 for 0.0002795.
    const slab = { restraint: 0.65, expansionPerC: 5.5e-6 * 1.8, rangeC: ofF(60), shrinkage: 1e-4 };
    const feet = (inches: number) => longestSlabM(inches * INCH_MM, slab) / FOOT_M;
    expect(feet(0.05)).toBeCloseTo(14.91, 2);
    expect(feet(0.25)).toBeCloseTo(74.54, 2);
  });

  test('a reseal drops shrinkage: 15 ft, gravel, stabilised base, 100 °F opens 0.0702 in', () => {
    const openingMm = resealOpeningMm({
      slabLengthM: 15 * FOOT_M,
      restraint: RESTRAINT.stabilised,
      expansionPerC: expansionPerC('gravel'),
      rangeC: ofF(100),
    });
    expect(openingMm / INCH_MM).toBeCloseTo(0.0702, 6);
    expect(narrowestWidthMm(openingMm, 0.25) / INCH_MM).toBeCloseTo(0.281, 3);
  });

  test('opening grows in proportion to slab length, and longest slab is its inverse', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 1, max: 30, noNaN: true }),
        fc.double({ min: 1, max: 60, noNaN: true }),
        (length, rangeC) => {
          const slab = { restraint: 0.8, expansionPerC: 1e-5, rangeC, shrinkage: 0 };
          const opening = seasonalOpeningMm({ ...slab, slabLengthM: length });
          expect(Math.abs(longestSlabM(opening, slab) - length)).toBeLessThan(1e-9 * length);
        },
      ),
      { seed: 7 },
    );
  });

  test('a field out of range is named', () => {
    expect(() => seasonalOpeningMm({ ...example, slabLengthM: 0 })).toThrow(/slabLengthM is 0; expected above 0/);
    expect(() => seasonalOpeningMm({ ...example, slabLengthM: 5, rangeC: -1 })).toThrow(/rangeC is -1/);
    expect(() => seasonalOpeningMm({ ...example, slabLengthM: Number.NaN })).toThrow(/slabLengthM is NaN/);
  });
});

describe('tables', () => {
  test('expansion by aggregate in 1/°C', () => {
    const printed = (['quartz', 'sandstone', 'gravel', 'granite', 'basalt', 'limestone'] as const).map((aggregate) =>
      (expansionPerC(aggregate) * 1e6).toFixed(2),
    );
    expect(printed).toEqual(['11.88', '11.70', '10.80', '9.54', '8.64', '6.84']);
  });

  test('shrinkage by strength at printed points, halfway between two, and beyond the ends', () => {
    const psi = (value: number) => shrinkageByStrength(value / 145.0377);
    expect([250, 300, 400, 500, 600, 700, 900].map((p) => psi(p).toFixed(6))).toEqual(
      [0.0008, 0.0008, 0.0006, 0.00045, 0.0003, 0.0002, 0.0002].map((z) => z.toFixed(6)),
    );
    expect(psi(450)).toBeCloseTo(0.000525, 9);
  });
});

describe('movement demand', () => {
  const joint = {
    sealantClass: 'hot-applied',
    slabLengthM: 5,
    widthMm: 10,
    baseType: 'granular',
    coarseAggregate: 'gravel',
    rangeC: 40,
  } as const;

  test('opening over width, against the class', () => {
    // 0.8 x 5000 mm x 10.8e-6 x 40 = 1.728 mm of 10 mm; 17.28 % of a capability of 17.5 %.
    const demand = movementDemand(joint);
    expect(demand.seasonalOpeningMm).toBeCloseTo(1.728, 9);
    expect(demand.demandOverCapability).toBeCloseTo(0.1728 / 0.175, 9);
    expect(demand.note).toMatch(/^The class takes an opening of \d+ % of its width/);
    expect(movementDemand({ ...joint, sealantClass: 'silicone-self-levelling' }).demandOverCapability).toBeLessThan(
      0.2,
    );
  });

  test('every class says where its capability is from; one that no list knows is treated as unknown', () => {
    for (const one of Object.values(MOVEMENT_CAPABILITY)) expect(one.source.length).toBeGreaterThan(10);
    expect(movementDemand({ ...joint, sealantClass: 'putty' }).capabilityShare).toBe(0.25);
  });

  test('a half-inch seal of +100 / -50 % may open to 1 in and close to 1/4 in (common practice)', () => {
    const { extensionShare, compressionShare } = MOVEMENT_CAPABILITY['silicone-self-levelling'];
    expect([0.5 * (1 + extensionShare), 0.5 * (1 - compressionShare)]).toEqual([1, 0.25]);
  });
});
