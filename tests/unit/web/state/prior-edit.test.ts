import { describe, expect, test } from 'vitest';
import type { ClassBelief, PriorTable } from '../../../../server/schemas/priors.ts';
import type { SealantClass } from '../../../../server/schemas/words.ts';
import {
  believedLife,
  draftPriors,
  publishedDraft,
  readPriors,
  sameDraft,
  withTyped,
} from '../../../../web/state/prior-edit.ts';

const silicone = { medianYears: 12, rangeFactor: 2.66, source: 'a survey of ranges' };
const row = (sealantClass: SealantClass, published: ClassBelief, believed = published) => ({
  ...{ sealantClass, published, believed, changed: believed !== published, worthFailures: 0.64 },
  ...{ sentence: '', caution: null, fitted: null, before: null },
});
const effects = { rangeFactor: 1.99, source: 'a proposal' };
const shape = { median: 2.5, rangeFactor: 2.19, source: 'a proposal' };
const table: PriorTable = {
  ...{ modelVersion: 2, versionBefore: 1, fittedWithThese: true, note: '' },
  classes: [
    row('silicone-non-sag', silicone),
    row('polysulfide', { ...silicone, medianYears: 8 }, { medianYears: 9.5, rangeFactor: 1.8, source: 'our depot' }),
  ],
  effects: { published: effects, believed: effects, changed: false, logSd: 0.35, sentence: '' },
  shape: { published: shape, believed: shape, changed: false, fitted: null, before: null, sentence: '' },
};
const draft = draftPriors(table);
const published = publishedDraft(table);

describe('beliefs as typed', () => {
  test('nothing touched, nothing changed: only what is the agency’s own is saved', () => {
    expect(readPriors(draft, table)).toEqual({
      problems: [],
      priors: {
        classes: { polysulfide: { medianYears: 9.5, rangeFactor: 1.8, source: 'our depot' } },
        effects: null,
        shape: null,
      },
    });
  });

  test('all as published is null, whatever the blanks', () => {
    expect(readPriors(published, table)).toEqual({ problems: [], priors: null });
    expect(sameDraft(draft, published)).toBe(false);
  });

  test('each figure outside its bounds is named with what is allowed', () => {
    const wrong = {
      ...draft,
      'silicone-non-sag': { ...draft['silicone-non-sag'], middle: '0' },
      polysulfide: { ...draft.polysulfide, rangeFactor: '1' },
      effects: { ...draft.effects, rangeFactor: '1,5' },
      shape: { ...draft.shape, middle: 'steep' },
    };
    expect(readPriors(wrong, table).problems).toEqual([
      { key: 'silicone-non-sag', field: 'middle', message: 'Give a number from 0.5 to 100 years.' },
      { key: 'polysulfide', field: 'rangeFactor', message: 'Give a number from 1.1 to 20.' },
      { key: 'effects', field: 'rangeFactor', message: 'Give a number from 1.05 to 10.' },
      { key: 'shape', field: 'middle', message: 'Give a number from 0.5 to 10.' },
    ]);
  });

  test('the published source does not stand for other figures, and comes back with the published ones', () => {
    const line = published['silicone-non-sag'];
    const typed = withTyped(line, { middle: '15' }, line);
    expect(typed).toEqual({ ...line, middle: '15', source: '' });
    expect(withTyped(typed, { middle: '12' }, line)).toEqual(line);
    const reasoned = withTyped(typed, { source: 'our depot' }, line);
    expect(withTyped(reasoned, { rangeFactor: '1.5' }, line).source).toBe('our depot');
  });

  test('the 80 % interval lies within the 95 % factor: 2.66 either way is 1.90', () => {
    // exp(1.2816 x 0.5) = 1.898, by hand.
    const { lower, median, upper } = believedLife(table.classes[0]);
    expect(upper / median).toBeCloseTo(1.898, 2);
    expect(median / lower).toBeCloseTo(1.898, 2);
  });
});
