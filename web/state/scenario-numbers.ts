import { parseDecimal } from './budget-edit.ts';
import { pricePerLength, pricePerM, type Units } from './units.ts';

const M_PER_FOOT = 0.3048;

/** How one kind of number is typed and stored. */
export interface NumberKind {
  /** As it stands in the field. */ readonly show: (stored: number) => string;
  /** Back to what is stored; null: not a number. */ readonly read: (text: string) => number | null;
  /** Bounds of what is stored. */ readonly lowest: number;
  readonly highest: number;
  /** What is allowed, in the unit of the field. */ readonly allowed: string;
}

const plain = (value: number, digits: number): string => String(Number(value.toFixed(digits)));
const grouped = (value: number, digits: number): string =>
  value.toLocaleString('en-GB', { maximumFractionDigits: digits, useGrouping: true });

/** An amount as people write it: "2500000", "2,500,000" or "2 500 000". "1,25" and "12,50" are not guessed at. */
export function parseAmount(text: string): number | null {
  const clean = text.trim();
  const groups = /^(\d{1,3})(?:([,\s])\d{3})(?:\2\d{3})*(\.\d+)?$/.test(clean);
  return parseDecimal(groups ? clean.replace(/[,\s]/g, '') : clean);
}

export const MONEY: NumberKind = {
  show: (stored) => grouped(stored, 2),
  read: parseAmount,
  lowest: 0,
  highest: 1e12,
  allowed: 'an amount of 0 or more, for example 2,500,000',
};

export const whole = (lowest: number, highest: number, unit: string): NumberKind => ({
  show: (stored) => plain(stored, 0),
  read: (text) => (/^[+-]?\d+$/.test(text.trim()) ? Number(text) : null),
  lowest,
  highest,
  allowed: `a whole number from ${lowest} to ${highest}${unit === '' ? '' : ` ${unit}`}`,
});

/** A share, typed in per cent. */
export const percent = (lowest: number, highest: number): NumberKind => ({
  show: (stored) => plain(stored * 100, 4),
  read: (text) => {
    const typed = parseDecimal(text);
    return typed === null ? null : Number((typed / 100).toFixed(8));
  },
  lowest,
  highest,
  allowed: `a number from ${plain(lowest * 100, 2)} to ${plain(highest * 100, 2)} %`,
});

export const lengthIn = (units: Units, highest: number): NumberKind => ({
  show: (stored) => grouped(units === 'us' ? stored / M_PER_FOOT : stored, units === 'us' ? 0 : 1),
  read: (text) => {
    const typed = parseAmount(text);
    return typed === null || units === 'si' ? typed : typed * M_PER_FOOT;
  },
  lowest: 0,
  highest,
  allowed: `a length of 0 or more in ${units === 'us' ? 'ft' : 'm'}`,
});

/** Money for a metre, typed for a metre or a foot. */
export const pricePer = (units: Units, highest: number): NumberKind => ({
  show: (stored) => {
    const { value } = pricePerLength(stored, units);
    return value.toFixed(value !== 0 && value < 0.1 ? 5 : 2);
  },
  read: (text) => {
    const typed = parseDecimal(text);
    return typed === null ? null : pricePerM(typed, units);
  },
  lowest: 0,
  highest,
  allowed: `a price of 0 or more per ${units === 'us' ? 'ft' : 'm'}, for example 12.50`,
});

export type ReadNumber = { readonly value: number; readonly problem: null } | { readonly problem: string };

/** @param stored what was there before: a field that still shows it keeps the digits that it does not show */
export function readNumber(text: string, kind: NumberKind, stored?: number | null): ReadNumber {
  if (stored !== undefined && stored !== null && kind.show(stored) === text) return { value: stored, problem: null };
  const value = kind.read(text);
  if (value === null || !Number.isFinite(value) || value < kind.lowest || value > kind.highest)
    return { problem: `Give ${kind.allowed}.` };
  return { value, problem: null };
}
