import { type ExternalStore, externalStore } from '../../state/external-store.ts';

/**
 * What has been typed or chosen and not yet saved, by key (a scenario's id). It outlives the screen and a reload of the
 * page, and ends with the tab.
 */
export function keptStore<T>(name: string): ExternalStore<Readonly<Record<string, T>>> {
  const store = externalStore<Readonly<Record<string, T>>>(readKept(name));
  return {
    ...store,
    write(next) {
      try {
        window.sessionStorage.setItem(name, JSON.stringify(next));
      } catch {
        // Storage is off or full: kept until the page is left.
      }
      store.write(next);
    },
  };
}

function readKept<T>(name: string): Readonly<Record<string, T>> {
  try {
    const kept: unknown = JSON.parse(window.sessionStorage.getItem(name) ?? '{}');
    return typeof kept === 'object' && kept !== null ? (kept as Record<string, T>) : {};
  } catch {
    return {};
  }
}

/** The kept things with one set, or taken out (null). */
export function withKept<T>(kept: Readonly<Record<string, T>>, key: string, value: T | null): Record<string, T> {
  const { [key]: _, ...rest } = kept;
  return value === null ? rest : { ...rest, [key]: value };
}
