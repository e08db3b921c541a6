import { existsSync } from 'node:fs';
import path from 'node:path';
import fastifyStatic from '@fastify/static';
import type { FastifyPluginAsync } from 'fastify';

const PAGES = [
  '/',
  '/map',
  '/joints',
  '/service-life',
  '/evidence',
  '/odd-ones',
  '/budget',
  '/program',
  '/closures',
  '/data',
];

/** The built pages. Every screen has an address of its own and is the same page; nothing outside the folder is served. */
export const webRoutes =
  (folder: string): FastifyPluginAsync =>
  async (app) => {
    if (!existsSync(path.join(folder, 'index.html')))
      throw new Error(`No pages in ${folder}; build them: npm run build`);
    await app.register(fastifyStatic, {
      root: folder,
      prefix: '/',
      index: false,
      setHeaders: (reply, file) => {
        const fingerprinted = file.includes(`${path.sep}assets${path.sep}`);
        reply.header('cache-control', fingerprinted ? 'public, max-age=31536000, immutable' : 'no-cache');
      },
    });
    for (const page of PAGES)
      app.get(page, { schema: { hide: true } }, (_request, reply) => reply.sendFile('index.html'));
  };
