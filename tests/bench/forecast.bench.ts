import { test } from 'vitest';
import type { Job } from '../../server/schemas/job.ts';
import type { ModelReport } from '../../server/schemas/model.ts';
import { keepFigures } from './figures.ts';
import { forecastNetwork } from './network.ts';
import { startServer } from './server-process.ts';

test('fits and forecasts 100,000 segments in the server', async () => {
  const server = await startServer(await forecastNetwork('forecast-served'));
  try {
    const started = await server.send<Job>('POST', '/api/forecasts', {});
    const run = await server.finish(started.id);
    const { fit } = (await (await server.get('/api/model')).json()) as ModelReport;
    await keepFigures('forecast', [
      { what: 'fit and forecast', value: run.seconds, unit: 's', target: 'under 20 s' },
      { what: 'fit and forecast, processor time', value: run.cpuSeconds, unit: 's' },
      ...run.steps.map(({ step, seconds }) => ({ what: `step: ${step}`, value: seconds, unit: 's' })),
      { what: 'of which fit with posterior draws', value: fit.fitSeconds, unit: 's' },
      { what: 'seals in the fit', value: fit.observations, unit: '' },
      { what: 'most memory of the server', value: server.use().peakRssMb, unit: 'MB', target: 'under 1,000 MB' },
      { what: 'memory of the server afterwards', value: server.use().rssMb, unit: 'MB' },
    ]);
  } finally {
    await server.stop();
  }
});
