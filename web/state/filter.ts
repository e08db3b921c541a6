import type { Filter } from '../../server/schemas/filter.ts';

/** How each field of the filter is written in the address. The compiler keeps this in step with the schema. */
const FIELD_KINDS = {
  district: 'list',
  facility: 'list',
  facilityKind: 'list',
  jointType: 'list',
  sealantClass: 'list',
  minAgeYears: 'number',
  maxAgeYears: 'number',
  minDamagedShare: 'number',
  maxDamagedShare: 'number',
  minDueYear: 'integer',
  maxDueYear: 'integer',
  segmentIds: 'list',
  search: 'text',
} as const satisfies Record<keyof Filter, 'list' | 'number' | 'integer' | 'text'>;

export type FilterField = keyof typeof FIELD_KINDS;
export type ListField = { [F in FilterField]: (typeof FIELD_KINDS)[F] extends 'list' ? F : never }[FilterField];
export type BoundField = {
  [F in FilterField]: (typeof FIELD_KINDS)[F] extends 'number' | 'integer' ? F : never;
}[FilterField];

export const FILTER_FIELDS = Object.keys(FIELD_KINDS) as FilterField[];

/** The filter that an address holds. Anything that is not a number where one belongs is left out. */
export function readFilter(params: URLSearchParams): Filter {
  const filter: Record<string, string | number> = {};
  for (const field of FILTER_FIELDS) {
    const text = params.get(field)?.trim();
    if (text === undefined || text === '') continue;
    const kind = FIELD_KINDS[field];
    if (kind === 'list' || kind === 'text') {
      filter[field] = text;
      continue;
    }
    const value = Number(text);
    if (Number.isFinite(value)) filter[field] = kind === 'integer' ? Math.round(value) : value;
  }
  return filter as Filter;
}

/** The same address with this filter in it; every other parameter is kept. */
export function writeFilter(params: URLSearchParams, filter: Filter): URLSearchParams {
  const next = new URLSearchParams(params);
  for (const field of FILTER_FIELDS) {
    const value = filter[field];
    if (value === undefined || value === '') next.delete(field);
    else next.set(field, String(value));
  }
  return next;
}

export const readList = (filter: Filter, field: ListField): string[] => {
  const text = filter[field];
  return text === undefined || text === '' ? [] : text.split(',').map(decodedWord);
};

export const withList = (filter: Filter, field: ListField, values: readonly string[]): Filter =>
  withField(filter, field, values.length === 0 ? undefined : values.map(encodedWord).join(','));

/** A comma separates words, so one inside a word is written %2C, as the server reads it. */
const encodedWord = (word: string): string => word.replace(/[%,]/g, encodeURIComponent);

function decodedWord(word: string): string {
  try {
    return decodeURIComponent(word);
  } catch {
    return word; // typed by hand: a lone % is part of the word
  }
}

/** Adds the value to a list, or takes it out. */
export const toggleInList = (filter: Filter, field: ListField, value: string): Filter => {
  const values = readList(filter, field);
  return withList(filter, field, values.includes(value) ? values.filter((v) => v !== value) : [...values, value]);
};

/** Sets one field; undefined takes it out. */
export function withField<F extends FilterField>(filter: Filter, field: F, value: Filter[F] | undefined): Filter {
  const { [field]: _, ...rest } = filter;
  return value === undefined || value === '' ? rest : { ...rest, [field]: value };
}

/** How many of the filter's questions are asked: a pair of bounds counts once. */
export function countActive(filter: Filter): number {
  const questions = new Set<string>();
  for (const field of FILTER_FIELDS) {
    if (filter[field] !== undefined) questions.add(field.replace(/^(min|max)/, ''));
  }
  return questions.size;
}
