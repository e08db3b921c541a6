/**
 * Where the compiled form of a file of this folder stands, by its path from here: worker threads run compiled code. Under a
 * test runner this file is source, and its build stands in dist.
 */
export const compiled = (path: string): URL =>
  new URL(path, new URL(import.meta.url.endsWith('.ts') ? '../dist/server/' : './', import.meta.url));
