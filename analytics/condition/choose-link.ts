import { isOneIn } from '../numeric/one-in-many.ts';
import { pick, pickRows } from '../numeric/pick-rows.ts';
import type { ConditionData } from './condition.ts';
import { type ConditionOptions, fitCondition } from './fit-condition.ts';
import { SHARE_LINKS, type ShareLink } from './share-link.ts';
import { pickReadings } from './share-lists.ts';

/** Rows are thinned evenly to about so many: the curve of growth is the same for all. */
const ROWS_FOR_CHOICE = 3000;
/** As many often tell already. */
const ROWS_AT_FIRST = 1000;
/** A link that is as far behind on those, in log-likelihood, is not tried on more: e^10 to 1. */
const HOPELESS = 10;

export interface LinkChoice {
  readonly link: ShareLink;
  /** Best first; logLikelihood of ages and shares on the rows used, null where the fit was not used. */
  readonly compared: readonly { readonly link: ShareLink; readonly logLikelihood: number | null }[];
  readonly rows: number;
}

/**
 * The link under which the records are likeliest; all have the same number of parameters. `options.reading.link` stands
 * where shares are too few for any.
 */
export function chooseLink(data: ConditionData, options: ConditionOptions): LinkChoice {
  const first = compareLinks(thinRows(data, ROWS_AT_FIRST), SHARE_LINKS, options);
  if (data.lower.length <= ROWS_AT_FIRST) return first;
  const best = first.compared[0].logLikelihood ?? -Infinity;
  const hopeful = first.compared.filter(
    ({ logLikelihood }) => logLikelihood === null || best - logLikelihood < HOPELESS,
  );
  if (hopeful.length === 1) return first;
  const links = hopeful.map(({ link }) => link);
  return compareLinks(thinRows(data, ROWS_FOR_CHOICE), links, options);
}

function compareLinks(rows: ConditionData, links: readonly ShareLink[], options: ConditionOptions): LinkChoice {
  const compared = links
    .map((link) => {
      const fit = fitCondition(rows, { ...options, reading: { ...options.reading, link }, rough: true });
      return { link, logLikelihood: fit.used ? fit.life.logLikelihood : null };
    })
    .sort((a, b) => (b.logLikelihood ?? -Infinity) - (a.logLikelihood ?? -Infinity));
  const best = compared[0].logLikelihood === null ? options.reading.link : compared[0].link;
  return { link: best, compared, rows: rows.lower.length };
}

/** About `most` rows with their readings, picked from all over. */
export function thinRows(data: ConditionData, most: number): ConditionData {
  const oneIn = data.lower.length / most;
  if (oneIn <= 1) return data;
  const rows = Int32Array.from(data.lower.keys()).filter((i) => isOneIn(oneIn, i));
  return {
    names: data.names,
    intercept: data.intercept,
    entry: pick(data.entry, rows),
    lower: pick(data.lower, rows),
    upper: pick(data.upper, rows),
    weight: pick(data.weight, rows),
    covariates: pickRows(data.covariates, rows, data.names.length),
    ...pickReadings(data, rows),
  };
}
