import { test } from 'vitest';
import { DEFAULT_SEED } from '../../data-demo/make-demo.ts';
import { demoAgency } from '../unit/data-demo/demo-agency.ts';
import { type DemoLives, demoLives, medianOf } from '../unit/server/evidence/demo-lives.ts';
import { type DemoPast, demoPast, gainOver } from '../unit/server/evidence/demo-past.ts';
import { type Figure, keepFigures } from './figures.ts';

const SEGMENTS = 12_000;
/** Several agencies: of one alone, chance still blurs a tenth by two points. */
const SEEDS = [DEFAULT_SEED, 5, 11];

test('forecasts agencies whose true lives are known', async () => {
  const pasts: DemoPast[] = [];
  const lives: DemoLives[] = [];
  for (const seed of SEEDS) {
    const agency = await demoAgency(SEGMENTS, seed);
    pasts.push(demoPast(agency));
    lives.push(demoLives(agency));
  }
  await keepFigures('demo-past', pastFigures(pasts));
  await keepFigures('demo-lives', livesFigures(lives));
});

const total = <T>(parts: readonly T[], pick: (part: T) => number): number =>
  parts.reduce((sum, part) => sum + pick(part), 0);

function pastFigures(pasts: readonly DemoPast[]): Figure[] {
  const tenths = pooledTenths(pasts);
  const offs = tenths.map(({ trials, found, expected }) => (100 * (found - expected)) / trials);
  const share = (parts: readonly { readonly share: number; readonly count: number }[]) =>
    (100 * total(parts, (part) => part.share * part.count)) / total(parts, (part) => part.count);
  const gain = (of: 'report' | 'truth', against: string) =>
    total(pasts, (past) => past[of].trials * gainOver(past[of], against));
  const looks = total(pasts, ({ report }) => report.trials);
  const held = { unit: '%', target: '77 to 83 %' };
  return [
    { what: 'later looks forecast from four past dates', value: looks, unit: '' },
    {
      what: 'farthest that a tenth is off what was found',
      value: Math.max(...offs.map(Math.abs)),
      unit: 'points',
      target: 'within 3',
    },
    ...tenths.map(({ label, trials }, k) => ({
      what: `chance ${label}: found less forecast (${trials} looks)`,
      value: offs[k],
      unit: 'points',
    })),
    {
      what: 'single lives held by 80 % intervals',
      value: share(pasts.map(({ report }) => report.model.lifeIntervals[0])),
      ...held,
    },
    {
      what: 'failures in a group held by 80 % intervals',
      value: share(pasts.flatMap(({ report }) => report.model.cells?.counts[0] ?? [])),
      ...held,
    },
    {
      what: 'skill over the class curve, of what the true model reaches',
      value: (100 * gain('report', 'class curve')) / gain('truth', 'class curve'),
      unit: '%',
      target: 'at least 95 %',
    },
    ...pasts[0].report.comparisons.map(({ against }) => ({
      what: `gain in log score per look over ${against}`,
      value: gain('report', against) / looks,
      unit: '',
    })),
  ];
}

function pooledTenths(pasts: readonly DemoPast[]) {
  const rows = pasts.flatMap(({ report }) => report.model.tenths);
  return [...new Set(rows.map(({ label }) => label))].sort().map((label) => {
    const of = rows.filter((row) => row.label === label);
    return {
      label,
      trials: total(of, (row) => row.trials),
      found: total(of, (row) => row.found),
      expected: total(of, (row) => row.expected),
    };
  });
}

function livesFigures(lives: readonly DemoLives[]): Figure[] {
  const segments = total(lives, (each) => each.segments);
  const plain = medianOf(lives.flatMap(({ plainErrors }) => plainErrors));
  const inUse = medianOf(lives.flatMap(({ errors }) => errors));
  const held = (count: number) => ({ value: (100 * count) / segments, unit: '%' });
  return [
    { what: 'seals in place with damage on record', value: segments, unit: '' },
    { what: 'median error of remaining life, soundness and failure alone', value: plain, unit: 'years' },
    { what: 'median error of remaining life, model in use', value: inUse, unit: 'years' },
    { what: 'error saved by the shares', value: 100 * (1 - inUse / plain), unit: '%', target: 'at least 15 %' },
    {
      what: 'true lives within 80 % intervals, soundness and failure alone',
      ...held(total(lives, (each) => each.plainCovered)),
    },
    {
      what: 'true lives within 80 % intervals, model in use',
      ...held(total(lives, (each) => each.covered)),
      target: '77 to 83 %',
    },
  ];
}
