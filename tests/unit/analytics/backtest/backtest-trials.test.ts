import { describe, expect, test } from 'vitest';
import { backtestTrials, inspectionTrials } from '../../../../analytics/backtest/backtest-trials.ts';
import type { TrialHistory } from '../../../../analytics/backtest/trial-history.ts';

const RULES = { failureThresholdShare: 0.1, inspectionMethod: 'joint-length', today: '2020-01-01' };

type Looks = readonly (readonly [day: string, share: number])[];

function segment(id: string, looks: Looks, more: Partial<TrialHistory> = {}, removed: string | null = null) {
  return {
    records: {
      segmentId: id,
      unsealedByPolicy: false,
      seals: [
        {
          id: `${id}-1`,
          installedFrom: '2000-01-01',
          installedTo: '2000-01-01',
          removedOn: removed,
          removalReason: removed === null ? null : ('failed' as const),
        },
      ],
      inspections: looks.map(([inspectedOn, damagedShare]) => ({ inspectedOn, damagedShare, method: 'joint-length' })),
    },
    recordsFrom: null,
    facility: 'F1',
    district: 'North',
    climateZone: null,
    lengthM: 100,
    sealantClasses: ['polysulfide'],
    ...more,
  };
}

const run = (histories: readonly TrialHistory[], cutoffs = ['2010-01-01'], horizonYears = 5) =>
  backtestTrials(histories, RULES, { cutoffs, horizonYears });

/** Start, look and outcome of each trial, ages to one decimal. */
const told = ({ trials }: ReturnType<typeof run>) =>
  Array.from(trials.fromYears, (from, i) => [
    Number(from.toFixed(1)),
    Number(trials.lookYears[i].toFixed(1)),
    trials.failed[i],
  ]);

describe('what a cut-off knew and what later looks found', () => {
  test('each look after the cut-off is a trial from the last sound look, up to the first failure', () => {
    const looks: Looks = [
      ['2004-01-01', 0],
      ['2008-01-01', 0.03],
      ['2011-01-01', 0.05],
      ['2013-01-01', 0.2],
      ['2014-01-01', 0.3],
    ];
    const found = run([segment('A', looks)]);
    expect(told(found)).toEqual([
      [8, 11, 0],
      [11, 13, 1],
    ]);
    expect(found.trials.leadYears[0]).toBeCloseTo(1, 2);
    expect([...found.trials.life]).toEqual([0, 0]);
    expect(found.trials.fromShare[0]).toBe(0.03);
  });

  test('looks beyond the horizon are not forecast', () => {
    const found = run([
      segment('A', [
        ['2011-01-01', 0],
        ['2016-01-01', 0.5],
      ]),
    ]);
    expect(told(found)).toEqual([[0, 11, 0]]);
  });

  test('a seal known to have failed, or removed, by the cut-off is no trial', () => {
    const failed = segment('A', [
      ['2005-01-01', 0],
      ['2008-01-01', 0.4],
      ['2012-01-01', 0.5],
    ]);
    const removed = segment('B', [['2005-01-01', 0]], {}, '2009-01-01');
    expect(run([failed, removed]).trials.count).toBe(0);
  });

  test('a removal as failed that no look saw counts as a look that found it failed', () => {
    const found = run([segment('A', [['2008-01-01', 0]], {}, '2012-01-01')]);
    expect(told(found)).toEqual([[8, 12, 1]]);
  });

  test('… in the last round of its facility before the removal, when sound seals were looked at too', () => {
    const removed = segment('A', [['2008-01-01', 0]], {}, '2012-01-01');
    const neighbour = segment('B', [
      ['2009-06-01', 0],
      ['2011-05-01', 0],
      ['2012-05-01', 0],
    ]);
    const elsewhere = segment('C', [['2011-10-01', 0]], { facility: 'F2' });
    const [found, ...others] = told(run([removed, neighbour, elsewhere]));
    expect(found).toEqual([8, 11.3, 1]);
    expect(others.map(([, , failed]) => failed)).toEqual([0, 0, 0]);
  });

  test('with delayed entry the first trial starts where the records of the facility begin', () => {
    const found = run([segment('A', [['2013-01-01', 0]], { recordsFrom: '2011-01-01' })]);
    expect(told(found)).toEqual([[11, 13, 0]]);
  });

  test('the rows to fit hold nothing that was found later', () => {
    const looks: Looks = [
      ['2008-01-01', 0],
      ['2012-01-01', 0.5],
    ];
    const { knownBefore } = run([segment('A', looks)], ['2010-01-01', '2014-01-01']);
    expect([...knownBefore[0].rows.upperYears]).toEqual([Infinity]);
    expect(knownBefore[1].rows.upperYears[0]).toBeCloseTo(12, 1);
    expect(knownBefore[0].past.count).toBe(1);
    expect(knownBefore[1].past.count).toBe(2);
  });

  test('a reading that later ones prove wrong is no outcome, and is counted', () => {
    const looks: Looks = [
      ['2008-01-01', 0],
      ['2011-01-01', 0.4],
      ['2013-01-01', 0.01],
    ];
    const found = run([segment('A', looks)]);
    expect(found.trials.count).toBe(0);
    expect(found.leftOutSeals.contradictory).toBe(1);
  });

  test('a seal installed after the cut-off takes part as new, or not at all', () => {
    const later = segment('A', [['2013-01-01', 0]]);
    const history = {
      ...later,
      records: {
        ...later.records,
        seals: [{ ...later.records.seals[0], installedFrom: '2011-01-01', installedTo: '2011-01-01' }],
      },
    };
    expect(told(run([history]))).toEqual([[0, 2, 0]]);
    const without = backtestTrials([history], RULES, {
      cutoffs: ['2010-01-01'],
      horizonYears: 5,
      includeLaterSeals: false,
    });
    expect(without.trials.count).toBe(0);
  });

  test('two cut-offs forecast one look twice, and both trials say that it is one look', () => {
    const { trials } = run([segment('A', [['2012-01-01', 0.5]])], ['2009-01-01', '2011-01-01']);
    expect([...trials.cutoff]).toEqual([0, 1]);
    expect(trials.look[0]).toBe(trials.look[1]);
    expect(trials.life[0]).not.toBe(trials.life[1]);
  });

  test('all inspection intervals on record are the trials of a fit to all records', () => {
    const trials = inspectionTrials(
      [
        segment('A', [
          ['2004-01-01', 0],
          ['2008-01-01', 0.5],
        ]),
      ],
      RULES,
    );
    expect([...trials.failed]).toEqual([0, 1]);
    expect(trials.fromYears[0]).toBe(0);
  });

  test('cut-offs that do not rise, or are not past, are refused', () => {
    expect(() => run([], ['2012-01-01', '2010-01-01'])).toThrow('Cut-off 2012-01-01 is not before 2010-01-01');
    expect(() => run([], ['2020-01-01'])).toThrow('expected rising days before today');
    expect(() => run([], ['2010-01-01'], 0)).toThrow('horizonYears is 0');
  });
});
