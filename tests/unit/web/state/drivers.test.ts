import { describe, expect, test } from 'vitest';
import type { Drivers } from '../../../../server/schemas/drivers.ts';
import { failureYearText, ladderSpan, readWhatIf, type WhatIfDraft } from '../../../../web/state/drivers.ts';

const draft: WhatIfDraft = {
  sealantClass: 'polysulfide',
  widthText: '',
  preparation: 'blasted',
  yearText: '2027',
};

describe('what if it were resealed', () => {
  test('an empty width is the width of now and is not sent', () => {
    expect(readWhatIf(draft, 'si', 2026)).toEqual({
      request: { sealantClass: 'polysulfide', preparation: 'blasted', year: 2027 },
      problems: [],
    });
  });

  test('half an inch is 12.7 mm', () => {
    expect(readWhatIf({ ...draft, widthText: '0.5' }, 'us', 2026).request.widthMm).toBe(12.7);
    expect(readWhatIf({ ...draft, widthText: '12' }, 'si', 2026).request.widthMm).toBe(12);
  });

  test('a width or a year out of bounds is named with what is allowed, in the units of the screen', () => {
    const problem = (part: Partial<WhatIfDraft>, units: 'si' | 'us' = 'si') =>
      readWhatIf({ ...draft, ...part }, units, 2026).problems.map(({ message }) => message)[0];
    expect(problem({ widthText: '2' })).toContain('3 mm to 100 mm');
    expect(problem({ widthText: '12' }, 'us')).toContain('0.12 in to 3.94 in');
    expect(problem({ widthText: 'wide' })).toContain('leave it empty');
    for (const yearText of ['2025', '2026.5', '', 'soon', '2301'])
      expect(problem({ yearText })).toContain('from 2026 on');
  });
});

describe('the ladder of a forecast', () => {
  test('a year with its interval in words; what is too far ahead is said to be so', () => {
    expect(failureYearText({ median: 2031.4, lower: 2028.9, upper: 2036 })).toBe('2031 (2028 to 2036)');
    expect(failureYearText({ median: null, lower: 2090, upper: null })).toBe('over 100 years (2090 to over 100 years)');
  });

  const drivers = (failureYear: Drivers['steps'][number]['failureYear']): Drivers => ({
    segmentId: 'A',
    modelVersion: 1,
    sealantClass: 'polysulfide',
    installed: 2015.5,
    steps: [{ step: 'prior', label: '', failureYear, informationShare: 1, sentence: '' }],
    leftOpenShare: 0.4,
    informationNote: '',
    levels: [],
    effects: [],
    together: { median: 1, lower: 1, upper: 1 },
    summary: '',
  });

  test('the axis runs from the installation to the last end of an interval', () => {
    expect(ladderSpan(drivers({ median: 2030, lower: 2022, upper: 2044 }))).toEqual({
      from: 2015.5,
      to: 2044,
      open: false,
    });
  });

  test('an interval without an end leaves room for its arrow', () => {
    const { to, open } = ladderSpan(drivers({ median: 2030, lower: 2022, upper: null }));
    expect(open).toBe(true);
    expect(to).toBeGreaterThan(2030);
  });
});
