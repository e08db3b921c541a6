import { readFile } from 'node:fs/promises';
import path from 'node:path';
import { expect, test } from 'vitest';
import type { Load, Upload } from '../../server/schemas/load.ts';
import { keepFigures } from './figures.ts';
import { freshFolder, loadNetwork, networkFiles } from './network.ts';
import { startServer } from './server-process.ts';

test('loads 100,000 segments by the command line', async () => {
  const { counts } = await networkFiles();
  const folder = await freshFolder('load');
  const first = await loadNetwork(folder);
  const again = await loadNetwork(folder);
  const { result } = JSON.parse(again.output) as { result: NonNullable<Load['result']> };
  expect(result.reduce((sum, { inserted, updated }) => sum + inserted + updated, 0)).toBe(0);
  await keepFigures('load', [
    { what: 'segments', value: counts.segments, unit: '' },
    { what: 'inspections', value: counts.inspections, unit: '' },
    { what: 'first load', value: first.seconds, unit: 's', target: 'under 60 s' },
    { what: 'first load, processor time', value: first.cpuSeconds, unit: 's' },
    { what: 'first load, most memory', value: first.peakRssMb, unit: 'MB', target: 'under 1,000 MB' },
    { what: 'the same files again', value: again.seconds, unit: 's' },
    { what: 'the same files again, processor time', value: again.cpuSeconds, unit: 's' },
    { what: 'the same files again, most memory', value: again.peakRssMb, unit: 'MB' },
  ]);
});

test('loads them through the server, as the browser does', async () => {
  const { paths } = await networkFiles();
  const server = await startServer(await freshFolder('load-served'));
  try {
    const began = performance.now();
    const choices = [];
    for (const file of paths) {
      const name = encodeURIComponent(path.basename(file));
      const upload = await server.send<Upload>('POST', `/api/uploads?name=${name}`, await readFile(file));
      choices.push({ uploadId: upload.id });
    }
    const sentSeconds = (performance.now() - began) / 1000;
    const previewed = await server.send<Load>('POST', '/api/loads', { choices });
    const preview = await server.finish(previewed.jobId as string);
    const loading = await server.send<Load>('POST', `/api/loads/${previewed.id}/commit`);
    const load = await server.finish(loading.jobId as string);
    await keepFigures('load-served', [
      { what: 'sending the files', value: sentSeconds, unit: 's' },
      { what: 'preview', value: preview.seconds, unit: 's' },
      { what: 'load', value: load.seconds, unit: 's', target: 'under 60 s' },
      { what: 'load, processor time', value: load.cpuSeconds, unit: 's' },
      { what: 'most memory of the server', value: server.use().peakRssMb, unit: 'MB', target: 'under 1,000 MB' },
      { what: 'memory of the server afterwards', value: server.use().rssMb, unit: 'MB' },
    ]);
  } finally {
    await server.stop();
  }
});
