import type { Job } from '../../server/schemas/job.ts';
import type { ModelReport } from '../../server/schemas/model.ts';
import type { Family } from '../../server/schemas/words.ts';
import { nullWhenMissing } from './missing.ts';
import { apiUrl, requestJson } from './request.ts';

/** The fitted service-life model; null before the first fit. */
export const fetchModel = (signal?: AbortSignal): Promise<ModelReport | null> =>
  nullWhenMissing(requestJson<ModelReport>('/model', { signal }));

/** Fits the model and forecasts every segment, as a job. Without a family the one in the settings is used. */
export const startForecast = (family?: Family) =>
  requestJson<Job>('/forecasts', {
    method: 'POST',
    body: family === undefined ? {} : { family },
  });

export const modelCurvesCsvUrl = (): string => apiUrl('/export/model-curves.csv');
