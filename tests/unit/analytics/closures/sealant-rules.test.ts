import { describe, expect, test } from 'vitest';
import { openingTime, refusedClass, refusedRod, rodSizeMm } from '../../../../analytics/closures/sealant-rules.ts';
import { passesTemperature, weatherGate } from '../../../../analytics/closures/weather-gates.ts';
import { workQuantities } from '../../../../analytics/closures/work-quantities.ts';

describe('what a standard excludes', () => {
  test('hot-applied (ASTM D6690) and silicone (ASTM D5893) are refused where fuel is spilt, with the standard', () => {
    expect(refusedClass('hot-applied-type-2', true)).toContain('D6690');
    expect(refusedClass('silicone-non-sag', true)).toContain('D5893');
    for (const allowed of ['polysulfide', 'polyurethane-two-part', 'preformed-compression'])
      expect(refusedClass(allowed, true)).toBeNull();
    expect(refusedClass('silicone-non-sag', false)).toBeNull();
  });

  test('an unknown class is refused anywhere', () => {
    expect(refusedClass('unknown', false)).toContain('choose one');
  });

  test('a rod for cold sealant only (ASTM D5249 type 3) is refused under hot-applied', () => {
    expect(refusedRod('hot-applied', 'round-cold-only')).toContain('type 3');
    expect(refusedRod('hot-applied', 'round-hot-or-cold')).toBeNull();
    expect(refusedRod('silicone-non-sag', 'round-cold-only')).toBeNull();
  });
});

describe('quantities', () => {
  const joint = {
    lengthM: 1000,
    newClass: 'hot-applied',
    widthMm: 10,
    beadDepthMm: 10,
    withRod: true,
    rodType: 'round-hot-or-cold' as const,
  };

  test('sealant by the published formula: 10 x 10 mm x 1,000 m with 20 % waste is 120 L; tooled 10 x 5 with 15 % 63.25 L', () => {
    // FHWA-RD-99-146 section 3.10: V = 0.001 x WF x ST x W x T x L, recomputed from the formula.
    expect(workQuantities([joint], 1.2).sealantL.get('hot-applied')).toBeCloseTo(120, 9);
    const tooled = { ...joint, newClass: 'silicone-non-sag', beadDepthMm: 5 };
    expect(workQuantities([tooled], 1.15).sealantL.get('silicone-non-sag')).toBeCloseTo(63.25, 9);
  });

  test('rod: 1/2 in joint takes 5/8 in rod, with offcuts', () => {
    // common practice: a quarter over the width; 12.7 x 1.25 = 15.9 mm.
    expect(rodSizeMm(12.7)).toBeCloseTo(15.875, 3);
    expect(rodSizeMm(13)).toBeCloseTo(19.05, 2);
    expect(rodSizeMm(60)).toBeNull();
    const { rods } = workQuantities([{ ...joint, widthMm: 12.7 }, joint]);
    expect(rods.map(({ diameterMm }) => diameterMm)).toEqual([12.7, 15.875]);
    expect(rods[0].metres).toBeCloseTo(1050, 9);
  });

  test('a preformed seal is counted in metres, and a forbidden rod is named once', () => {
    const preformed = workQuantities([{ ...joint, newClass: 'preformed-compression' }]);
    expect([preformed.sealantL.size, preformed.rods.length]).toEqual([0, 0]);
    expect(preformed.preformedM.get('preformed-compression')).toBeCloseTo(1050, 9);
    const cold = { ...joint, rodType: 'round-cold-only' as const };
    expect(workQuantities([cold, cold]).faults).toHaveLength(1);
  });
});

describe('temperature limits side by side', () => {
  // 40 °F is 4.44 °C, 45 °F is 7.22 °C, 50 °F is 10 °C (published conversions).
  test.each([
    ['federal-lands-40f', 4.44, 4.45],
    ['state-40f', 4.44, 4.45],
    ['state-45f-rising', 7.21, 7.23],
    ['airfield-50f-rising', 9.99, 10],
    ['airport-50f', 10, 10.01],
  ] as const)('%s refuses %s °C and takes %s °C', (profile, cold, warm) => {
    const gate = weatherGate(profile, 'silicone-self-levelling');
    expect([passesTemperature(gate, cold), passesTemperature(gate, warm)]).toEqual([false, true]);
  });

  test('a compression seal needs more than 0 °C under any profile', () => {
    const gate = weatherGate('airfield-50f-rising', 'preformed-compression');
    expect([passesTemperature(gate, 0), passesTemperature(gate, 0.1), gate.rising]).toEqual([false, true, false]);
  });
});

describe('time to opening', () => {
  test('silicone: 1 h at 75 °F, the longer of 2 to 3 h at 40 °F, no less or more beyond', () => {
    expect([23.9, 30, 4.4, -5].map((airC) => openingTime('silicone-self-levelling', airC).minutes)).toEqual([
      60, 60, 180, 180,
    ]);
  });

  test('each class has one, and an unknown class none', () => {
    expect(openingTime('preformed-compression', 10).minutes).toBe(0);
    expect(() => openingTime('unknown', 10)).toThrow('expected a known sealant class');
  });
});
