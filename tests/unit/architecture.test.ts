import { readdirSync, readFileSync } from 'node:fs';
import path from 'node:path';
import { describe, expect, test } from 'vitest';

const root = path.resolve(import.meta.dirname, '../..');

function sources(folder: string): string[] {
  return readdirSync(path.join(root, folder), { recursive: true, withFileTypes: true })
    .filter((entry) => entry.isFile() && /\.(ts|tsx)$/.test(entry.name) && !entry.name.endsWith('.d.ts'))
    .map((entry) => path.relative(root, path.join(entry.parentPath, entry.name)));
}

interface Import {
  readonly file: string;
  readonly typeOnly: boolean;
  /** A path from the root for our own files, else the package name. */ readonly target: string;
}

const IMPORT =
  /(?:^|\n)\s*(?:import|export)\s+(type\s+)?(?:[^;'"]*?\s+from\s+)?['"]([^'"]+)['"]|(?<!typeof )import\(\s*['"]([^'"]+)['"]\s*\)/g;

function importsOf(file: string): Import[] {
  const text = readFileSync(path.join(root, file), 'utf8');
  return [...text.matchAll(IMPORT)].map(([, typeOnly, from, dynamic]) => {
    const target = from ?? dynamic;
    const own = target.startsWith('.') ? path.relative(root, path.resolve(root, path.dirname(file), target)) : target;
    return { file, typeOnly: Boolean(typeOnly), target: own };
  });
}

const allImports = (folder: string) => sources(folder).flatMap(importsOf);
const told = ({ file, target }: Import) => `${file} imports ${target}`;

describe('arrows point one way', () => {
  test('analytics imports nothing of server, web or data-demo', () => {
    const wrong = allImports('analytics').filter(({ target }) => /^(server|web|data-demo|tests)\//.test(target));
    expect(wrong.map(told)).toEqual([]);
  });

  test('analytics touches no files, network, clock or unseeded chance', () => {
    const wrong = allImports('analytics').filter(({ target }) => target.startsWith('node:'));
    const impure = sources('analytics').filter((file) =>
      /\bDate\.now\b|\bnew Date\(|\bMath\.random\b|\bfetch\(|\bprocess\./.test(
        readFileSync(path.join(root, file), 'utf8'),
      ),
    );
    expect([...wrong.map(told), ...impure]).toEqual([]);
  });

  test('web takes types of the schemas and nothing else of the server', () => {
    const wrong = allImports('web').filter(
      ({ target, typeOnly }) =>
        /^(analytics|data-demo|tests)\//.test(target) ||
        (target.startsWith('server/') && !(typeOnly && target.startsWith('server/schemas/'))),
    );
    expect(wrong.map(told)).toEqual([]);
  });

  test('server imports nothing of web', () => {
    expect(
      allImports('server')
        .filter(({ target }) => target.startsWith('web/'))
        .map(told),
    ).toEqual([]);
  });

  test('the database driver is imported in the store only, and SQL is written nowhere else', () => {
    const drivers = ['server', 'analytics', 'web', 'data-demo']
      .flatMap(allImports)
      .filter(({ file, target }) => target === 'better-sqlite3' && !file.startsWith('server/store/'));
    const sql = [...sources('server'), ...sources('web')].filter(
      (file) =>
        !file.startsWith('server/store/') &&
        /\b(SELECT\s.+\sFROM|INSERT INTO|UPDATE\s\w+\sSET|DELETE FROM)\b/.test(
          readFileSync(path.join(root, file), 'utf8'),
        ),
    );
    expect([...drivers.map(told), ...sql]).toEqual([]);
  });

  test('only web/map imports the map library', () => {
    const wrong = allImports('web').filter(
      ({ file, target }) => target === 'maplibre-gl' && !file.startsWith('web/map/'),
    );
    expect(wrong.map(told)).toEqual([]);
  });
});

test('the top level holds what the design names and nothing else', () => {
  const allowed =
    /^(\..*|README\.md|DEVELOPERS\.md|LICENSE|package\.json|package-lock\.json|tsconfig\.json|server|web|analytics|tests|data-demo|node_modules|dist|data)$/;
  expect(readdirSync(root).filter((name) => !allowed.test(name))).toEqual([]);
});

test('files stay readable: none of ours is over 400 lines', () => {
  const long = ['server', 'analytics', 'web', 'data-demo', 'tests']
    .flatMap(sources)
    .filter((file) => readFileSync(path.join(root, file), 'utf8').split('\n').length > 400);
  expect(long).toEqual([]);
});
