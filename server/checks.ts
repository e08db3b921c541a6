import { Ajv } from 'ajv';
import { readDay } from './import/dates.ts';

/**
 * Fastify by default drops unknown fields and reads null as 0. That invents measurements, so bodies are checked as
 * sent: nothing is converted.
 */
export const bodyCheck = new Ajv({ useDefaults: true, strict: false, verbose: true });

/** Path, query and command line arrive as text: numbers and booleans are converted before they are checked. */
export const textCheck = new Ajv({ useDefaults: true, coerceTypes: true, strict: false, verbose: true });

/** A day that the calendar has, written as ISO 8601, in the years that records are taken from. */
const isDay = (text: string): boolean => {
  const reading = readDay(text);
  return reading.ok && reading.value === text;
};
for (const check of [bodyCheck, textCheck]) check.addFormat('date', isDay);
