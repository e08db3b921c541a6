import type { ScenarioDraft } from './scenario-draft.ts';

/** Years drawn for a horizon that cannot be read. */
const USUAL_HORIZON = 20;
const LONGEST_HORIZON = 40;

/** The calendar years of a draft's horizon. */
export function horizonYears(
  { horizonYears: typed }: Pick<ScenarioDraft, 'horizonYears'>,
  firstYear: number,
): number[] {
  const length = /^\d+$/.test(typed.trim()) ? Number(typed) : USUAL_HORIZON;
  const years = length >= 1 && length <= LONGEST_HORIZON ? length : USUAL_HORIZON;
  return Array.from({ length: years }, (_, i) => firstYear + i);
}

/**
 * Several amounts from a spreadsheet, one for each year from the one they were pasted into. Cells that are beyond the last
 * year are left out.
 * @returns null for a single amount, which goes into its field as usual
 */
export function spreadOverYears(text: string, years: readonly number[], from: number): Record<string, string> | null {
  const cells = text
    .replace(/\r/g, '')
    .replace(/\n+$/, '')
    .split(/[\t\n]/)
    .map((cell) => cell.trim());
  if (cells.length < 2) return null;
  const first = years.indexOf(from);
  return Object.fromEntries(
    cells.slice(0, years.length - first).map((cell, index) => [String(years[first + index]), cell]),
  );
}
