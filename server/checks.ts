import { Ajv } from 'ajv';

/**
 * Fastify by default drops unknown fields and reads null as 0. That invents measurements, so bodies are checked as
 * sent: nothing is converted.
 */
export const bodyCheck = new Ajv({ useDefaults: true, strict: false, verbose: true });

/** Path, query and command line arrive as text: numbers and booleans are converted before they are checked. */
export const textCheck = new Ajv({ useDefaults: true, coerceTypes: true, strict: false, verbose: true });
