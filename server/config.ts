import path from 'node:path';
import { isLoopback } from './local-only.ts';

export interface Config {
  readonly host: string;
  readonly port: number;
  readonly dataFolder: string;
  readonly databasePath: string;
}

/** What the command line said; what it left out comes from the environment, then from the default. */
export interface ConfigWishes {
  readonly host?: string;
  readonly port?: string;
  readonly data?: string;
}

/** Raised for a setting that cannot be used: the command line answers with exit code 2. */
export class ConfigError extends Error {}

const DEFAULT_PORT = '8080';

/** @param env KERFCAST_HOST, KERFCAST_PORT, KERFCAST_DATA */
export function readConfig(wishes: ConfigWishes, env: NodeJS.ProcessEnv): Config {
  const host = wishes.host ?? env.KERFCAST_HOST ?? '127.0.0.1';
  const port = wishes.port ?? env.KERFCAST_PORT ?? DEFAULT_PORT;
  const dataFolder = path.resolve(wishes.data ?? env.KERFCAST_DATA ?? 'data');
  if (!/^\d{1,5}$/.test(port) || Number(port) > 65_535) {
    throw new ConfigError(`port is ${port}; expected a whole number from 0 to 65535 (0: any free port).`);
  }
  if (!isLoopback(host)) {
    throw new ConfigError(
      `host is ${host}; expected 127.0.0.1. Kerfcast has no sign-in yet, so it answers this computer only. ` +
        'To reach it from elsewhere, use an SSH tunnel.',
    );
  }
  return { host, port: Number(port), dataFolder, databasePath: path.join(dataFolder, 'kerfcast.sqlite') };
}
