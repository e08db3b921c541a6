import { useSyncExternalStore } from 'react';
import { readThemeChoice, resolveTheme, type Theme, type ThemeChoice } from '../../state/theme.ts';
import { readUnits, type Units } from '../../state/units.ts';

/** What this reader likes: kept in this browser, not in the address, so that a sent link does not change it. */
const KEYS = { units: 'kerfcast.units', theme: 'kerfcast.theme' } as const;
const listeners = new Set<() => void>();
const darkQuery = window.matchMedia('(prefers-color-scheme: dark)');

function stored(key: string): string | null {
  try {
    return window.localStorage.getItem(key);
  } catch {
    return null; // Storage may be switched off; the choice then lasts until the page is left.
  }
}

let units: Units = readUnits(stored(KEYS.units));
let themeChoice: ThemeChoice = readThemeChoice(stored(KEYS.theme));

function keep(key: string, value: string): void {
  try {
    window.localStorage.setItem(key, value);
  } catch {
    // See above: not kept, still used.
  }
  for (const listener of listeners) listener();
}

/** Writes the choice where the style sheets look for it. `system` leaves it to the browser. */
export function applyTheme(): void {
  const root = document.documentElement;
  if (themeChoice === 'system') delete root.dataset.theme;
  else root.dataset.theme = themeChoice;
  root.dataset.drawn = resolveTheme(themeChoice, darkQuery.matches);
}
darkQuery.addEventListener('change', applyTheme);

function subscribe(listener: () => void): () => void {
  listeners.add(listener);
  darkQuery.addEventListener('change', listener);
  return () => {
    listeners.delete(listener);
    darkQuery.removeEventListener('change', listener);
  };
}

export const useUnits = (): Units => useSyncExternalStore(subscribe, () => units);
export const useThemeChoice = (): ThemeChoice => useSyncExternalStore(subscribe, () => themeChoice);

/** The theme that is drawn now, for pictures that cannot read style sheets. */
export const useTheme = (): Theme =>
  useSyncExternalStore(subscribe, () => resolveTheme(themeChoice, darkQuery.matches));

export function setUnits(next: Units): void {
  units = next;
  keep(KEYS.units, next);
}

export function setThemeChoice(next: ThemeChoice): void {
  themeChoice = next;
  applyTheme();
  keep(KEYS.theme, next);
}
