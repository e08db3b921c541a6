import type { Summary } from '../../schemas/forecast.ts';
import type { Connection } from './connection.ts';
import { NO_DRAWS } from './failed-now-interval.ts';

export type FacetName = keyof Summary['facets'];
export const FACET_NAMES: readonly FacetName[] = ['district', 'facilityKind', 'jointType', 'sealantClass'];

/** Words of one facet in their order, and for each row the place of its word, from 1; 0: none. */
export interface FacetColumn {
  words: string[];
  codes: Uint16Array;
}

/**
 * What totals are made of, one entry for each segment row number, so that a filter costs one query and the rest is
 * counting. About 80 bytes a segment.
 */
export interface NetworkColumns {
  lengthM: Float64Array;
  /** NaN: no forecast. */ failedNow: Float64Array;
  /** NaN: not inspected. */ damagedShare: Float64Array;
  /** Chance of having failed by now under each of `keptDraws` draws, row-major, as bytes; `NO_DRAWS`: no forecast. */
  failedNowDraws: Uint16Array;
  keptDraws: number;
  /** 0: none in the horizon. */ dueYear: Int16Array;
  /** 1 where it holds. */ hasForecast: Uint8Array;
  /** 1 where a seal ought to be and nobody has looked. */ neverInspected: Uint8Array;
  facets: Record<FacetName, FacetColumn>;
  ageYearsRange: [number, number] | null;
}

type Line = [
  row: number,
  lengthM: number,
  failedNow: number | null,
  damagedShare: number | null,
  dueYear: number | null,
  hasForecast: number,
  neverInspected: number,
  ageYears: number | null,
  failedDraws: Buffer | null,
  ...words: (string | null)[],
];

/** Gives each word a number; the words are put in order once all are known. */
class WordCoder {
  readonly codes: Uint16Array;
  readonly #numbers = new Map<string, number>();

  constructor(rows: number) {
    this.codes = new Uint16Array(rows);
  }

  set(row: number, word: string | null): void {
    if (word === null) return;
    let number = this.#numbers.get(word);
    if (number === undefined) {
      number = this.#numbers.size + 1;
      this.#numbers.set(word, number);
    }
    this.codes[row] = number;
  }

  finished(): FacetColumn {
    const words = [...this.#numbers.keys()].sort();
    const ordered = new Uint16Array(words.length + 1);
    for (const [place, word] of words.entries()) ordered[this.#numbers.get(word) ?? 0] = place + 1;
    return { words, codes: this.codes.map((number) => ordered[number]) };
  }
}

const READ = `SELECT s.row, s.sealedLengthM, t.failedNowProbability, t.damagedShare, t.dueYear,
    t.planningYear IS NOT NULL, t.lastInspectedOn IS NULL AND NOT s.unsealedByPolicy, t.ageYears, t.failedNowDraws,
    s.district, f.kind, s.jointType, t.sealantClass
  FROM segment s JOIN state t ON t.segmentRow = s.row JOIN facility f ON f.id = s.facilityId`;

export function readNetworkColumns(connection: Connection): NetworkColumns {
  const rows = 1 + (connection.get<{ top: number | null }>('SELECT max(row) AS top FROM segment')?.top ?? 0);
  const coders = FACET_NAMES.map(() => new WordCoder(rows));
  const lengthM = new Float64Array(rows);
  const failedNow = new Float64Array(rows).fill(Number.NaN);
  const damagedShare = new Float64Array(rows).fill(Number.NaN);
  const bytes = connection.get<{ bytes: number | null }>('SELECT max(length(failedNowDraws)) AS bytes FROM state');
  const keptDraws = bytes?.bytes ?? 0;
  const failedNowDraws = new Uint16Array(rows * keptDraws).fill(NO_DRAWS);
  const dueYear = new Int16Array(rows);
  const hasForecast = new Uint8Array(rows);
  const neverInspected = new Uint8Array(rows);
  let [least, most] = [Infinity, Number.NEGATIVE_INFINITY];
  const lines = connection.db.prepare<[], Line>(READ).raw().iterate() as IterableIterator<Line>;
  for (const [row, length, failed, damaged, due, forecast, unseen, age, draws, ...words] of lines) {
    lengthM[row] = length;
    if (failed !== null) failedNow[row] = failed;
    if (draws !== null) failedNowDraws.set(draws, row * keptDraws);
    if (damaged !== null) damagedShare[row] = damaged;
    dueYear[row] = due ?? 0;
    hasForecast[row] = forecast;
    neverInspected[row] = unseen;
    if (age !== null) [least, most] = [Math.min(least, age), Math.max(most, age)];
    for (let k = 0; k < coders.length; k++) coders[k].set(row, words[k]);
  }
  const [district, facilityKind, jointType, sealantClass] = coders.map((coder) => coder.finished());
  return {
    ...{ lengthM, failedNow, failedNowDraws, keptDraws, damagedShare, dueYear, hasForecast, neverInspected },
    facets: { district, facilityKind, jointType, sealantClass },
    ageYearsRange: least <= most ? [least, most] : null,
  };
}
