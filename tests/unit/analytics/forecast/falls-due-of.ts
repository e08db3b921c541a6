import { networkOutlook } from '../../../../analytics/condition/network-outlook.ts';
import type { FallsDue, FallsDueInput, FallsDueOptions } from '../../../../analytics/forecast/falls-due.ts';
import type { Family, PosteriorDraws } from '../../../../analytics/survival/aft.ts';

/** What falls due by ages alone. */
export const fallsDue = (
  input: FallsDueInput,
  draws: PosteriorDraws,
  family: Family,
  options: FallsDueOptions,
): FallsDue =>
  networkOutlook(
    { ...input, readings: null },
    { family, draws, condition: null },
    { ...options, keptDraws: new Int32Array(0) },
  ).due;
