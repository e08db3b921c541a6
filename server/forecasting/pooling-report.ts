import { intervalOf } from '../../analytics/forecast/draw-table.ts';
import type { GroupingDraws } from '../../analytics/pooling/level-draws.ts';
import { type GroupingChoice, LEAST_FAILURES_WORTH, LEAST_GAIN } from '../../analytics/pooling/pooled-levels.ts';
import type { Interval } from '../schemas/common.ts';
import type { PooledGroupingName, PooledGroupingReport, PoolingReport } from '../schemas/pooling.ts';
import type { FittedModel } from './fit-network.ts';
import { ruleOf } from './level-groupings.ts';
import type { Network } from './network.ts';

const MOST_LISTED = 5;
const PLURALS: Readonly<Record<PooledGroupingName, string>> = {
  district: 'districts',
  facility: 'facilities',
  lot: 'lots',
};

/** Whether forecasts allow for what seals of one district, facility or lot share, and why. */
export function poolingReport(network: Network, { levels, fit }: FittedModel): PoolingReport {
  const nothing = { used: false, leastGain: LEAST_GAIN, groupings: [] };
  if (!levels)
    return {
      ...nothing,
      sentence: fit
        ? 'The settings say not to look whether districts, facilities or lots differ: seals count as independent, given their class and covariates.'
        : 'No inspection has told anything about life yet, so districts, facilities and lots cannot be compared.',
    };
  if (!levels.choices)
    return {
      ...nothing,
      sentence: `The records know less of life than ${LEAST_FAILURES_WORTH} failures would, too little to compare districts, facilities or lots: seals count as independent, given their class and covariates.`,
    };
  const groupings = levels.choices.map((choice, g) =>
    groupingReport(
      network,
      choice,
      levels.groupings[g].index,
      levels.draws.find(({ name }) => name === choice.name),
    ),
  );
  return { ...nothing, used: levels.draws.length > 0, groupings, sentence: sentenceOf(groupings) };
}

function groupingReport(
  network: Network,
  choice: GroupingChoice,
  index: Int32Array,
  draws: GroupingDraws | undefined,
): PooledGroupingReport {
  const name = ruleOf(choice.name).name;
  const factor = draws ? intervalOf(draws.sd.map(Math.exp)) : null;
  const known = new Set(index);
  known.delete(-1);
  const listed = draws ? levelLines(network, draws, index) : [];
  const half = Math.min(MOST_LISTED, Math.floor(listed.length / 2));
  return {
    name,
    used: choice.used,
    factor,
    gain: choice.gain,
    levels: known.size,
    unknownSeals: index.reduce((sum, level) => sum + Number(level < 0), 0),
    sentence: groupingSentence(PLURALS[name], choice, factor, known.size),
    shortest: listed.slice(0, half),
    longest: half > 0 ? listed.slice(-half).reverse() : [],
  };
}

/** Levels with seals in the fit, the shortest lives first. */
function levelLines({ rows, facilityNames }: Network, { name, levels, effects, sd }: GroupingDraws, index: Int32Array) {
  const seals = new Int32Array(levels.length);
  const failures = new Int32Array(levels.length);
  for (const [i, { observation }] of rows.entries()) {
    if (index[i] < 0) continue;
    seals[index[i]]++;
    if (Number.isFinite(observation.upperDays)) failures[index[i]]++;
  }
  return levels
    .map((level, l) => ({
      level: name === 'facility' ? (facilityNames.get(level) ?? level) : level,
      lifeRatio: lifeRatio(effects.subarray(l * sd.length, (l + 1) * sd.length)),
      seals: seals[l],
      failures: failures[l],
    }))
    .filter((line) => line.seals > 0)
    .sort((a, b) => a.lifeRatio.median - b.lifeRatio.median);
}

/** Life over that of the average level, from the draws of one effect. */
export const lifeRatio = (effects: Float32Array): Interval => intervalOf(Float64Array.from(effects, Math.exp));

function groupingSentence(
  plural: string,
  { used, sd, gain }: GroupingChoice,
  factor: Interval | null,
  levels: number,
): string {
  const subject = plural[0].toUpperCase() + plural.slice(1);
  if (sd === null)
    return levels === 0
      ? `${subject} are not recorded for the seals of the fit, so there is nothing to compare.`
      : `All seals of the fit are of one of the ${plural}, so there is nothing to compare.`;
  const gained = `twice the gain in log marginal likelihood is ${gain.toFixed(1)}, and ${LEAST_GAIN.toFixed(1)} is needed`;
  if (!used || !factor)
    return `${subject} differ no more than chance would make them: not used (${levels.toLocaleString('en')} compared; ${gained}).`;
  const { median, lower, upper } = factor;
  return (
    `${subject} differ in life by a factor of ${median.toFixed(2)} (one standard deviation; 80 % interval ${lower.toFixed(2)} ` +
    `to ${upper.toFixed(2)}) beyond class and covariates: used (${levels.toLocaleString('en')} compared; ${gained}).`
  );
}

function sentenceOf(groupings: readonly PooledGroupingReport[]): string {
  const used = groupings.filter((grouping) => grouping.used).map(({ name }) => name);
  if (used.length === 0)
    return 'Neither districts nor facilities nor lots differ beyond what class, covariates and chance explain: forecasts take seals as independent, given these.';
  const words = used.length === 1 ? used[0] : `${used.slice(0, -1).join(', ')} and ${used.at(-1)}`;
  const lot = used.includes('lot') ? ' A new seal is of a lot not known yet.' : '';
  return `Each forecast has the effect of its ${words} in it, and all seals of one share what is not known of it, so intervals of totals are wider than for independent seals.${lot}`;
}
