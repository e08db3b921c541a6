import { yearHazards } from '../../analytics/pooling/year-hazards.ts';
import { spreadDraws, type YearSpread, yearSpread } from '../../analytics/pooling/year-spread.ts';
import type { AftData, AftFit } from '../../analytics/survival/aft.ts';
import type { Network } from './network.ts';

/** How much calendar years differ, as the records tell it. */
export interface FittedYears {
  readonly spread: YearSpread;
  /** SD of the log of a year's multiplier of the hazard, one for each draw of the model. */ readonly sd: Float64Array;
}

export interface YearRows {
  readonly data: AftData;
  readonly fit: AftFit;
  /** Of district, facility and lot on each row's log life; null: none is used. */
  readonly effectOfRow: Float64Array | null;
}

/** So many rows tell years apart as well as years ever can: what is left is that years are few. */
const ROWS_ENOUGH = 12_000;
const NO_HAZARDS = {
  ...{ firstYear: 0, years: 0, sound: new Float64Array(0), start: Int32Array.of(0), year: new Int32Array(0) },
  ...{ hazard: new Float64Array(0), weight: new Float64Array(0) },
};

/** @param known null: no seal has told anything yet */
export function fitYears(
  { rows }: Pick<Network, 'rows'>,
  known: YearRows | null,
  drawing: { readonly draws: number; readonly seed: number },
): FittedYears {
  const spread = yearSpread(known ? hazardsOf(rows, known) : NO_HAZARDS);
  return { spread, sd: spreadDraws(spread, drawing) };
}

function hazardsOf(rows: Network['rows'], { data, fit, effectOfRow }: YearRows) {
  const installed = Float64Array.from(rows, (row) => row.installedYear);
  const effect = effectOfRow ?? new Float64Array(rows.length);
  return yearHazards(data, fit, { installed, effect, oneIn: Math.ceil(rows.length / ROWS_ENOUGH) });
}
