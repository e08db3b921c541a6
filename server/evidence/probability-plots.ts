import type { AftData } from '../../analytics/survival/aft.ts';
import { probabilityPlot } from '../../analytics/survival/probability-plot.ts';
import type { ProbabilityPlot } from '../schemas/evidence-diagnostics.ts';
import type { CurrentFit } from './diagnostics.ts';

const BAND_LEVEL = 0.9;

/** For each class with rows, the non-parametric estimate and the fitted line with its band on the family's paper. */
export function probabilityPlots({ data, fit, model }: CurrentFit): ProbabilityPlot[] {
  return model.design.classes.flatMap((sealantClass, c) => {
    const rows = rowsOfClass(data, c);
    return rows.lower.length === 0 ? [] : [plotOf(sealantClass, rows, fit)];
  });
}

function plotOf(sealantClass: string, rows: AftData, fit: CurrentFit['fit']): ProbabilityPlot {
  const plot = probabilityPlot(rows, fit, { level: BAND_LEVEL });
  return {
    sealantClass,
    family: fit.family,
    seals: rows.lower.length,
    failures: Math.round(plot.failures),
    boxes: plot.boxes.map((box) => ({
      fromYears: box.fromAge,
      toYears: box.toAge,
      failedBefore: box.failedBefore,
      failedAfter: box.failedAfter,
      quantileBefore: box.heightBefore,
      quantileAfter: box.heightAfter,
      meetsBand: box.meetsBand,
    })),
    line: plot.line.map(({ failed, height, age, lowerAge, upperAge }) => ({
      ...{ failed, quantile: height, ageYears: age, lowerYears: lowerAge, upperYears: upperAge },
    })),
    bandLevel: plot.level,
    axis: plot.ticks.map(({ failed, height }) => ({ failed, quantile: height })),
    sentence: plot.sentence,
    note: plot.notes.length > 0 ? plot.notes.join(' ') : null,
  };
}

/** The rows of one class; its 0/1 column stands at its place among the first. */
function rowsOfClass(data: AftData, c: number): AftData {
  const width = data.names.length;
  const picked = [...data.lower.keys()].filter((i) => data.covariates[i * width + c] === 1);
  const pick = (column: Float64Array) => Float64Array.from(picked, (i) => column[i]);
  const covariates = new Float64Array(picked.length * width);
  for (const [k, i] of picked.entries())
    covariates.set(data.covariates.subarray(i * width, (i + 1) * width), k * width);
  return {
    ...data,
    entry: pick(data.entry),
    lower: pick(data.lower),
    upper: pick(data.upper),
    weight: pick(data.weight),
    covariates,
  };
}
