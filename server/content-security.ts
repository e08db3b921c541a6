import helmet from '@fastify/helmet';
import type { FastifyInstance } from 'fastify';

/**
 * Scripts and workers come from this server only, none inline. Styles may be inline: the map and chart libraries set
 * them on elements. A configured base map may be fetched from its own host.
 * @param baseMapOrigin asked at each request, since the setting can change while the server runs
 */
export async function addSecurityHeaders(app: FastifyInstance, baseMapOrigin: () => string | null): Promise<void> {
  const baseMap = () => baseMapOrigin() ?? "'self'";
  await app.register(helmet, {
    contentSecurityPolicy: {
      useDefaults: false,
      directives: {
        defaultSrc: ["'self'"],
        scriptSrc: ["'self'"],
        workerSrc: ["'self'"],
        styleSrc: ["'self'", "'unsafe-inline'"],
        imgSrc: ["'self'", 'data:', 'blob:', baseMap],
        connectSrc: ["'self'", baseMap],
        fontSrc: ["'self'"],
        objectSrc: ["'none'"],
        baseUri: ["'none'"],
        formAction: ["'self'"],
        frameAncestors: ["'none'"],
      },
    },
    strictTransportSecurity: false, // served over plain HTTP on loopback
    referrerPolicy: { policy: 'no-referrer' },
    crossOriginEmbedderPolicy: false,
  });
}
