#!/usr/bin/env node
// Makes a fresh clone ready with nothing but Node and npm: installs what the lock file names, builds what changed, and
// for the tests finds a browser. Plain JavaScript, since it runs before anything is installed.
import { spawnSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { existsSync, mkdirSync, readdirSync, readFileSync, statSync, writeFileSync } from 'node:fs';
import path from 'node:path';
import { fileURLToPath } from 'node:url';

const root = path.resolve(path.dirname(fileURLToPath(import.meta.url)), '../..');
const purpose = process.argv[2] ?? 'build';

function step(words) {
  console.log(`• ${words}`);
}

function run(command, args) {
  const windows = process.platform === 'win32';
  const { status, error } = spawnSync(command, args, { cwd: root, stdio: 'inherit', shell: windows });
  if (error || status !== 0) {
    console.error(`\n${command} ${args.join(' ')} did not finish${error ? `: ${error.message}` : ''}.`);
    process.exit(status || 1);
  }
}

const hashOf = (text) => createHash('sha256').update(text).digest('hex');
const read = (file) => (existsSync(file) ? readFileSync(file, 'utf8') : '');

function checkNode() {
  const [major] = process.versions.node.split('.').map(Number);
  if (major >= 20) return;
  console.error(`Node ${process.versions.node} is too old; Kerfcast needs Node 20 or later.`);
  process.exit(1);
}

function installPackages() {
  const stamp = path.join(root, 'node_modules', '.kerfcast-lock');
  const lock = hashOf(`${read(path.join(root, 'package-lock.json'))} ${process.version} ${process.arch}`);
  if (read(stamp) === lock) return;
  step('Installing the locked packages (the database is compiled here: a minute or two)');
  run('npm', ['ci', '--no-audit', '--no-fund', '--loglevel=error']);
  writeFileSync(stamp, lock);
}

/** Newest change and number of the files that a build reads: a quick check that never reads their text. */
function sourceState(folder, found = []) {
  for (const entry of readdirSync(folder, { withFileTypes: true })) {
    const full = path.join(folder, entry.name);
    if (entry.isDirectory()) sourceState(full, found);
    else found.push(`${path.relative(root, full)} ${statSync(full).mtimeMs}`);
  }
  return found;
}

function buildWhenChanged(name, folders, build) {
  const stamp = path.join(root, 'dist', `.${name}-built`);
  const files = ['package-lock.json', 'tsconfig.json'].map(
    (file) => `${file} ${statSync(path.join(root, file)).mtimeMs}`,
  );
  const state = hashOf(
    [...folders.flatMap((folder) => sourceState(path.join(root, folder))), ...files].sort().join('\n'),
  );
  if (read(stamp) === state) return;
  build();
  mkdirSync(path.dirname(stamp), { recursive: true });
  writeFileSync(stamp, state);
}

function buildAll() {
  buildWhenChanged('server', ['server', 'analytics', 'data-demo'], () => {
    step('Building the server');
    run(process.execPath, ['node_modules/typescript/bin/tsc', '-p', 'server/tsconfig.json']);
  });
  buildWhenChanged('web', ['web', 'server/schemas'], () => {
    step('Building the pages');
    run(process.execPath, [
      'node_modules/vite/bin/vite.js',
      'build',
      'web',
      '--config',
      'web/vite.config.ts',
      '--logLevel',
      'warn',
    ]);
  });
}

/** The browser tests use the system's Chromium; on Debian and its relatives it is installed from their packages. */
function findBrowser() {
  const known = [
    process.env.KERFCAST_CHROMIUM,
    '/usr/bin/chromium',
    '/usr/bin/chromium-browser',
    '/usr/bin/google-chrome',
  ];
  const chromium = () => known.find((file) => file && existsSync(file));
  if (chromium()) return;
  const mayInstall = existsSync('/usr/bin/apt-get') && process.getuid?.() === 0;
  if (mayInstall) {
    step('Installing Chromium from the system packages for the browser tests');
    spawnSync('apt-get', ['update', '-qq'], { stdio: 'inherit' });
    spawnSync('apt-get', ['install', '-y', '-qq', '--no-install-recommends', 'chromium', 'fonts-dejavu-core'], {
      stdio: ['ignore', 'ignore', 'inherit'],
      env: { ...process.env, DEBIAN_FRONTEND: 'noninteractive' },
    });
  }
  if (chromium()) return;
  console.error('The browser tests need Chromium and none was found, and it may not be installed from here.');
  console.error(
    'Install it (Debian, Ubuntu: sudo apt-get install chromium) or name one: KERFCAST_CHROMIUM=/path/to/chromium',
  );
  process.exit(1);
}

checkNode();
installPackages();
buildAll();
if (purpose === 'test') findBrowser();
