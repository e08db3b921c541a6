import type { Interval } from '../../server/schemas/common.ts';
import { lengthInUnits, type Measured, temperatureInUnits, type Units, widthInUnits } from './units.ts';

/** Shown for a value that is not known. Never 0, never blank. */
export const NOT_KNOWN = '–';

const LOCALE = 'en-GB';
const fixed = new Map<number, Intl.NumberFormat>();

/** A number with thousands separators, a given number of decimals and a true minus sign; what rounds to 0 has none. */
export function formatNumber(value: number | null | undefined, decimals = 0): string {
  if (value === null || value === undefined || !Number.isFinite(value)) return NOT_KNOWN;
  let format = fixed.get(decimals);
  if (format === undefined) {
    format = new Intl.NumberFormat(LOCALE, {
      minimumFractionDigits: decimals,
      maximumFractionDigits: decimals,
      signDisplay: 'negative',
    });
    fixed.set(decimals, format);
  }
  return format.format(value).replace('-', '−');
}

/** Decimals that leave about three digits in sight. */
const decimalsFor = (value: number): number => (Math.abs(value) >= 100 ? 0 : Math.abs(value) >= 10 ? 1 : 2);

const formatMeasured = ({ value, unit }: Measured, decimals: number): string =>
  `${formatNumber(value, decimals)}\u00a0${unit}`;

/** @param longM from this length on it is given in km or mi */
export function formatLength(lengthM: number | null | undefined, units: Units, longM = 10_000): string {
  if (lengthM === null || lengthM === undefined) return NOT_KNOWN;
  const shown = lengthInUnits(lengthM, units, longM);
  return formatMeasured(shown, decimalsOfLength(shown));
}

/** Metres and feet are whole, except short ones such as a slab's length. */
const decimalsOfLength = ({ value, unit }: Measured): number => {
  if (unit !== 'm' && unit !== 'ft') return decimalsFor(value);
  return Math.abs(value) < 20 && !Number.isInteger(value) ? 1 : 0;
};

/** A length with its 80 % interval, all in the unit of the larger end. */
export function formatLengthInterval({ median, lower, upper }: Interval, units: Units): string {
  const { value, unit } = lengthInUnits(upper, units);
  const perUnit = upper === 0 ? 1 : value / upper;
  const decimals = decimalsOfLength({ value, unit });
  const [m, l, u] = [median, lower, upper].map((lengthM) => formatNumber(lengthM * perUnit, decimals));
  return `${m}\u00a0${unit} (${l} to ${u})`;
}

/** The ends of an interval of lengths, both in the unit of the upper one: "480 to 520 km". */
export function formatLengthRange(
  { lower, upper }: Pick<Interval, 'lower' | 'upper'>,
  units: Units,
  longM = 10_000,
): string {
  const shown = lengthInUnits(upper, units, longM);
  const perUnit = upper === 0 ? 1 : shown.value / upper;
  const decimals = decimalsOfLength(shown);
  return `${formatNumber(lower * perUnit, decimals)} to ${formatNumber(shown.value, decimals)}\u00a0${shown.unit}`;
}

export function formatWidth(widthMm: number | null | undefined, units: Units): string {
  if (widthMm === null || widthMm === undefined) return NOT_KNOWN;
  const shown = widthInUnits(widthMm, units);
  return formatMeasured(shown, units === 'us' ? 2 : Number.isInteger(shown.value) ? 0 : 1);
}

export function formatTemperature(celsius: number | null | undefined, units: Units): string {
  if (celsius === null || celsius === undefined) return NOT_KNOWN;
  return formatMeasured(temperatureInUnits(celsius, units), 0);
}

/** A share (0-1) in per cent. Nearly none does not read as none, nor nearly all as all. */
export function formatShare(share: number | null | undefined): string {
  if (share === null || share === undefined || !Number.isFinite(share)) return NOT_KNOWN;
  const percent = share * 100;
  if (percent > 0 && percent < 0.1) return '<0.1\u00a0%';
  if (percent < 100 && percent >= 99.5) return '>99\u00a0%';
  return `${formatNumber(percent, percent > 0 && percent < 10 ? 1 : 0)}\u00a0%`;
}

/** A number of years, with a decimal only where there is one. */
export const formatYears = (years: number): string =>
  `${formatNumber(years, Number.isInteger(years) ? 0 : 1)}\u00a0${years === 1 ? 'year' : 'years'}`;

export function formatAge(years: number | null | undefined): string {
  if (years === null || years === undefined) return NOT_KNOWN;
  return `${formatNumber(years, 1)}\u00a0years`;
}

/** A decimal calendar year, as the year it falls in. null means too far ahead to say. */
export const formatYear = (year: number | null | undefined): string =>
  year === null || year === undefined ? NOT_KNOWN : String(Math.floor(year));

/** The 80 % interval of a failure date; an open end is "later" than anything forecast. */
export function formatYearRange(lower: number | null, upper: number | null): string {
  if (lower === null && upper === null) return 'more than 100 years ahead';
  return `${formatYear(lower)} to ${upper === null ? 'over 100 years' : formatYear(upper)}`;
}

/** "12.3 (10.1 to 15.0) years": a value with its 80 % interval. */
export const formatInterval = ({ median, lower, upper }: Interval, decimals: number, unit = ''): string =>
  `${formatNumber(median, decimals)} (${formatNumber(lower, decimals)} to ${formatNumber(upper, decimals)})${unit === '' ? '' : `\u00a0${unit}`}`;

/** Money in whole units of a currency (ISO 4217). */
export function formatMoney(amount: number | null | undefined, currency: string, decimals = 0): string {
  if (amount === null || amount === undefined || !Number.isFinite(amount)) return NOT_KNOWN;
  return new Intl.NumberFormat(LOCALE, {
    style: 'currency',
    currency,
    currencyDisplay: 'narrowSymbol',
    minimumFractionDigits: decimals,
    maximumFractionDigits: decimals,
  }).format(amount);
}

const MONTHS = ['Jan', 'Feb', 'Mar', 'Apr', 'May', 'Jun', 'Jul', 'Aug', 'Sep', 'Oct', 'Nov', 'Dec'];

/** 2024-05-03 as "3 May 2024". No clock and no time zone takes part. */
export function formatDay(isoDay: string | null | undefined): string {
  const parts = isoDay?.match(/^(\d{4})-(\d{2})-(\d{2})/);
  if (!parts) return NOT_KNOWN;
  return `${Number(parts[3])} ${MONTHS[Number(parts[2]) - 1]} ${parts[1]}`;
}

/** An installation range with only the precision that was recorded: a day, a month, a year, or years. */
export function formatDayRange(from: string | null, to: string | null): string {
  if (from === null || to === null) return NOT_KNOWN;
  if (from === to) return formatDay(from);
  const [fromYear, fromMonth] = [from.slice(0, 4), from.slice(5, 7)];
  const wholeYears = from.endsWith('-01-01') && to.endsWith('-12-31');
  if (wholeYears) return fromYear === to.slice(0, 4) ? `in ${fromYear}` : `${fromYear} to ${to.slice(0, 4)}`;
  if (from.slice(0, 7) === to.slice(0, 7)) return `in ${MONTHS[Number(fromMonth) - 1]} ${fromYear}`;
  return `${formatDay(from)} to ${formatDay(to)}`;
}

/** A count with its noun: "1 segment", "2,031 segments". */
export const formatCount = (count: number, one: string, many = `${one}s`): string =>
  `${formatNumber(count)} ${count === 1 ? one : many}`;
