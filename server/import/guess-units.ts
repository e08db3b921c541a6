import type { Unit } from '../schemas/load.ts';
import type { MappedColumn } from './column-map.ts';
import { parseNumber } from './numbers.ts';
import type { FileShape } from './raw-row.ts';
import { toStored, unitsOf, unitWords } from './units.ts';

const FEWEST_VALUES = 20;
/** Codes for "no reading" in open daily records. */
export const MISSING_READINGS: ReadonlySet<number> = new Set([-9999, 9999, -999.9, 999.9]);

/**
 * Settles the units that no column name says. Sizes, lengths and shares stay in the stored unit; when the values fit
 * another unit better, a note asks. Daily climate is guessed from its values, because open records come in three
 * systems under the same names. Returns notes.
 */
export function guessUnits(byField: ReadonlyMap<string, MappedColumn>, shape: FileShape): string[] {
  const numbers = (mapped: MappedColumn): number[] => sampleNumbers(shape.samples[mapped.index], shape.decimalComma);
  const notes: string[] = [];
  notes.push(...guessClimate(byField, numbers), ...guessShares(byField, numbers));
  for (const mapped of byField.values()) {
    const dimension = mapped.spec.dimension;
    if (!dimension || dimension === 'share' || dimension === 'daily-temperature' || dimension === 'precipitation')
      continue;
    const note = doubtNote(mapped, numbers(mapped));
    if (note) notes.push(note);
  }
  return notes;
}

function sampleNumbers(values: readonly unknown[], decimalComma: boolean): number[] {
  return values.flatMap((value) => {
    const number = typeof value === 'number' ? value : parseNumber(String(value), decimalComma);
    return number === null || !Number.isFinite(number) ? [] : [number];
  });
}

/** Asks when at least half of the values fall outside the limits as read, and nearly all fit in another unit. */
function doubtNote(mapped: MappedColumn, values: readonly number[]): string | null {
  const { spec, unit } = mapped;
  if (!spec.dimension || !unit || values.length === 0 || fitting(mapped, values, unit) > 0.5) return null;
  const better = unitsOf(spec.dimension).find((other) => other !== unit && fitting(mapped, values, other) > 0.9);
  return better
    ? `Most values of ${mapped.column} are out of range in ${unitWords(unit)} and would fit ${unitWords(better)}. Is it in ${unitWords(better)}?`
    : null;
}

function fitting({ spec }: MappedColumn, values: readonly number[], unit: Unit): number {
  const { dimension, limits } = spec;
  if (!dimension) return 1;
  const inside = values.filter((value) => {
    const stored = toStored(value, unit, dimension);
    return stored >= limits.minimum && stored <= limits.maximum && !(limits.aboveMinimum && stored === limits.minimum);
  });
  return inside.length / values.length;
}

type Numbers = (mapped: MappedColumn) => number[];

/** Per cent when a twentieth of the readings above 0 exceed 1: one wrong share must not turn the whole column. */
function guessShares(byField: ReadonlyMap<string, MappedColumn>, numbers: Numbers): string[] {
  const shares = [...byField.values()].filter((mapped) => mapped.spec.dimension === 'share');
  const unnamed = shares.filter((mapped) => !mapped.unitNamed);
  if (unnamed.length === 0) return [];
  const named = shares.find((mapped) => mapped.unitNamed);
  const above0 = unnamed.flatMap(numbers).filter((value) => value > 0);
  const above1 = above0.filter((value) => value > 1).length;
  const unit: Unit = above1 * 20 > above0.length ? 'percent' : (named?.unit ?? 'share');
  for (const mapped of unnamed) mapped.unit = unit;
  if (unit !== 'percent') return [];
  return [`${unnamed.map((mapped) => mapped.column).join(', ')}: values above 1, so they were read as per cent.`];
}

function guessClimate(byField: ReadonlyMap<string, MappedColumn>, numbers: Numbers): string[] {
  const temperatures = ['maxC', 'minC'].flatMap((field) => byField.get(field) ?? []);
  const unnamed = temperatures.filter((mapped) => !mapped.unitNamed);
  const rain = byField.get('precipitationMm');
  const notes: string[] = [];
  let system: Unit = temperatures.find((mapped) => mapped.unitNamed)?.unit ?? 'C';
  if (unnamed.length > 0) {
    const guess = guessTemperature(unnamed.flatMap(numbers));
    system = guess.unit;
    for (const mapped of unnamed) mapped.unit = guess.unit;
    notes.push(`Temperatures were read as ${unitWords(guess.unit)}, ${guess.why}.`);
  }
  if (rain && !rain.unitNamed) {
    const guess = guessPrecipitation(numbers(rain), system);
    rain.unit = guess.unit;
    notes.push(`Precipitation was read as ${unitWords(guess.unit)}, ${guess.why}.`);
  }
  return notes;
}

/**
 * The hottest day on record anywhere reached 56.7 °C (World Meteorological Organization), 567 tenths; in Fahrenheit a
 * warm day passes 60 nearly everywhere.
 */
function guessTemperature(all: number[]): { unit: Unit; why: string } {
  const values = all.filter((value) => !MISSING_READINGS.has(value));
  if (values.length < FEWEST_VALUES)
    return { unit: 'C', why: 'as there are too few to tell by; say so if it is otherwise' };
  const high = quantile(values, 0.98);
  const low = quantile(values, 0.02);
  const whole = values.every(Number.isInteger);
  if (whole && (high > 140 || low < -110)) return { unit: 'tenths-C', why: `as they run from ${low} to ${high}` };
  if (high > 58) return { unit: 'F', why: `as they run from ${low} to ${high}` };
  const doubt = high > 45 ? '; check it' : '';
  return { unit: 'C', why: `as they run from ${low} to ${high}${doubt}` };
}

/** Means of wet days lie far apart: 0.1 to 0.7 in, 2 to 18 mm, 20 to 180 tenths (open daily records). */
function guessPrecipitation(all: number[], temperature: Unit): { unit: Unit; why: string } {
  const wet = all.filter((value) => value > 0 && !MISSING_READINGS.has(value));
  if (wet.length < FEWEST_VALUES) {
    const unit = temperature === 'F' ? 'in' : temperature === 'tenths-C' ? 'tenths-mm' : 'mm';
    return { unit, why: 'to go with the temperatures; there are too few wet days to tell by' };
  }
  const mean = wet.reduce((sum, value) => sum + value, 0) / wet.length;
  const why = `as a wet day has ${mean.toPrecision(2)} on average`;
  if (mean < 1.2) return { unit: 'in', why };
  return mean > 19 && wet.every(Number.isInteger) ? { unit: 'tenths-mm', why } : { unit: 'mm', why };
}

function quantile(values: readonly number[], share: number): number {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))];
}
