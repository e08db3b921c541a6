import { RECORD_KINDS, type RecordKind } from '../schemas/words.ts';
import { NameIndex, normaliseName } from './field-spec.ts';
import { RECORD_FIELDS } from './record-fields.ts';

const INDEXES = new Map(RECORD_KINDS.map((kind) => [kind, new NameIndex(RECORD_FIELDS[kind])]));

export const nameIndex = (kind: RecordKind): NameIndex => INDEXES.get(kind) as NameIndex;

/** Fields that no other kind has: a file without any of them is not of that kind, however well the rest fits. */
const TELLING: Record<RecordKind, readonly string[]> = {
  facilities: ['kind'],
  segments: ['geometry', 'facilityId'],
  seals: ['installed', 'installedFrom'],
  inspections: ['inspectedOn', 'damagedShare'],
  stations: ['lon', 'lat'],
  climate: ['maxC', 'minC', 'precipitationMm'],
  'unit-costs': ['costPerM'],
};

/**
 * What the rows of a CSV file are, from its header: the kind of which most required columns are there, then the kind
 * that knows most of the columns, then the one that the file's name says. Null when no kind is half met.
 */
export function recogniseKind(columns: readonly string[], fileName: string): RecordKind | null {
  const scored = RECORD_KINDS.map((kind) => ({ kind, score: kindScore(kind, columns, fileName) }));
  const best = scored.reduce((a, b) => (b.score > a.score ? b : a));
  return best.score > 0 ? best.kind : null;
}

function kindScore(kind: RecordKind, columns: readonly string[], fileName: string): number {
  const index = nameIndex(kind);
  const found = new Set(columns.flatMap((column) => index.find(column)?.field ?? []));
  const required = RECORD_FIELDS[kind].filter((spec) => spec.required);
  const met = required.filter((spec) => found.has(spec.field)).length / required.length;
  if (met < 0.5 || found.size < 2 || !TELLING[kind].some((field) => found.has(field))) return 0;
  const known = columns.filter((column) => index.find(column)).length / columns.length;
  const exact = columns.filter((column) => index.find(column)?.exact).length / columns.length;
  const named = normaliseName(fileName).includes(normaliseName(kind).replace(/s$/, '')) ? 0.3 : 0;
  return met * 4 + known * 2 + exact + named + found.size * 0.01;
}
