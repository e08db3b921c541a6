import type { Connection } from './connection.ts';

export function saveDocument(connection: Connection, kind: string, modelVersion: number, document: unknown): void {
  connection.run('INSERT OR REPLACE INTO document VALUES (?, ?, ?)', kind, modelVersion, JSON.stringify(document));
}

export function readDocument(connection: Connection, kind: string, modelVersion?: number): unknown | null {
  const stored =
    modelVersion === undefined
      ? connection.get<{ json: string }>(
          'SELECT json FROM document WHERE kind = ? ORDER BY modelVersion DESC LIMIT 1',
          kind,
        )
      : connection.get<{ json: string }>(
          'SELECT json FROM document WHERE kind = ? AND modelVersion = ?',
          kind,
          modelVersion,
        );
  return stored ? JSON.parse(stored.json) : null;
}
