/** A value that outlives the screen that shows it, for React's useSyncExternalStore. */
export interface ExternalStore<T> {
  read(): T;
  write(next: T): void;
  subscribe(listener: () => void): () => void;
}

export function externalStore<T>(initial: T): ExternalStore<T> {
  let value = initial;
  const listeners = new Set<() => void>();
  return {
    read: () => value,
    write(next) {
      value = next;
      for (const listener of listeners) listener();
    },
    subscribe(listener) {
      listeners.add(listener);
      return () => listeners.delete(listener);
    },
  };
}
