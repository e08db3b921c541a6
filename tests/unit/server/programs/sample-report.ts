import type { Interval } from '../../../../server/schemas/common.ts';
import type { Program, ProgramTotals } from '../../../../server/schemas/program.ts';

const about = (median: number): Interval => ({ median, lower: median * 0.9, upper: median * 1.1 });

const figures = (year: number, y: number) => ({
  year,
  lengthM: 1000 + 100 * y,
  cost: about(12_000 + 1000 * y),
  constantCost: about(11_000 + 900 * y),
  failedShare: about(0.1 + 0.01 * y),
  backlogM: about(500 + 10 * y),
});

const totals = (scale: number): ProgramTotals => ({
  presentCost: about(100_000 * scale),
  presentOpenCost: about(40_000 * scale),
  presentFinalCost: 60_000 * scale,
  annualCost: about(9000 * scale),
  nominalCost: about(150_000 * scale),
  lengthM: 12_000 * scale,
  works: 10 * scale,
  failedLengthYearsM: about(20_000 * scale),
  backlogAtEndM: about(700 * scale),
  failedShareAtEnd: about(0.2),
  budgetUsedShare: 0.95,
});

/** A report whose numbers mean nothing, with every part filled, for what only passes it on or draws it. */
export function sampleReport({
  years: count = 5,
  change = {},
}: {
  years?: number;
  change?: Partial<Program>;
} = {}): Program {
  const years = Array.from({ length: count }, (_, y) => 2026 + y);
  const part = years.map(figures);
  return {
    scenarioId: 'plan',
    scenarioName: 'Adopted 2026–2030',
    scenarioRevision: 1,
    modelVersion: 1,
    dataVersion: 1,
    planningDate: '2026-07-01',
    currency: 'USD',
    priceYear: 2025,
    escalationPerYear: 0.03,
    discountRatePerYear: 0.04,
    question: 'least-cost',
    status: 'solved',
    sentence: 'Resealing 12 km over 5 years keeps the failed share near 15 %.',
    objective: 200_000,
    bound: 199_500,
    gapShare: 0.0025,
    method: 'decomposition',
    conflicts: [],
    years: part.map((row) => ({
      ...row,
      ...{ works: 3, facilities: 2, mobilisationCost: 4000, neighboursM: 200, budgetAtMost: 15_000, budgetPrice: 0.2 },
    })),
    rows: ['North', 'South'].flatMap((district) =>
      years.map((year, y) => ({
        ...{ district, sealantClass: 'polysulfide' as const, year, lengthM: 500 + 50 * y, works: 2 },
        ...{ cost: about(5000 + 500 * y), constantCost: about(4800 + 450 * y) },
      })),
    ),
    districts: ['North', 'South'].flatMap((district) => part.map((row) => ({ district, ...row }))),
    facilityKinds: part.map((row) => ({ facilityKind: 'highway' as const, ...row })),
    totals: totals(1),
    baselines: (['nothing', 'worst-first', 'fixed-cycle', 'all-needs-met'] as const).map((baseline, i) => ({
      baseline,
      rule: 'As its name says.',
      totals: totals(i),
      years: part,
    })),
    handMadeCost: null,
    asked: [{ what: 'Years', value: '2026 to 2030' }],
    assumptions: ['Forecast from 2026-07-01.'],
    cautions: ['For planning: not a safety assessment.'],
    ...change,
  };
}
