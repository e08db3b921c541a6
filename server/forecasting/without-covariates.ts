import type { Design } from '../../analytics/survival/covariate-rows.ts';

/** What the design says of a covariate that the settings leave out. */
export const BY_CHOICE = 'is left out because the settings say so.';

/** A design without some covariates. Names that it does not have change nothing. */
export function withoutCovariates(design: Design, leftOut: readonly string[]): Design {
  const out = new Set(leftOut);
  const columns = design.columns.filter(({ covariate }) => !out.has(covariate.name));
  if (columns.length === design.columns.length) return design;
  const chosen = design.columns.filter(({ covariate }) => out.has(covariate.name));
  return {
    classes: design.classes,
    columns,
    names: design.names.filter((name) => !out.has(name)),
    dropped: [
      ...design.dropped,
      ...chosen.map(({ covariate }) => ({ name: covariate.name, reason: `${covariate.label} ${BY_CHOICE}` })),
    ],
  };
}
