import { ProblemError } from '../problems.ts';
import type { ModelReport } from '../schemas/model.ts';
import type { Seal } from '../schemas/seal.ts';
import type { Store } from '../store/store.ts';
import type { SealInPlace } from './network.ts';
import { readSegmentInPlace, type SegmentInPlace } from './segment-in-place.ts';
import { decodeModel, type StoredModel } from './stored-model.ts';

/** A segment that has a seal in place and a forecast of it. */
export type ForecastSegment = SegmentInPlace & {
  readonly report: ModelReport;
  readonly seal: Seal;
  readonly inPlace: SealInPlace;
  readonly model: StoredModel;
};

/** @throws ProblemError when there is no such segment, no forecast, or no seal in place that one was made for */
export async function readForecastSegment(store: Store, id: string): Promise<ForecastSegment> {
  const found = await readSegmentInPlace(store, id);
  if (!found) throw new ProblemError('not-found', `No segment ${id}. List: GET /api/segments`);
  const { report, seal, inPlace, state } = found;
  const bytes = report && (await store.readModelDraws(report.version));
  if (!report || !bytes) throw new ProblemError('no-forecast', 'Load records, then POST /api/forecasts.');
  if (!seal || !inPlace)
    throw new ProblemError('conflict', `Segment ${id} has no seal in place, so there is nothing to forecast.`);
  const model = decodeModel(bytes);
  if (!state?.forecast || !model.design.classes.includes(seal.sealantClass))
    throw new ProblemError(
      'conflict',
      `Segment ${id} has no forecast: it is unsealed by policy, or its seal came after the last one. POST /api/forecasts`,
    );
  return { ...found, report, seal, inPlace, model };
}
