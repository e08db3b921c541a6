import compress from '@fastify/compress';
import type { TypeBoxTypeProvider } from '@fastify/type-provider-typebox';
import Fastify from 'fastify';
import { describeApi, showApi } from './api-description.ts';
import { baseMapOrigin } from './base-map.ts';
import { bodyCheck, textCheck } from './checks.ts';
import { addSecurityHeaders } from './content-security.ts';
import { answerAsProblem, answerErrorsAsProblems } from './errors-to-problems.ts';
import { FileMaker } from './exports/file-maker.ts';
import type { JobRunner } from './jobs/job-runner.ts';
import { refuseOtherOrigins } from './local-only.ts';
import { budgetRoutes } from './routes/budget.ts';
import { closureExportRoutes } from './routes/closure-exports.ts';
import { closurePlanRoutes } from './routes/closure-plans.ts';
import { closureRoutes } from './routes/closures.ts';
import { driverRoutes } from './routes/drivers.ts';
import { evidenceRoutes } from './routes/evidence.ts';
import { exportRoutes } from './routes/exports.ts';
import { facilityRoutes } from './routes/facilities.ts';
import { jobRoutes } from './routes/jobs.ts';
import { loadRoutes } from './routes/loads.ts';
import { modelRoutes } from './routes/model.ts';
import { modelsRoutes } from './routes/models.ts';
import { priorRoutes } from './routes/priors.ts';
import { programExportRoutes } from './routes/program-exports.ts';
import { programRoutes } from './routes/programs.ts';
import { scenarioRoutes } from './routes/scenarios.ts';
import { segmentRoutes } from './routes/segments.ts';
import { settingsRoutes } from './routes/settings.ts';
import { tileRoutes } from './routes/tiles.ts';
import { uploadRoutes } from './routes/uploads.ts';
import { versionRoutes } from './routes/version.ts';
import { webRoutes } from './routes/web.ts';
import type { Store } from './store/store.ts';
import { TileService } from './tiles/tile-service.ts';
import { Uploads } from './uploads.ts';

export interface AppParts {
  readonly store: Store;
  readonly jobs: JobRunner;
  /** Of the store, for work on other threads. */ readonly databasePath: string;
  /** Where uploaded files and refused rows are kept. */ readonly dataFolder: string;
  /** Where some are made already; left out: none is. */ readonly tiles?: TileService;
  /** The built pages; null serves the API alone. */ readonly webFolder: string | null;
  readonly maxUploadBytes?: number;
  readonly logLevel?: 'silent' | 'error' | 'info';
}

const ONE_GIBIBYTE = 2 ** 30;

/** The one way to build the server, used by the command line and by every test. */
export async function buildApp(parts: AppParts) {
  const { store, jobs } = parts;
  const app = Fastify({
    logger: parts.logLevel && parts.logLevel !== 'silent' ? { level: parts.logLevel } : false,
    bodyLimit: 2 * 2 ** 20,
    requestTimeout: 600_000, // a large upload on a slow disk
    routerOptions: { maxParamLength: 200 },
    frameworkErrors: answerAsProblem, // an address that cannot be decoded never reaches a route
  }).withTypeProvider<TypeBoxTypeProvider>();
  app.setValidatorCompiler<object>(({ schema, httpPart }) =>
    (httpPart === 'body' ? bodyCheck : textCheck).compile(schema),
  );
  answerErrorsAsProblems(app);
  refuseOtherOrigins(app);

  let settings = await store.readSettings();
  await addSecurityHeaders(app, () => baseMapOrigin(settings.baseMapUrl));
  await app.register(compress, { encodings: ['gzip'], threshold: 2048 });
  await describeApi(app);

  const tiles = parts.tiles ?? new TileService(store);
  const uploads = new Uploads(parts.dataFolder, parts.maxUploadBytes ?? ONE_GIBIBYTE);
  await app.register(
    async (api) => {
      await api.register(versionRoutes(store));
      await api.register(
        settingsRoutes(store, (changed) => {
          settings = changed;
        }),
      );
      await api.register(facilityRoutes(store));
      await api.register(segmentRoutes(store));
      await api.register(tileRoutes(store, tiles));
      await api.register(exportRoutes(store));
      await api.register(uploadRoutes(uploads));
      await api.register(loadRoutes(store, jobs, uploads));
      await api.register(jobRoutes(jobs));
      await api.register(modelRoutes(store, jobs));
      await api.register(modelsRoutes(store, jobs));
      await api.register(priorRoutes(store, jobs));
      await api.register(driverRoutes(store));
      await api.register(budgetRoutes(store, jobs));
      await api.register(scenarioRoutes(store));
      await api.register(programRoutes(store, jobs));
      await api.register(programExportRoutes(store, new FileMaker(parts.databasePath)));
      await api.register(closurePlanRoutes(store));
      await api.register(closureRoutes(store, jobs));
      await api.register(closureExportRoutes(store));
      await api.register(evidenceRoutes(store, jobs));
      await showApi(api, '/api');
    },
    { prefix: '/api' },
  );
  if (parts.webFolder) await app.register(webRoutes(parts.webFolder));
  return app;
}
