import type { ModelReport } from '../../server/schemas/model.ts';

export type Rule = ModelReport['dataUse'][number];

/** Rules that are noted in addition: a seal has exactly one reading, and any number of these. */
const REMARKS: readonly string[] = ['delayed-entry', 'imprecise-installation', 'implied-removal'];

/** How the records of each seal were read; every seal is counted once. Empty readings are left out. */
export const readings = (rules: readonly Rule[]): Rule[] =>
  rules
    .filter(({ rule, seals }) => !REMARKS.includes(rule) && seals > 0)
    .sort((a, b) => Number(b.used) - Number(a.used) || b.seals - a.seals);

/** What was noted besides, of seals already counted among the readings. */
export const remarks = (rules: readonly Rule[]): Rule[] =>
  rules.filter(({ rule, seals }) => REMARKS.includes(rule) && seals > 0).sort((a, b) => b.seals - a.seals);

export const sealsOf = (rules: readonly Rule[]): number => rules.reduce((total, { seals }) => total + seals, 0);
