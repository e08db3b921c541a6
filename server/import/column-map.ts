import type { FileChoice, FilePreview, Unit } from '../schemas/load.ts';
import type { RecordKind } from '../schemas/words.ts';
import { REASON_COLUMN } from './csv-source.ts';
import { type FieldSpec, normaliseName } from './field-spec.ts';
import { GEOMETRY_COLUMN } from './geojson-source.ts';
import { guessUnits } from './guess-units.ts';
import type { FileShape } from './raw-row.ts';
import { nameIndex } from './recognise-kind.ts';
import { RECORD_FIELDS } from './record-fields.ts';
import { showValue } from './row-problem.ts';
import { storedUnit, unitEndings, unitsOf } from './units.ts';

/** A column of the file and the field it is read as. */
export interface MappedColumn {
  readonly index: number;
  readonly column: string;
  readonly spec: FieldSpec;
  unit: Unit | null;
  /** The column's name says the unit. */ readonly unitNamed: boolean;
  /** The unit that the name says. */ readonly namedUnit: Unit | null;
  unitGuessed: boolean;
}

export interface ColumnMap {
  readonly kind: RecordKind;
  readonly byField: ReadonlyMap<string, MappedColumn>;
  readonly missing: readonly string[];
  readonly notes: readonly string[];
}

/** Which column is read as which field and in which unit: what the user said, else the names, else the values. */
export function mapColumns(kind: RecordKind, shape: FileShape, choice: FileChoice): ColumnMap {
  const specs = new Map(RECORD_FIELDS[kind].map((spec) => [spec.field, spec]));
  const notes: string[] = [];
  const byField = new Map<string, MappedColumn>();
  const said = choice.columns ?? {};
  for (const pass of ['said', 'own name', 'synonym'] as const) {
    shape.columns.forEach((column, index) => {
      if (column === REASON_COLUMN || (pass === 'said') !== Object.hasOwn(said, column)) return;
      const match = nameIndex(kind).find(column);
      if (pass !== 'said' && (!match || match.exact !== (pass === 'own name'))) return;
      const field = pass === 'said' ? said[column] : (match?.field as string);
      if (field === '') return;
      const spec = specs.get(field);
      if (!spec) {
        notes.push(`There is no field ${showValue(field)} of ${kind}; column ${showValue(column)} is not used.`);
        return;
      }
      const taken = byField.get(field);
      if (taken) {
        notes.push(`${field} is read from column ${showValue(taken.column)}; column ${showValue(column)} is not used.`);
        return;
      }
      const namedUnit = match?.field === field ? match.unit : bracketedUnit(column, spec);
      const unitNamed = namedUnit !== null;
      const unit = namedUnit ?? (spec.dimension ? storedUnit(spec.dimension) : null);
      byField.set(field, { index, column, spec, unit, unitNamed, namedUnit, unitGuessed: unit !== null && !unitNamed });
    });
  }
  notes.push(...guessUnits(byField, shape), ...applySaidUnits(byField, choice));
  return { kind, byField, missing: missingFields(kind, byField), notes };
}

/** The unit in brackets at the end of a column name that is not one of ours: "Breite [in]". */
function bracketedUnit(column: string, { dimension }: FieldSpec): Unit | null {
  const match = /[[(]([^\])]+)[\])]\s*$/.exec(column);
  if (!match || !dimension) return null;
  const said = normaliseName(match[1]);
  return unitsOf(dimension).find((unit) => unitEndings(unit).includes(said)) ?? null;
}

function applySaidUnits(byField: Map<string, MappedColumn>, choice: FileChoice): string[] {
  const notes: string[] = [];
  for (const [field, unit] of Object.entries(choice.units ?? {})) {
    const mapped = byField.get(field);
    const dimension = mapped?.spec.dimension;
    if (mapped && dimension && unitsOf(dimension).includes(unit)) {
      mapped.unit = unit;
      mapped.unitGuessed = false;
    } else notes.push(`${showValue(field)} cannot be read in ${unit}; that choice was left out.`);
  }
  return notes;
}

function missingFields(kind: RecordKind, byField: ReadonlyMap<string, MappedColumn>): string[] {
  const missing = RECORD_FIELDS[kind].filter((spec) => spec.required && !byField.has(spec.field)).map((s) => s.field);
  if (kind === 'seals' && !byField.has('installed') && !byField.has('installedFrom')) missing.push('installed');
  return missing;
}

/** The columns as the preview shows them, in the file's order. */
export function describeColumns(shape: FileShape, map: ColumnMap): FilePreview['columns'] {
  const byIndex = new Map([...map.byField.values()].map((mapped) => [mapped.index, mapped]));
  return shape.columns.map((column, index) => {
    const mapped = byIndex.get(index);
    const example = shape.samples[index][0];
    const dimension = mapped?.spec.dimension;
    return {
      column,
      field: mapped?.spec.field ?? null,
      unit: mapped?.unit ?? null,
      unitChoices: dimension ? [...unitsOf(dimension)] : [],
      unitGuessed: mapped?.unitGuessed ?? false,
      example: example === undefined || column === GEOMETRY_COLUMN ? null : showValue(example),
    };
  });
}
