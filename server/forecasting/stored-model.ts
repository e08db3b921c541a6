import type { GrowthDraws, ReadingModel } from '../../analytics/condition/condition.ts';
import type { DamageRule } from '../../analytics/forecast/damage-rule.ts';
import type { GroupingDraws } from '../../analytics/pooling/level-draws.ts';
import type { PosteriorDraws } from '../../analytics/survival/aft.ts';
import type { LifePriors } from '../../analytics/survival/covariate-prior.ts';
import type { Design } from '../../analytics/survival/covariate-rows.ts';
import { COVARIATES } from '../../analytics/survival/covariate-table.ts';
import type { Family } from '../schemas/words.ts';

/** What is kept of a fitted model so that cards and budgets can be worked out again without fitting. */
export interface StoredModel {
  readonly family: Family;
  readonly design: Design;
  readonly draws: PosteriorDraws;
  readonly damageRule: DamageRule;
  /** What was believed before the data; models of older versions do not keep it: as published. */
  readonly priors?: LifePriors;
  /** How damage grows and is read; null: forecasts rest on the threshold and the damage rule. */
  readonly condition: StoredCondition | null;
  /** Effects of districts, facilities and lots, where the records show that they differ. */
  readonly levels?: readonly GroupingDraws[];
  /** SD of the log of what a calendar year does to the hazard, one for each draw; models of older versions do not keep it. */
  readonly yearSd?: Float64Array | null;
  /** Covariance of the covariate columns over the network, row-major; models of older versions do not keep it. */
  readonly covariateSpread?: Float64Array | null;
}

export interface StoredCondition {
  readonly growth: GrowthDraws;
  readonly reading: ReadingModel;
  /** Names in the order of the shifts of `growth`. */ readonly inspectors: readonly string[];
}

interface StoredForm {
  family: Family;
  classes: string[];
  columns: { name: string; mean: number; sd: number; fill: number; missing: number }[];
  dropped: { name: string; reason: string }[];
  draws: number;
  coefficients: string;
  scale: string;
  effectiveSampleSize: number;
  /** null: not a number, which JSON cannot hold. */ paretoK: number | null;
  damageRule: DamageRule;
  /** Absent from models of older versions, as the next. */ priors?: LifePriors;
  levels?: { name: string; levels: string[]; unknownLevels: number; ofSeal: boolean; sd: string; effects: string }[];
  yearSd?: string | null;
  covariateSpread?: string | null;
  condition?: {
    exponent: string;
    readingSd: string;
    inspectorShift: string;
    reading: ReadingModel;
    inspectors: string[];
  } | null;
}

/** The model as bytes: JSON, with the draws bit for bit as base64. */
export function encodeModel(model: StoredModel): Uint8Array {
  const { family, design, draws, damageRule, priors, levels, condition, yearSd, covariateSpread } = model;
  const form: StoredForm = {
    family,
    classes: [...design.classes],
    columns: design.columns.map(({ covariate, ...rest }) => ({ name: covariate.name, ...rest })),
    dropped: [...design.dropped],
    draws: draws.draws,
    coefficients: base64Of(draws.coefficients),
    scale: base64Of(draws.scale),
    effectiveSampleSize: draws.effectiveSampleSize,
    paretoK: Number.isFinite(draws.paretoK) ? draws.paretoK : null,
    damageRule,
    priors,
    levels: levels?.map(({ sd, effects, ...grouping }) => ({
      ...grouping,
      levels: [...grouping.levels],
      sd: base64Of(sd),
      effects: base64Of(effects),
    })),
    yearSd: yearSd ? base64Of(yearSd) : null,
    covariateSpread: covariateSpread ? base64Of(covariateSpread) : null,
    condition: condition && {
      exponent: base64Of(condition.growth.exponent),
      readingSd: base64Of(condition.growth.readingSd),
      inspectorShift: base64Of(condition.growth.inspectorShift),
      reading: condition.reading,
      inspectors: [...condition.inspectors],
    },
  };
  return Buffer.from(JSON.stringify(form));
}

/** @throws Error when the model has a covariate that this version of the program does not know */
export function decodeModel(bytes: Uint8Array): StoredModel {
  const form = JSON.parse(Buffer.from(bytes).toString('utf8')) as StoredForm;
  const columns = form.columns.map(({ name, ...rest }) => ({ covariate: covariateNamed(name), ...rest }));
  const names = [...form.classes.map((c) => `class:${c}`), ...form.columns.map((c) => c.name)];
  return {
    family: form.family,
    design: { classes: form.classes, columns, names, dropped: form.dropped },
    draws: {
      draws: form.draws,
      coefficients: floatsOf(form.coefficients),
      scale: floatsOf(form.scale),
      effectiveSampleSize: form.effectiveSampleSize,
      paretoK: form.paretoK ?? Number.NaN,
    },
    damageRule: form.damageRule,
    priors: form.priors,
    levels: form.levels?.map(({ sd, effects, ...grouping }) => ({
      ...grouping,
      sd: floatsOf(sd),
      effects: new Float32Array(bytesOf(effects)),
    })),
    yearSd: form.yearSd ? floatsOf(form.yearSd) : null,
    covariateSpread: form.covariateSpread ? floatsOf(form.covariateSpread) : null,
    condition: form.condition ? conditionOf(form.condition, form.draws) : null,
  };
}

function conditionOf(form: NonNullable<StoredForm['condition']>, draws: number): StoredCondition {
  const inspectorShift = floatsOf(form.inspectorShift);
  return {
    growth: {
      exponent: floatsOf(form.exponent),
      readingSd: floatsOf(form.readingSd),
      inspectors: inspectorShift.length / draws,
      inspectorShift,
    },
    reading: form.reading,
    inspectors: form.inspectors,
  };
}

function covariateNamed(name: string) {
  const covariate = COVARIATES.find((c) => c.name === name);
  if (!covariate) throw new Error(`The stored model uses the covariate ${name}, which is gone. Fit the model again.`);
  return covariate;
}

const base64Of = (floats: Float64Array | Float32Array): string =>
  Buffer.from(floats.buffer, floats.byteOffset, floats.byteLength).toString('base64');

const floatsOf = (text: string): Float64Array => new Float64Array(bytesOf(text));

function bytesOf(text: string): ArrayBuffer {
  const bytes = Buffer.from(text, 'base64');
  return bytes.buffer.slice(bytes.byteOffset, bytes.byteOffset + bytes.byteLength);
}
