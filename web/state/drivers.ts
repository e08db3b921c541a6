import type { DriverStep, Drivers, WhatIfRequest } from '../../server/schemas/drivers.ts';
import type { Preparation, SealantClass } from '../../server/schemas/words.ts';
import { type FieldProblem, parseDecimal } from './budget-edit.ts';
import { formatNumber, formatYear, formatYearRange } from './format.ts';
import { type Units, widthInMm, widthInUnits } from './units.ts';

/** The steps of the ladder in a few words each, for the axis of a picture. */
export const STEP_LABELS: Readonly<Record<DriverStep['step'], string>> = {
  prior: 'Believed before',
  class: '+ records of its class',
  covariates: '+ its place and making',
  inspections: '+ its own inspections',
};

/** "2031 (2028 to 2036)": the forecast at one step with its 80 % interval. */
export const failureYearText = ({ median, lower, upper }: DriverStep['failureYear']): string =>
  median === null
    ? `over 100 years (${formatYearRange(lower, upper)})`
    : `${formatYear(median)} (${formatYearRange(lower, upper)})`;

/**
 * Years that the picture of the ladder shows: from the installation to the last end of an interval.
 * @returns open: some interval goes on past what can be drawn
 */
export function ladderSpan({ installed, steps }: Drivers): { from: number; to: number; open: boolean } {
  const years = steps.flatMap(({ failureYear: { median, lower, upper } }) => [median, lower, upper]);
  const known = years.filter((year) => year !== null);
  const last = Math.max(installed + 10, ...known);
  const open = known.length < years.length;
  return { from: Math.min(installed, ...known), to: open ? last + Math.max(5, (last - installed) * 0.1) : last, open };
}

/** What a segment would be resealed with, as typed. The width is in the screen's unit; '' is the width of now. */
export interface WhatIfDraft {
  readonly sealantClass: SealantClass;
  readonly widthText: string;
  readonly preparation: Preparation;
  readonly yearText: string;
}

/** Bounds of the request's schema. */
const [LEAST_MM, MOST_MM] = [3, 100];
const LAST_YEAR = 2300;

const widthText = (widthMm: number, units: Units): string => {
  const { value, unit } = widthInUnits(widthMm, units);
  return `${formatNumber(value, units === 'us' ? 2 : 0)} ${unit}`;
};

/** What to ask, or what must be mended first. */
export function readWhatIf(
  draft: WhatIfDraft,
  units: Units,
  planningYear: number,
): { request: WhatIfRequest; problems: FieldProblem[] } {
  const problems: FieldProblem[] = [];
  const typed = draft.widthText.trim() === '' ? null : parseDecimal(draft.widthText);
  const widthMm = typed === null ? null : Number(widthInMm(typed, units).toFixed(6));
  const unreadable = typed === null && draft.widthText.trim() !== '';
  if (unreadable || (widthMm !== null && (widthMm < LEAST_MM || widthMm > MOST_MM)))
    problems.push({
      key: 'width',
      field: 'widthText',
      message: `Give a number from ${widthText(LEAST_MM, units)} to ${widthText(MOST_MM, units)}, or leave it empty.`,
    });
  const year = parseDecimal(draft.yearText);
  if (year === null || !Number.isInteger(year) || year < planningYear || year > LAST_YEAR)
    problems.push({ key: 'year', field: 'yearText', message: `Give a year from ${planningYear} on.` });
  const { sealantClass, preparation } = draft;
  return {
    problems,
    request: { sealantClass, preparation, year: year ?? planningYear, ...(widthMm === null ? {} : { widthMm }) },
  };
}
