import { type Static, Type } from 'typebox';
import { IsoDateSchema, Nullable, SourceFields } from './common.ts';
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
    pricedOn: Nullable(IsoDateSchema),
    priceSource: Nullable(Type.String({ maxLength: 200 })),
    ...SourceFields,
  },
  { additionalProperties: false },
);
export type UnitCost = Static<typeof UnitCostSchema>;
