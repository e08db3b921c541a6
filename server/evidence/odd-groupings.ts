import { findOdd, type OddLevel } from '../../analytics/pooling/find-odd.ts';
import { fitPooled, type Grouping, type LevelEffect, type PooledFit } from '../../analytics/pooling/fit-pooled.ts';
import { TWO_THREADS } from '../jobs/sum-threads.ts';
import type { OddGrouping } from '../schemas/evidence-odd.ts';
import type { CurrentFit } from './diagnostics.ts';
import type { EvidenceNetwork, SealPlace } from './evidence-network.ts';
import { segmentsOf } from './seal-lists.ts';

type GroupingName = OddGrouping['name'];

/** What seals are grouped by. Inspectors differ in what they see, not in how long seals last, so they are not here. */
const LEVEL_OF: Readonly<Record<GroupingName, (seal: SealPlace) => string | null>> = {
  lot: ({ lot }) => lot,
  facility: ({ facilityId }) => facilityId,
  district: ({ district }) => district,
};
const NAMES = Object.keys(LEVEL_OF) as GroupingName[];
const MOST_LEVELS_LISTED = 200;

/** Groups that fail early or late beyond chance, all groupings in one fit so that a district is not blamed for a crew. */
export function oddGroupings(
  current: CurrentFit,
  progress: (share: number) => void,
): { groupings: OddGrouping[]; note: string | null } {
  const { data, model, network } = current;
  const groupings = NAMES.map((name) => groupingOf(network, name));
  const fit = fitPooled(data, groupings, { family: model.family, prior: model.prior, threads: TWO_THREADS });
  progress(0.9);
  return {
    groupings: groupings.map((grouping) => describe(network, fit, grouping)),
    note: fit.warnings.length > 0 ? fit.warnings.join(' ') : null,
  };
}

function groupingOf({ rows, seals }: EvidenceNetwork, name: GroupingName): Grouping {
  const levelOf = rows.map(({ seal }) => LEVEL_OF[name](seals[seal]));
  const levels = [...new Set(levelOf.filter((level) => level !== null))].sort();
  const places = new Map(levels.map((level, i) => [level, i]));
  return { name, levels, index: Int32Array.from(levelOf, (level) => places.get(level ?? '') ?? -1) };
}

function describe(network: EvidenceNetwork, fit: PooledFit, { name, index }: Grouping): OddGrouping {
  const { odd, judged, thin, sentences, sentence } = findOdd(fit, name);
  const pooled = fit.groupings.find((grouping) => grouping.name === name);
  const levels = pooled?.levels ?? [];
  const labelOf = (level: string): string =>
    name === 'facility' ? (network.facilityNames.get(level) ?? level) : level;
  const listed = [...levels.keys()]
    .filter((l) => levels[l].seals > 0)
    .sort((a, b) => levels[b].seals - levels[a].seals)
    .slice(0, MOST_LEVELS_LISTED)
    .sort((a, b) => (levels[a].effect ?? 0) - (levels[b].effect ?? 0));
  const placeOfLevel = new Map(levels.map(({ level }, l) => [level, l]));
  return {
    name: name as GroupingName,
    sentence,
    sd: pooled?.sd ?? null,
    sdLower: pooled?.sdLower ?? null,
    sdUpper: pooled?.sdUpper ?? null,
    judged,
    thin,
    unknownSeals: pooled?.unknownSeals ?? 0,
    odd: odd.map((level) => oddLevel(network, level, { index, at: placeOfLevel.get(level.level), labelOf })),
    levels: listed.map((l) => ({
      ...levelFigures(levels[l]),
      label: labelOf(levels[l].level),
      sentence: sentences[l],
    })),
  };
}

interface OddPlace {
  readonly index: Int32Array;
  readonly at: number | undefined;
  readonly labelOf: (level: string) => string;
}

function oddLevel({ rows, seals }: EvidenceNetwork, level: OddLevel, { index, at, labelOf }: OddPlace) {
  const ids = rows.flatMap(({ seal }, i) => (index[i] === at ? [seals[seal].segmentId] : []));
  const { grouping, direction, falseDiscoveryShare, wrongSideChance, sentence } = level;
  return {
    ...levelFigures(level),
    label: labelOf(level.level),
    ...{ grouping, direction, falseDiscoveryShare, wrongSideChance, sentence },
    ...segmentsOf(ids),
  };
}

function levelFigures(effect: LevelEffect) {
  const { level, standardError, lifeRatio, lifeRatioLower, lifeRatioUpper, shorterChance, seals, failures } = effect;
  const { expectedFailures, observedToExpected, observedToExpectedLower, observedToExpectedUpper, countChance } =
    effect;
  return {
    ...{ level, effect: effect.effect, standardError, lifeRatio, lifeRatioLower, lifeRatioUpper, shorterChance, seals },
    ...{
      failures,
      expectedFailures,
      observedToExpected,
      observedToExpectedLower,
      observedToExpectedUpper,
      countChance,
    },
  };
}
