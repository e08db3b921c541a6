import type { UnitCost } from '../schemas/unit-cost.ts';
import type { JointType, SealantClass } from '../schemas/words.ts';

/** Unit costs by class and joint type: a price for the joint type itself wins over one for any. */
export class PriceList {
  /** By class and joint type. */ readonly #prices = new Map<string, Map<string, number>>();
  /** Year that the prices are money of: the newest pricing day; null where none is dated. */
  readonly priceYear: number | null;

  constructor(costs: readonly UnitCost[]) {
    for (const { sealantClass, jointType, costPerM } of costs) {
      const ofClass = this.#prices.get(sealantClass) ?? new Map<string, number>();
      this.#prices.set(sealantClass, ofClass.set(jointType, costPerM));
    }
    const years = costs.flatMap(({ pricedOn }) => (pricedOn ? [Number(pricedOn.slice(0, 4))] : []));
    this.priceYear = years.length > 0 ? Math.max(...years) : null;
  }

  /** Agency's currency per metre; NaN where there is no price. */
  costPerM(sealantClass: SealantClass | string, jointType: JointType): number {
    const ofClass = this.#prices.get(sealantClass);
    return ofClass?.get(jointType) ?? ofClass?.get('any') ?? Number.NaN;
  }
}
