import { test } from 'vitest';
import type { EvidenceReport } from '../../server/schemas/evidence.ts';
import type { Job } from '../../server/schemas/job.ts';
import { keepFigures } from './figures.ts';
import { forecastNetwork } from './network.ts';
import { startServer } from './server-process.ts';

test('tests the model of 100,000 segments against the past', async () => {
  const server = await startServer(await forecastNetwork('evidence-served'));
  try {
    // A model without evidence is tested as soon as the server is up.
    const jobs = (await (await server.get('/api/jobs')).json()) as Job[];
    const started = jobs.find(({ kind, finishedAt }) => kind === 'evidence' && finishedAt === null);
    if (!started) throw new Error('the server did not start to test its model');
    const run = await server.finish(started.id);
    const { backtest } = (await (await server.get('/api/evidence')).json()) as EvidenceReport;
    await keepFigures('evidence', [
      { what: 'evidence', value: run.seconds, unit: 's' },
      { what: 'evidence, processor time', value: run.cpuSeconds, unit: 's' },
      ...run.steps.map(({ step, seconds }) => ({ what: `step: ${step}`, value: seconds, unit: 's' })),
      { what: 'segments judged', value: backtest?.segmentsJudged ?? 0, unit: '' },
      { what: 'looks judged', value: backtest?.trials ?? 0, unit: '' },
      { what: 'most memory of the server', value: server.use().peakRssMb, unit: 'MB', target: 'under 1,000 MB' },
    ]);
  } finally {
    await server.stop();
  }
});
