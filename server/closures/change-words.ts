import type { ClosureWindow } from '../../analytics/closures/closure-plan.ts';
import { monthOf } from './local-time.ts';

/** A change of the rules, told by what it asks of the operator. */
export type NamedChange =
  | { readonly kind: 'spare' | 'past-dates' }
  | { readonly kind: 'longer'; readonly hours: number }
  | { readonly kind: 'less-chance'; readonly chance: number }
  | { readonly kind: 'barred-lifted'; readonly name: string }
  | { readonly kind: 'at-once' }
  | { readonly kind: 'crew'; readonly like: string; readonly atOnce: boolean };

/** @param windows those asked for, where the change is more windows */
export function changeWords(change: NamedChange, windows: readonly ClosureWindow[]): string {
  if ((change.kind === 'spare' || change.kind === 'past-dates') && windows.length === 0)
    return 'No change of the rules: lock the closures of the other facilities and schedule again, and it fits.';
  switch (change.kind) {
    case 'spare':
      return `${moreWindows(windows)}, on days that the rules leave out.`;
    case 'past-dates':
      return `${moreWindows(windows)}, outside the dates of the rules.`;
    case 'longer':
      return `Windows longer by ${counted(change.hours, 'hour')}.`;
    case 'less-chance':
      return `Windows with a chance of workable weather down to ${Math.round(100 * change.chance)} %.`;
    case 'barred-lifted':
      return `Closing in ${change.name}, which is barred.`;
    case 'at-once':
      return 'Room for one crew more at the same time.';
    case 'crew':
      return `One more crew, like ${change.like}${change.atOnce ? ', and room for one more at the same time' : ''}.`;
  }
}

const MONTHS = [
  ...['January', 'February', 'March', 'April', 'May', 'June', 'July'],
  ...['August', 'September', 'October', 'November', 'December'],
];
const NUMBERS = ['no', 'one', 'two', 'three', 'four', 'five', 'six', 'seven', 'eight', 'nine', 'ten'];

const counted = (count: number, noun: string): string =>
  `${NUMBERS[count] ?? count.toLocaleString('en')} ${noun}${count === 1 ? '' : 's'}`;

/** "Two more nights in May", "Twelve more nights in May and June". */
function moreWindows(windows: readonly ClosureWindow[]): string {
  const months = [...new Set(windows.map(({ startMinute }) => monthOf(startMinute)))].sort();
  const years = new Set(months.map((month) => month.slice(0, 4)));
  const names = months.map((month) => {
    const name = MONTHS[Number(month.slice(5)) - 1];
    return years.size > 1 ? `${name} ${month.slice(0, 4)}` : name;
  });
  const listed = names.length < 2 ? names.join('') : `${names.slice(0, -1).join(', ')} and ${names.at(-1)}`;
  const told = `${counted(windows.length, `more ${nounOf(windows)}`)} in ${listed}`;
  return told.charAt(0).toUpperCase() + told.slice(1);
}

function nounOf(windows: readonly ClosureWindow[]): 'night' | 'day' | 'window' {
  const all = (suits: (window: ClosureWindow) => boolean) => windows.every(suits);
  const clock = ({ startMinute }: ClosureWindow) => startMinute % 1440;
  const short = (window: ClosureWindow) => window.endMinute - window.startMinute <= 14 * 60;
  if (all((window) => short(window) && clock(window) >= 18 * 60)) return 'night';
  return all((window) => short(window) && clock(window) >= 5 * 60 && clock(window) < 12 * 60) ? 'day' : 'window';
}
