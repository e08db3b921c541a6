import type { Scores } from '../../analytics/backtest/scores.ts';
import { COVARIATES } from '../../analytics/survival/covariate-table.ts';
import type { Estimate } from '../../analytics/survival/delta-method.ts';
import type { ComparedModel } from '../../analytics/survival/model-comparison.ts';
import type { Interval } from '../schemas/common.ts';
import type { ComparedFamily, ComparisonRow } from '../schemas/models.ts';
import { keyOf, type PlannedModel } from './comparison-plan.ts';

export const NOTES: readonly string[] = [
  'All fits are of ages at which seals were known sound and known failed, with the priors of the forecast. Damaged shares below the threshold are in none of them.',
  'AIC and BIC compare models of one failure threshold: another threshold makes other failures of the same records.',
  'BIC and the small-sample AIC count failures, since a seal that is still sound tells little (Volinsky and Raftery, 2000).',
  'A difference in AIC under 2 says little, over 10 nearly all (Burnham and Anderson, 2002, from memory).',
  'The back-test score is the mean of -log of the chance that was given to what each later inspection found: smaller is better. The referee is not forecast with, so it has none.',
];

const FAMILY_WORDS: Readonly<Record<ComparedFamily, string>> = {
  weibull: 'Weibull',
  lognormal: 'Log-normal',
  loglogistic: 'Log-logistic',
  exponential: 'Exponential',
  'generalised-gamma': 'Generalised gamma (referee)',
};

const percent = (share: number): string => `${+(share * 100).toFixed(2)} %`;

/** One line of the table, before it is set against the others. */
export function comparisonRow(
  planned: PlannedModel,
  model: ComparedModel | null,
  observations: number,
  past: Scores | null,
): ComparisonRow {
  const { family, failureThresholdShare } = planned;
  const leftOut = COVARIATES.filter(({ name }) => planned.leftOut.includes(name)).map(({ name, label }) => ({
    name,
    label,
  }));
  return {
    label: labelOf(family, failureThresholdShare, leftOut),
    family,
    failureThresholdShare,
    leftOut,
    observations,
    failures: Math.round(model?.fit.failures ?? 0),
    parameters: model?.parameters ?? 0,
    logLikelihood: model?.logLikelihood ?? null,
    aic: model?.aic ?? null,
    aicDifference: null,
    aicc: model?.aicc ?? null,
    bic: model && model.fit.failures > 0 ? model.bic : null,
    medianLifeYears: model && intervalOf(model.median),
    tenPercentLifeYears: model && intervalOf(model.tenPercentLife),
    backTestLogScore: past?.logScore ?? null,
    backTestTrials: past?.trials ?? null,
    converged: model?.fit.converged ?? false,
    status: model?.status ?? 'no-events',
    warnings: [...(model?.fit.warnings ?? [])],
    comparable: false,
    current: false,
    adoptable: family !== 'generalised-gamma' && (model?.fit.converged ?? false),
    sentence: model?.sentence ?? 'Nothing has been observed yet, so there is nothing to fit.',
  };
}

function labelOf(family: ComparedFamily, threshold: number, leftOut: ComparisonRow['leftOut']): string {
  const without = leftOut.length > 0 ? `, without ${leftOut.map(({ label }) => label.toLowerCase()).join(', ')}` : '';
  return `${FAMILY_WORDS[family]}, failed from ${percent(threshold)}${without}`;
}

const intervalOf = (estimate: Estimate | null): Interval | null =>
  estimate === null || estimate.lower === null || estimate.upper === null
    ? null
    : { median: estimate.estimate, lower: estimate.lower, upper: estimate.upper };

/** Differences in AIC within each threshold, and which rows compare with the present settings. */
export function withDifferences(rows: readonly ComparisonRow[], present: PlannedModel): ComparisonRow[] {
  const now = rows.find((row) => keyOf(asPlanned(row)) === keyOf(present));
  return rows.map((row) => {
    const alike = rows.filter((other) => sameRecords(row, other) && other.aic !== null);
    const least = Math.min(...alike.map(({ aic }) => aic ?? Number.POSITIVE_INFINITY));
    const comparable = now !== undefined && sameRecords(row, now) && row.aic !== null;
    const compared = {
      ...row,
      aicDifference: row.aic === null ? null : row.aic - least,
      comparable,
      current: row === now,
    };
    return { ...compared, sentence: `${row.sentence} ${standing(compared, now)}`.trim() };
  });
}

const asPlanned = ({ leftOut, ...row }: ComparisonRow): PlannedModel => ({
  ...row,
  leftOut: leftOut.map(({ name }) => name),
});

const sameRecords = (a: ComparisonRow, b: ComparisonRow): boolean =>
  a.failureThresholdShare === b.failureThresholdShare && a.observations === b.observations && a.failures === b.failures;

/** How a row stands against the others of its threshold. */
function standing({ aicDifference, comparable, current }: ComparisonRow, now: ComparisonRow | undefined): string {
  const own = current ? 'These are the present settings. ' : '';
  if (aicDifference === null) return own.trim();
  if (!comparable && now)
    return `Another failure threshold, so its AIC does not compare with that of the present settings.`;
  if (aicDifference === 0) return `${own}Least AIC of its threshold.`;
  const above = `AIC ${aicDifference.toFixed(1)} above the least`;
  if (aicDifference <= 2) return `${own}${above}: the records cannot tell the two apart.`;
  if (aicDifference < 10) return `${own}${above}: less support.`;
  return `${own}${above}: hardly any support beside it.`;
}

/** What the table says about the present settings. */
export function summaryOf(rows: readonly ComparisonRow[]): string {
  const now = rows.find(({ current }) => current);
  const alike = rows.filter(({ comparable }) => comparable);
  if (!now || now.aic === null || alike.length === 0)
    return 'The present model has no fit, so nothing compares with it.';
  const best = alike.reduce((a, b) => ((b.aic ?? 0) < (a.aic ?? 0) ? b : a));
  const above = now.aicDifference ?? 0;
  const gap =
    above <= 2 ? `${above.toFixed(1)} above it, which the records cannot tell apart` : `${above.toFixed(1)} above it`;
  const byAic =
    best === now
      ? `Of ${alike.length} models of its threshold the present one has the least AIC.`
      : `Of ${alike.length} models of its threshold, ${best.label} has the least AIC; the present one is ${gap}.`;
  return `${byAic} ${byScore(alike, now)}`.trim();
}

function byScore(alike: readonly ComparisonRow[], now: ComparisonRow): string {
  const scored = alike.filter((row) => row.backTestLogScore !== null);
  if (now.backTestLogScore === null || scored.length < 2) return 'None could be tried on the past.';
  const best = scored.reduce((a, b) => ((b.backTestLogScore ?? 0) < (a.backTestLogScore ?? 0) ? b : a));
  const looks = (now.backTestTrials ?? 0).toLocaleString('en');
  if (best === now) return `It also forecast ${looks} past looks best.`;
  const score = (row: ComparisonRow) => (row.backTestLogScore ?? 0).toFixed(4);
  return `${best.label} forecast ${looks} past looks best (score ${score(best)}; the present model ${score(now)}).`;
}
