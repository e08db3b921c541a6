import type { FastifyInstance } from 'fastify';
import { ProblemError } from './problems.ts';

const LOOPBACK_NAMES = new Set(['localhost', '127.0.0.1', '[::1]']);
const hostName = (host: string) => host.replace(/:\d+$/, '').toLowerCase();

/** True for an address that only this computer can reach. */
export const isLoopback = (host: string): boolean =>
  host === '::1' || LOOPBACK_NAMES.has(host.toLowerCase()) || /^127\.\d+\.\d+\.\d+$/.test(host);

/**
 * Until people sign in, being on this computer is the only right of access. A page of another site must not borrow it:
 * its own host name pointed here (DNS rebinding) and its cross-site writes are both refused.
 */
export function refuseOtherOrigins(app: FastifyInstance): void {
  app.addHook('onRequest', async (request) => {
    const host = hostName(request.headers.host ?? '');
    if (!isLoopback(host)) {
      throw new ProblemError('wrong-origin', `Host is ${host || 'missing'}; expected localhost or 127.0.0.1.`);
    }
    const origin = request.headers.origin;
    if (!origin || request.method === 'GET' || request.method === 'HEAD') return;
    if (origin !== `http://${request.headers.host}`) {
      throw new ProblemError('wrong-origin', `Origin is ${origin}; expected http://${request.headers.host}.`);
    }
  });
}
