import type { Program } from '../schemas/program.ts';
import type { Store } from '../store/store.ts';
import { csvText } from './csv-text.ts';
import { answeredWorks, budgetColumns, budgetLines, shown, workColumns } from './program-tables.ts';
import type { Units } from './units.ts';

/** Revision and versions that a line comes from, in columns of their own. */
const originNames = ['scenario', 'scenarioRevision', 'modelVersion'];
const origin = ({ scenarioName, scenarioRevision, modelVersion }: Program) => [
  scenarioName,
  scenarioRevision,
  modelVersion,
];

/** The budget table: year x district x class, then the districts and the network (`all`). */
export function programTableCsv(program: Program, units: Units): string {
  const columns = budgetColumns(program, units);
  return csvText([
    [...columns.map(({ name }) => name), ...originNames],
    ...budgetLines(program).map((line) => [...columns.map((column) => shown(column, line, units)), ...origin(program)]),
  ]);
}

/** The list of work by year, in pieces of a few thousand rows. */
export async function* programWorkCsv(store: Store, program: Program, units: Units): AsyncGenerator<string> {
  const columns = workColumns(program, units);
  yield csvText([[...columns.map(({ name }) => name), ...originNames]]);
  for await (const batch of store.readWorks(program.scenarioId, 'year'))
    yield csvText(
      answeredWorks(program, batch).map((work) => [
        ...columns.map((column) => shown(column, work, units)),
        ...origin(program),
      ]),
    );
}
