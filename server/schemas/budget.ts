import { type Static, Type } from 'typebox';
import { IntervalSchema } from './common.ts';
import { SealantClassSchema } from './words.ts';

const YearMoney = Type.Object({
  year: Type.Integer(),
  lengthM: IntervalSchema,
  cost: IntervalSchema,
});

/** What falls due each year if every seal is resealed like with like in the year it fails: unconstrained. */
export const BudgetSchema = Type.Object({
  modelVersion: Type.Integer(),
  currency: Type.String(),
  priceYear: Type.Integer({
    description: 'Unit costs are in money of this year',
  }),
  escalationPerYear: Type.Number(),
  discountRatePerYear: Type.Number(),
  years: Type.Array(Type.Integer()),
  rows: Type.Array(
    Type.Object({
      district: Type.String(),
      sealantClass: SealantClassSchema,
      year: Type.Integer(),
      lengthM: IntervalSchema,
      cost: IntervalSchema,
    }),
  ),
  totals: Type.Array(YearMoney),
  districtTotals: Type.Array(Type.Intersect([Type.Object({ district: Type.String() }), YearMoney])),
  classTotals: Type.Array(Type.Intersect([Type.Object({ sealantClass: SealantClassSchema }), YearMoney])),
  overall: Type.Object({
    lengthM: IntervalSchema,
    cost: IntervalSchema,
    presentValue: IntervalSchema,
  }),
  assumptions: Type.Array(Type.String()),
  unpricedLengthM: Type.Number({
    description: 'Length whose class has no unit cost; not in the cost',
  }),
});
export type Budget = Static<typeof BudgetSchema>;
