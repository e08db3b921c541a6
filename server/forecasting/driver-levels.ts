import type { Drivers } from '../schemas/drivers.ts';
import type { PooledGroupingName } from '../schemas/pooling.ts';
import { ruleOf } from './level-groupings.ts';
import { lifeRatio } from './pooling-report.ts';
import { type GroupedSegment, sharedEffects } from './shared-effects.ts';
import type { StoredModel } from './stored-model.ts';

const LABELS: Readonly<Record<PooledGroupingName, string>> = {
  district: 'Its district',
  facility: 'Its facility',
  lot: 'Its lot',
};

interface LevelEffects {
  readonly levels: Drivers['levels'];
  /** Sum of the effects on log life, one for each draw. */ readonly together: Float64Array;
}

/** What the district, facility and lot of a seal do to its life, where the model has effects of them. */
export function describeLevelEffects(
  { levels, draws }: StoredModel,
  segment: GroupedSegment,
  facilityName: string,
): LevelEffects {
  const together = new Float64Array(draws.draws);
  const shared = sharedEffects(levels, [segment]);
  if (!shared || !levels) return { levels: [], together };
  const lines = levels.map((grouping, g) => {
    const { name, levelOf } = ruleOf(grouping.name);
    const from = shared.level[g] * draws.draws;
    const effects = grouping.effects.subarray(from, from + draws.draws);
    for (let d = 0; d < together.length; d++) together[d] += effects[d];
    const level = levelOf(segment.groups);
    const learnt = level !== null && grouping.levels.includes(level);
    const ratio = lifeRatio(effects);
    const shown = name === 'facility' ? facilityName : level;
    const numbers = `${ratio.median.toFixed(2)} times as long as the average ${name}, ${ratio.lower.toFixed(2)} to ${ratio.upper.toFixed(2)}`;
    return {
      name,
      label: LABELS[name],
      valueText: shown ?? 'not recorded',
      lifeRatio: ratio,
      sentence: learnt
        ? `${LABELS[name]}, ${shown}: lasts ${numbers}${unsure(ratio)}.`
        : `${LABELS[name]}${level === null ? ' is not recorded' : `, ${shown}, is new to the model`}: taken as some ${name}, ${ratio.lower.toFixed(2)} to ${ratio.upper.toFixed(2)} times as long as the average.`,
    };
  });
  return { levels: lines, together };
}

const unsure = ({ lower, upper }: { readonly lower: number; readonly upper: number }): string =>
  lower <= 1 && upper >= 1 ? '; the records do not tell whether more or less' : '';
