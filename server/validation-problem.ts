import type { ErrorObject } from 'ajv';
import { problem } from './problems.ts';
import type { Problem } from './schemas/common.ts';

const SHOWN_CHARACTERS = 80;
const ANOTHER = 'another value';

/** What a request has wrong, in plain words: the field, what was found, what is allowed. */
export function validationProblem(faults: readonly Partial<ErrorObject>[], context: string): Problem {
  const errors = onePerField(
    faults.map((fault) => ({
      field: [partOf(context), ...(fault.instancePath ?? '').split('/').filter(Boolean), extraName(fault)]
        .filter(Boolean)
        .join('.'),
      found: shown(fault),
      expected: allowed(fault),
    })),
  );
  const detail = errors.map(({ field, found, expected }) => `${field} is ${found}; expected ${expected}.`).join(' ');
  return problem('invalid-request', detail, errors);
}

/** A value that fits none of several schemas has a fault of each: they are told as one. */
function onePerField(errors: NonNullable<Problem['errors']>): NonNullable<Problem['errors']> {
  const byField = new Map<string, { found: string; expected: Set<string> }>();
  for (const { field, found, expected } of errors) {
    const known = byField.get(field) ?? { found, expected: new Set() };
    byField.set(field, known);
    known.expected.add(expected);
  }
  return [...byField].map(([field, { found, expected }]) => {
    if (expected.size > 1) expected.delete(ANOTHER);
    return { field, found, expected: [...expected].join(' or ') };
  });
}

const partOf = (context: string): string => ({ querystring: 'query', params: 'path' })[context] ?? context;

const extraName = ({ keyword, params }: Partial<ErrorObject>): string =>
  keyword === 'additionalProperties' ? String(params?.additionalProperty) : String(params?.missingProperty ?? '');

function shown({ keyword, data, params }: Partial<ErrorObject>): string {
  if (keyword === 'required') return 'missing';
  const value = keyword === 'additionalProperties' ? valueAt(data, params?.additionalProperty) : data;
  const text = typeof value === 'string' ? value : briefly(value);
  if (text === '') return 'empty';
  return text.length > SHOWN_CHARACTERS ? `${text.slice(0, SHOWN_CHARACTERS)}…` : text;
}

const LEVELS_SHOWN = 3;
const MEMBERS_SHOWN = 10;

/** A value as JSON, cut short: a request may nest deeper than JSON.stringify can follow. */
function briefly(value: unknown, levels = LEVELS_SHOWN): string {
  if (typeof value !== 'object' || value === null) return JSON.stringify(value) ?? 'nothing';
  const list = Array.isArray(value);
  const names = Object.keys(value);
  const members = names.slice(0, levels === 0 ? 0 : MEMBERS_SHOWN).map((name) => {
    const member = briefly((value as Record<string, unknown>)[name], levels - 1);
    return list ? member : `${JSON.stringify(name)}:${member}`;
  });
  if (names.length > members.length) members.push('…');
  return list ? `[${members.join(',')}]` : `{${members.join(',')}}`;
}

const valueAt = (data: unknown, name: unknown): unknown =>
  typeof data === 'object' && data !== null && Object.hasOwn(data, String(name))
    ? (data as Record<string, unknown>)[String(name)]
    : undefined;

function allowed({ keyword, params, parentSchema, message }: Partial<ErrorObject>): string {
  switch (keyword) {
    case 'additionalProperties': {
      const known = Object.keys((parentSchema?.properties as object | undefined) ?? {});
      return known.length > 0 ? `one of the known fields: ${known.join(', ')}` : 'no field of that name';
    }
    case 'required':
      return 'a value';
    case 'enum':
      return `one of ${(params?.allowedValues as unknown[] | undefined)?.join(', ')}`;
    case 'type':
      return `${params?.type}`;
    case 'minimum':
      return `${params?.limit} or more`;
    case 'maximum':
      return `${params?.limit} or less`;
    case 'exclusiveMinimum':
      return `more than ${params?.limit}`;
    case 'minLength':
    case 'minItems':
      return `at least ${params?.limit} ${keyword === 'minLength' ? 'characters' : 'entries'}`;
    case 'maxLength':
    case 'maxItems':
      return `at most ${params?.limit} ${keyword === 'maxLength' ? 'characters' : 'entries'}`;
    case 'format':
      return 'a day of the calendar from 1850 to 2200, as YYYY-MM-DD';
    case 'pattern':
      return String(parentSchema?.description ?? `text like ${params?.pattern}`);
    case 'anyOf':
      return ANOTHER;
    default:
      return message ?? ANOTHER;
  }
}
