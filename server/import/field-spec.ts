import type { TSchema } from 'typebox';
import type { Unit } from '../schemas/load.ts';
import type { WordTable } from './trade-words.ts';
import { type Dimension, storedUnit, unitEndings, unitsOf } from './units.ts';

/** How one of our fields is found in a file and read. Limits come from the record's schema, never written twice. */
export interface FieldSpec {
  readonly field: string;
  /** Other column names, in any case, with or without spaces and marks; without the unit. */
  readonly names: readonly string[];
  readonly required: boolean;
  readonly dimension: Dimension | null;
  readonly words: WordTable | null;
  readonly limits: Limits;
}

export interface Limits {
  readonly minimum: number;
  readonly maximum: number;
  readonly aboveMinimum: boolean;
  readonly whole: boolean;
  readonly maxLength: number;
}

interface FieldOptions {
  names?: readonly string[];
  required?: boolean;
  dimension?: Dimension;
  words?: WordTable;
  /** Field of the schema whose limits hold, when it is called otherwise there. */ limitsOf?: string;
}

/** The fields of one kind of record, from its schema and a line for each. */
export function fieldSpecs(schema: TSchema, options: Record<string, FieldOptions>): FieldSpec[] {
  return Object.entries(options).map(([field, option]) => ({
    field,
    names: option.names ?? [],
    required: option.required ?? false,
    dimension: option.dimension ?? null,
    words: option.words ?? null,
    limits: limitsOf(schema, option.limitsOf ?? field),
  }));
}

interface SchemaNode {
  properties?: Record<string, SchemaNode>;
  anyOf?: SchemaNode[];
  type?: string;
  minimum?: number;
  maximum?: number;
  exclusiveMinimum?: number;
  maxLength?: number;
}

const DEFAULT_TEXT_LENGTH = 200;

function limitsOf(schema: TSchema, field: string): Limits {
  const node = (schema as SchemaNode).properties?.[field] ?? {};
  const value = node.anyOf?.find((part) => part.type !== 'null') ?? node;
  return {
    minimum: value.minimum ?? value.exclusiveMinimum ?? Number.NEGATIVE_INFINITY,
    maximum: value.maximum ?? Number.POSITIVE_INFINITY,
    aboveMinimum: value.exclusiveMinimum !== undefined,
    whole: value.type === 'integer',
    maxLength: value.maxLength ?? DEFAULT_TEXT_LENGTH,
  };
}

/** A column's name without case, spaces and marks: "Width (in)", "WIDTH_IN" and "widthIn" are one. */
export const normaliseName = (name: string): string =>
  name
    .normalize('NFKC')
    .toLowerCase()
    .replace(/%/g, 'percent')
    .replace(/["″]/g, 'in')
    .replace(/[^\p{L}\p{N}]/gu, '');

export interface NameMatch {
  readonly field: string;
  /** Null when the name does not say it. */ readonly unit: Unit | null;
  /** The field's own name counts before another spelling of it. */ readonly exact: boolean;
}

/** Finds the field that a column name means, and the unit if the name ends in one. */
export class NameIndex {
  private readonly matches = new Map<string, NameMatch>();

  constructor(specs: readonly FieldSpec[]) {
    for (const spec of specs) this.addField(spec);
  }

  find(column: string): NameMatch | null {
    return this.matches.get(normaliseName(column)) ?? null;
  }

  private addField(spec: FieldSpec): void {
    const own = normaliseName(spec.field);
    const names = new Set([own, ...spec.names.map(normaliseName)]);
    if (spec.dimension) {
      for (const ending of unitEndings(storedUnit(spec.dimension))) {
        if (own.endsWith(ending) && own.length > ending.length) names.add(own.slice(0, -ending.length));
      }
      for (const name of names) {
        for (const unit of unitsOf(spec.dimension)) {
          for (const ending of unitEndings(unit)) {
            const withUnit = `${name}${ending}`;
            this.add(withUnit, { field: spec.field, unit, exact: withUnit === own });
          }
        }
      }
    }
    for (const name of names) this.add(name, { field: spec.field, unit: null, exact: name === own });
  }

  /** First come, first kept, except that a field's own name is never taken by another's synonym. */
  private add(name: string, match: NameMatch): void {
    if (!this.matches.has(name) || (match.exact && !this.matches.get(name)?.exact)) this.matches.set(name, match);
  }
}
