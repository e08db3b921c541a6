import path from 'node:path';
import { DEMO_FILES, DEMO_SETTINGS, makeDemo } from '../../data-demo/make.ts';
import { loadFiles } from '../import/load-files.ts';
import type { TaskContext } from '../jobs/task.ts';

const DEMO_SEGMENTS = 6_000;

/** Writes the files of the invented agency and loads them the way any agency's files are loaded. */
export async function loadDemo(context: TaskContext): Promise<void> {
  const folder = path.join(context.dataFolder, 'demo-files');
  console.log('• Making the demo agency (invented: no real agency, road or airport)');
  await makeDemo({
    segments: DEMO_SEGMENTS,
    outDir: folder,
    onProgress: (done, all) => context.progress(done / all, 'Writing its files'),
  });
  console.log(`• Loading its files from ${folder}`);
  const files = DEMO_FILES.map((name) => ({ name, path: path.join(folder, name), choice: { uploadId: name } }));
  // The invented records end on the planning date: read as on that day, none lies in the future of a clock behind it.
  const { result } = await loadFiles(files, { ...context, today: DEMO_SETTINGS.planningDate });
  await context.store.writeSettings({ ...(await context.store.readSettings()), ...DEMO_SETTINGS });
  const loaded = result.reduce((sum, line) => sum + line.inserted, 0);
  const refused = result.reduce((sum, line) => sum + line.refused, 0);
  console.log(`  ${loaded.toLocaleString('en')} rows loaded; ${refused} refused, which the demo holds on purpose`);
}
