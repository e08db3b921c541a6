import geojsonValidation from 'geojson-validation';
import { CollectionSplitter, nestsTooDeep, type Piece, SequenceSplitter, type Splitter } from './feature-splitter.ts';
import { type FileBytes, utf8Chunks } from './file-bytes.ts';
import { firstPosition } from './geometry-check.ts';
import type { FileShape, RawBatch, RawRow } from './raw-row.ts';
import type { FieldProblem } from './row-problem.ts';
import { FileRefused, ImportCancelled, showValue } from './row-problem.ts';

type GeoJsonForm = 'collection' | 'record-separated' | 'line-by-line';

const SAMPLE_VALUES = 3000;
const MOST_COLUMNS = 500;
/** The column that carries a feature's geometry; the other columns are its properties. */
export const GEOMETRY_COLUMN = 'geometry';
/** The column of a feature's own id (RFC 7946 section 3.2), where the properties have none. */
const FEATURE_ID_COLUMN = 'id';

export interface GeoJsonShape extends FileShape {
  readonly format: 'geojson';
  readonly form: GeoJsonForm;
  readonly usesFeatureId: boolean;
}

/** Which form of GeoJSON the beginning of a file shows; null when it is none. */
export function geoJsonForm(head: Buffer): GeoJsonForm | null {
  const text = head.toString('utf8').replace(/^\uFEFF/, '');
  const start = text.trimStart();
  if (text.charCodeAt(0) === 0x1e || start.charCodeAt(0) === 0x1e) return 'record-separated';
  if (start.startsWith('[')) {
    throw new FileRefused({
      field: 'file',
      found: 'a bare JSON list',
      expected: 'a GeoJSON FeatureCollection or text sequence',
      hint: 'Wrap it: {"type": "FeatureCollection", "features": [...]}.',
    });
  }
  if (!start.startsWith('{')) return null;
  const [firstLine, ...rest] = start.split('\n');
  return rest.length > 0 && isFeatureText(firstLine) ? 'line-by-line' : 'collection';
}

function isFeatureText(text: string): boolean {
  try {
    const value: unknown = JSON.parse(text);
    return isObject(value) && value.type === 'Feature';
  } catch {
    return false;
  }
}

const isObject = (value: unknown): value is Record<string, unknown> =>
  typeof value === 'object' && value !== null && !Array.isArray(value);

/** Reads through the file once for its property names and samples of their values. */
export async function geoJsonShape(
  file: FileBytes,
  form: GeoJsonForm,
  cancelled: () => boolean,
): Promise<GeoJsonShape> {
  const samples = new Map<string, unknown[]>();
  const positions: unknown[] = [];
  let usesFeatureId = false;
  for await (const { pieces } of featurePieces(file, form, cancelled)) {
    for (const piece of pieces) {
      const feature = parseFeature(piece).value;
      if (!isObject(feature)) continue;
      if (feature.id !== undefined) usesFeatureId = true;
      const position = positions.length < SAMPLE_VALUES ? firstPosition(feature.geometry) : null;
      if (position) positions.push({ coordinates: position });
      if (!isObject(feature.properties)) continue;
      for (const [name, value] of Object.entries(feature.properties)) {
        const values = samples.get(name) ?? [];
        if (values.length === 0 && samples.size >= MOST_COLUMNS) continue;
        samples.set(name, values);
        if (values.length < SAMPLE_VALUES && value !== null && value !== '') values.push(value);
      }
    }
  }
  usesFeatureId &&= !samples.has(FEATURE_ID_COLUMN);
  samples.delete(GEOMETRY_COLUMN);
  const columns = [...(usesFeatureId ? [FEATURE_ID_COLUMN] : []), ...samples.keys(), GEOMETRY_COLUMN];
  return {
    format: 'geojson',
    form,
    usesFeatureId,
    columns,
    samples: columns.map((column) => (column === GEOMETRY_COLUMN ? positions : (samples.get(column) ?? []))),
    decimalComma: false,
    delimiter: ',',
    notes: samples.size >= MOST_COLUMNS ? [`Only the first ${MOST_COLUMNS} properties were looked at.`] : [],
  };
}

/** The features of a file as rows: one value for each column of the shape, the geometry last. */
export async function* geoJsonRows(
  file: FileBytes,
  shape: GeoJsonShape,
  cancelled: () => boolean,
): AsyncGenerator<RawBatch> {
  let row = 0;
  for await (const { pieces, bytes } of featurePieces(file, shape.form, cancelled)) {
    const rows = pieces.map((piece) => toRow(parseFeature(piece), ++row, shape));
    if (rows.length > 0) yield { rows, bytes };
  }
}

async function* featurePieces(
  file: FileBytes,
  form: GeoJsonForm,
  cancelled: () => boolean,
): AsyncGenerator<{ pieces: Piece[]; bytes: number }> {
  const splitter: Splitter = form === 'collection' ? new CollectionSplitter() : new SequenceSplitter(form);
  let bytes = 0;
  for await (const chunk of utf8Chunks(file)) {
    if (cancelled()) throw new ImportCancelled();
    bytes += chunk.length;
    yield { pieces: splitter.push(chunk), bytes };
  }
  yield { pieces: splitter.end(), bytes };
}

const problemOf = (found: string, hint?: string): FieldProblem => ({
  field: 'feature',
  found,
  expected: 'a GeoJSON Feature (RFC 7946)',
  ...(hint ? { hint } : {}),
});

function parseFeature(piece: Piece): { value: unknown; problem?: FieldProblem } {
  if ('broken' in piece) {
    return { value: null, problem: problemOf(piece.broken, 'Write the file again, or in smaller parts.') };
  }
  if (nestsTooDeep(piece.text)) return { value: null, problem: problemOf('nested too deeply') };
  const text = piece.text.toString('utf8').replaceAll('\u001e', '');
  try {
    return { value: JSON.parse(text) as unknown };
  } catch {
    return { value: null, problem: problemOf(`no valid JSON: ${showValue(text.trim())}`) };
  }
}

function toRow(parsed: { value: unknown; problem?: FieldProblem }, row: number, shape: GeoJsonShape): RawRow {
  const feature = parsed.value;
  const problem = parsed.problem ?? structureProblem(feature);
  if (!isObject(feature)) return { row, values: [], broken: problem };
  const properties = isObject(feature.properties) ? feature.properties : {};
  const last = shape.columns.length - 1;
  const values = shape.columns.map((column, i) => {
    if (i === last) return feature.geometry ?? null;
    if (i === 0 && shape.usesFeatureId) return feature.id ?? null;
    return Object.hasOwn(properties, column) ? properties[column] : null;
  });
  return problem ? { row, values, broken: problem } : { row, values };
}

/** What is wrong with a feature apart from its geometry, which has checks of its own for CSV and GeoJSON alike. */
function structureProblem(feature: unknown): FieldProblem | undefined {
  if (!isObject(feature)) return problemOf(showValue(feature));
  if (feature.type !== 'Feature') return problemOf(`of type ${showValue(feature.type)}`);
  const { properties } = feature;
  if (properties !== null && properties !== undefined && !isObject(properties)) {
    return { field: 'properties', found: showValue(properties), expected: 'an object or null' };
  }
  const withoutGeometry = 'geometry' in feature ? { ...feature, geometry: null } : feature;
  const [first] = geojsonValidation.isFeature(withoutGeometry, true);
  return first ? problemOf(`not one: ${first}`) : undefined;
}
