import type { UnitCost } from '../server/schemas/unit-cost.ts';
import type { SealantClass } from '../server/schemas/words.ts';
import type { CsvFile } from './writers.ts';

/** Invented prices of taking out and resealing, USD per metre of joint, in the trade's usual order. */
const PER_METRE: readonly (readonly [SealantClass, number])[] = [
  ['silicone-self-levelling', 11.5],
  ['silicone-non-sag', 12.4],
  ['hot-applied', 5.4],
  ['hot-applied-type-1', 5.1],
  ['hot-applied-type-2', 5.9],
  ['hot-applied-type-3', 6.6],
  ['hot-applied-type-4', 7.2],
  ['polysulfide', 14.8],
  ['polyurethane-two-part', 13.2],
  ['preformed-compression', 24],
  ['unknown', 8],
];
const ON_A_BRIDGE = 3;

export function writeUnitCosts(file: CsvFile): void {
  const write = (sealantClass: SealantClass, jointType: UnitCost['jointType'], cost: number) =>
    file.write([sealantClass, jointType, cost, '2025-07-01', 'invented']);
  for (const [sealantClass, cost] of PER_METRE) write(sealantClass, 'any', cost);
  for (const [sealantClass, cost] of PER_METRE) {
    if (!sealantClass.startsWith('hot-applied'))
      write(sealantClass, 'bridge-deck', Math.round(cost * ON_A_BRIDGE * 10) / 10);
  }
}
