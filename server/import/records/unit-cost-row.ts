import type { UnitCost } from '../../schemas/unit-cost.ts';
import type { SealantClass } from '../../schemas/words.ts';
import type { RowReader } from '../row-reader.ts';
import { type RowContext, refuseRepeated } from './row-context.ts';

/** A row of a unit costs file. Without a joint type it holds for any. */
export function readUnitCost(row: RowReader, context: RowContext): UnitCost | null {
  const sealantClass = row.required('sealantClass', row.word<SealantClass>('sealantClass'), 'a sealant class');
  const jointType = row.word<UnitCost['jointType']>('jointType') ?? 'any';
  const costPerM = row.required('costPerM', row.number('costPerM'), 'a cost per m');
  const rest = { pricedOn: row.day('pricedOn'), priceSource: row.text('priceSource') };
  if (sealantClass === null || costPerM === null) return null;
  refuseRepeated(row, context, 'unit-costs', 'sealantClass', unitCostKey({ sealantClass, jointType }));
  return { sealantClass, jointType, costPerM, ...rest, sourceFile: context.file, sourceRow: row.row };
}

export const unitCostKey = ({ sealantClass, jointType }: Pick<UnitCost, 'sealantClass' | 'jointType'>): string =>
  `${sealantClass} for ${jointType}`;
