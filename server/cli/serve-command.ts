import { type ConfigWishes, readConfig } from '../config.ts';
import { runForecast } from '../forecasting/run-forecast.ts';
import { startServer } from '../main.ts';
import { EXIT, type ExitCode, withStore } from './command-context.ts';
import { loadDemo } from './demo.ts';

/** Prepares what the first start needs, serves, and stops cleanly on Ctrl+C. */
export async function serveCommand(options: ConfigWishes & { demo?: boolean; empty?: boolean }): Promise<ExitCode> {
  const config = readConfig(options, process.env);
  await withStore(options, async (store, context) => {
    const counts = await store.countRecords();
    const empty = Object.values(counts).every((count) => count === 0);
    if (empty && options.demo && !options.empty) await loadDemo(context);
    const segments = (await store.countRecords()).segments;
    if (segments > 0 && (await store.modelVersion()) === null) {
      console.log('• Fitting the service-life model and forecasting');
      await runForecast(context);
    }
  });
  console.log('• Making totals and first tiles of the network');
  const server = await startServer(config);
  if (server.interrupted > 0) {
    console.log(
      `• ${server.interrupted} job(s) were cut off by the last stop; nothing of them was kept. Start them again.`,
    );
  }
  console.log(`\nKerfcast is at ${server.address}\nStop it with Ctrl+C. Records are kept in ${config.dataFolder}`);
  await stopAsked();
  console.log('\nStopping …');
  await server.close();
  return EXIT.done;
}

const stopAsked = (): Promise<void> =>
  new Promise((resolve) => {
    for (const signal of ['SIGINT', 'SIGTERM'] as const) process.once(signal, () => resolve());
  });
