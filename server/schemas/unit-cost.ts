import { type Static, Type } from 'typebox';
import { Nullable, SourceFields } from './common.ts';
import { JOINT_TYPES, oneOf, SealantClassSchema } from './words.ts';

/** Price of taking out the old seal and resealing one metre of joint. */
export const UnitCostSchema = Type.Object(
  {
    sealantClass: SealantClassSchema,
    jointType: oneOf([...JOINT_TYPES, 'any'], 'A joint type, or any'),
    costPerM: Type.Number({
      exclusiveMinimum: 0,
      maximum: 10_000,
      description: "Agency's currency per metre of joint",
    }),
    pricedOn: Nullable(
      Type.String({
        pattern: '^[0-9]{4}-[0-9]{2}-[0-9]{2}$',
        format: 'date',
        description: 'Day of the price, ISO 8601',
      }),
    ),
    priceSource: Nullable(Type.String({ maxLength: 200 })),
    ...SourceFields,
  },
  { additionalProperties: false },
);
export type UnitCost = Static<typeof UnitCostSchema>;
