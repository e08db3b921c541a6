import type { Settings } from '../../server/schemas/settings.ts';
import type { UnitCost } from '../../server/schemas/unit-cost.ts';
import { pricePerLength, pricePerM, type Units } from './units.ts';

const MAX_COST_PER_M = 10_000;

/** One row of unit costs as typed. `costText` is per metre or per foot, as the screen's units say. */
export interface CostDraft {
  key: number;
  sealantClass: UnitCost['sealantClass'];
  jointType: UnitCost['jointType'];
  costText: string;
  pricedOn: string;
  priceSource: string;
  /** The stored row, until the user changes its price: keeps digits that the screen does not show. */
  stored: UnitCost | null;
}
/** What is wrong with one field, in words that say what is allowed. */
export interface FieldProblem {
  key: number | string;
  field: string;
  message: string;
}

const trimmed = (value: number, digits: number): string => String(Number(value.toFixed(digits)));
const shownPrice = (costPerM: number, units: Units): number => pricePerLength(costPerM, units).value;
const lengthUnit = (units: Units): string => (units === 'us' ? 'ft' : 'm');

/** A price as people write it: two decimals, more only for a fraction of a cent. */
function priceText(costPerM: number, units: Units): string {
  const price = shownPrice(costPerM, units);
  return price.toFixed(price < 0.1 ? 5 : 2);
}

/** Reads a plain decimal number. A comma is refused, not guessed at: 1,250 may be 1250 or 1.25. */
export function parseDecimal(text: string): number | null {
  const clean = text.trim();
  return /^[+-]?(\d+\.?\d*|\.\d+)$/.test(clean) ? Number(clean) : null;
}

export const draftCosts = (costs: readonly UnitCost[], units: Units): CostDraft[] =>
  costs.map((cost, key) => ({
    key,
    sealantClass: cost.sealantClass,
    jointType: cost.jointType,
    costText: priceText(cost.costPerM, units),
    pricedOn: cost.pricedOn ?? '',
    priceSource: cost.priceSource ?? '',
    stored: cost,
  }));

/** The unit costs to save, or what must be mended first. */
export function readCosts(drafts: readonly CostDraft[], units: Units): { costs: UnitCost[]; problems: FieldProblem[] } {
  const problems: FieldProblem[] = [];
  const seen = new Set<string>();
  const costs = drafts.map((draft) => {
    const pair = `${draft.sealantClass} ${draft.jointType}`;
    if (seen.has(pair)) {
      problems.push({
        key: draft.key,
        field: 'jointType',
        message: 'This class and joint type is already in the list.',
      });
    }
    seen.add(pair);
    const problem = costProblem(draft.costText, units);
    if (problem) problems.push({ key: draft.key, field: 'cost', message: problem });
    if (draft.pricedOn && !isDay(draft.pricedOn)) {
      problems.push({
        key: draft.key,
        field: 'pricedOn',
        message: 'Give a day as YYYY-MM-DD, or leave it empty.',
      });
    }
    return costOf(draft, units);
  });
  return { costs, problems };
}

function costProblem(text: string, units: Units): string | null {
  const cost = parseDecimal(text);
  if (cost === null) return 'Give a number with a decimal point, for example 12.50.';
  const highest = shownPrice(MAX_COST_PER_M, units);
  const outside = cost <= 0 || pricePerM(cost, units) > MAX_COST_PER_M;
  return outside ? `Give a price above 0 and up to ${trimmed(highest, 0)} per ${lengthUnit(units)}.` : null;
}

function costOf(draft: CostDraft, units: Units): UnitCost {
  const { sealantClass, jointType, stored } = draft;
  const pricedOn = draft.pricedOn || null;
  const priceSource = draft.priceSource.trim() || null;
  const samePrice = stored !== null && priceText(stored.costPerM, units) === draft.costText.trim();
  const costPerM = samePrice ? stored.costPerM : pricePerM(parseDecimal(draft.costText) ?? 0, units);
  const untouched = samePrice && stored.sealantClass === sealantClass && stored.jointType === jointType;
  // A price typed here no longer came from the file it was first loaded from.
  const source = untouched
    ? {
        sourceFile: stored.sourceFile ?? null,
        sourceRow: stored.sourceRow ?? null,
      }
    : { sourceFile: null, sourceRow: null };
  return {
    sealantClass,
    jointType,
    costPerM,
    pricedOn,
    priceSource,
    ...source,
  };
}

/** True for a day that exists, written YYYY-MM-DD. */
export function isDay(text: string): boolean {
  if (!/^\d{4}-\d{2}-\d{2}$/.test(text)) return false;
  const day = new Date(`${text}T00:00:00Z`);
  return !Number.isNaN(day.getTime()) && day.toISOString().startsWith(text);
}

/** Rates as typed: per cent a year, and money per metre or foot and year. */
export interface RatesDraft {
  escalationPercent: string;
  discountPercent: string;
  openJointCost: string;
  currency: string;
}

export const draftRates = (settings: Settings, units: Units): RatesDraft => ({
  escalationPercent: trimmed(settings.escalationPerYear * 100, 3),
  discountPercent: trimmed(settings.discountRatePerYear * 100, 3),
  openJointCost: shownPrice(settings.openJointCostPerMYear, units).toFixed(2),
  currency: settings.currency,
});

interface Bounds {
  field: keyof RatesDraft;
  lowest: number;
  highest: number;
  unit: string;
}

/** The settings with the rates as typed, or what must be mended first. Bounds are those of the settings schema. */
export function readRates(
  draft: RatesDraft,
  settings: Settings,
  units: Units,
): { settings: Settings; problems: FieldProblem[] } {
  const problems: FieldProblem[] = [];
  const read = ({ field, lowest, highest, unit: inUnit }: Bounds): number => {
    const value = parseDecimal(draft[field]);
    if (value !== null && value >= lowest && value <= highest) return value;
    problems.push({
      key: field,
      field,
      message: `Give a number from ${lowest} to ${trimmed(highest, 0)} ${inUnit}.`,
    });
    return 0;
  };
  const escalation = read({
    field: 'escalationPercent',
    lowest: -10,
    highest: 30,
    unit: '% a year',
  });
  const discount = read({
    field: 'discountPercent',
    lowest: 0,
    highest: 30,
    unit: '% a year',
  });
  const openJoint = read({
    field: 'openJointCost',
    lowest: 0,
    highest: shownPrice(MAX_COST_PER_M, units),
    unit: `per ${lengthUnit(units)} and year`,
  });
  const currency = draft.currency.trim().toUpperCase();
  if (!/^[A-Z]{3}$/.test(currency)) {
    problems.push({
      key: 'currency',
      field: 'currency',
      message: 'Give the three letters of ISO 4217, for example USD or EUR.',
    });
  }
  const unchanged = draft.openJointCost === draftRates(settings, units).openJointCost;
  return {
    problems,
    settings: {
      ...settings,
      currency,
      escalationPerYear: share(escalation),
      discountRatePerYear: share(discount),
      openJointCostPerMYear: unchanged ? settings.openJointCostPerMYear : pricePerM(openJoint, units),
    },
  };
}

/** Per cent to share without binary dust: 3.1 % is 0.031, not 0.031000000000000003. */
const share = (percent: number): number => Number((percent / 100).toFixed(8));
