import { type Static, Type } from 'typebox';
import { FACILITY_KINDS, JOINT_TYPES, oneOf, SEALANT_CLASSES } from './words.ts';

/** A query parameter that holds some of the words, comma-separated. */
export const listOf = (words: readonly string[], what: string) =>
  Type.String({
    pattern: `^((${words.join('|')})(,(${words.join('|')}))*)?$`,
    description: `${what}, comma-separated, of ${words.join(', ')}`,
  });

/** The one filter of map, table, totals and exports, as query parameters. Lists are comma-separated words;
 * empty or absent means everything. Bounds are closed. */
export const FilterSchema = Type.Object(
  {
    district: Type.Optional(Type.String({ description: 'Districts, comma-separated (URL-encoded)' })),
    facility: Type.Optional(Type.String({ description: 'Facility ids, comma-separated' })),
    facilityKind: Type.Optional(listOf(FACILITY_KINDS, 'Facility kinds')),
    jointType: Type.Optional(listOf(JOINT_TYPES, 'Joint types')),
    sealantClass: Type.Optional(listOf(SEALANT_CLASSES, 'Classes of the seal in place')),
    minAgeYears: Type.Optional(Type.Number({ minimum: 0 })),
    maxAgeYears: Type.Optional(Type.Number({ minimum: 0 })),
    minDamagedShare: Type.Optional(Type.Number({ minimum: 0, maximum: 1 })),
    maxDamagedShare: Type.Optional(Type.Number({ minimum: 0, maximum: 1 })),
    minDueYear: Type.Optional(Type.Integer({ minimum: 1900, maximum: 2300 })),
    maxDueYear: Type.Optional(Type.Integer({ minimum: 1900, maximum: 2300 })),
    segmentIds: Type.Optional(Type.String({ description: 'Segment ids, comma-separated; a comma inside one is %2C' })),
    search: Type.Optional(
      Type.String({
        maxLength: 100,
        description: 'Part of a segment id or facility name',
      }),
    ),
  },
  { additionalProperties: false },
);
export type Filter = Static<typeof FilterSchema>;

export const SORT_FIELDS = [
  'id',
  'facilityId',
  'district',
  'jointType',
  'sealantClass',
  'sealedLengthM',
  'ageYears',
  'damagedShare',
  'failedNowProbability',
  'dueYear',
  'medianFailureYear',
] as const;
export const SortFieldSchema = oneOf(SORT_FIELDS, 'What the rows are ordered by');
export type SortField = Static<typeof SortFieldSchema>;
