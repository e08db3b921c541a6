import { readFile } from 'node:fs/promises';
import path from 'node:path';
import { bodyCheck } from '../checks.ts';
import { ConfigError } from '../config.ts';
import { scenarioDefaults } from '../programs/scenario-defaults.ts';
import type { ScenarioInputs } from '../schemas/scenario.ts';
import { NewScenarioSchema, ScenarioInputsSchema, ScenarioSchema } from '../schemas/scenario.ts';
import type { Store } from '../store/store.ts';
import { validationProblem } from '../validation-problem.ts';
import { InputRefused } from './input-refused.ts';

export interface ScenarioFile {
  readonly name: string;
  readonly note: string;
  readonly inputs: ScenarioInputs;
}

const isInputs = bodyCheck.compile<ScenarioInputs>(ScenarioInputsSchema);
const isNamed = bodyCheck.compile<{ name: string; note: string }>({
  ...NewScenarioSchema,
  properties: { name: NewScenarioSchema.properties.name, note: NewScenarioSchema.properties.note },
  required: ['name'],
});

/**
 * Reads a scenario as it is sent to the API or comes from it. Inputs that are left out are the defaults of the agency; a
 * name that is left out is that of the file.
 * @throws ConfigError where there is no such file; InputRefused naming the field, what was found and what is allowed
 */
export async function readScenarioFile(file: string, store: Store): Promise<ScenarioFile> {
  const members = await readMembers(file);
  const known = Object.keys(ScenarioSchema.properties);
  const stranger = Object.keys(members).find((name) => !known.includes(name));
  if (stranger !== undefined)
    throw refused(file, { field: stranger, found: 'there', expected: 'only name, note and inputs' });
  const named = { name: members.name ?? path.parse(file).name, note: members.note ?? '' };
  if (!isNamed(named)) throw refusedBy(file, '', isNamed.errors);
  const given = members.inputs ?? {};
  if (typeof given !== 'object' || given === null || Array.isArray(given))
    throw refused(file, { field: 'inputs', found: JSON.stringify(given).slice(0, 80), expected: 'an object' });
  const inputs: unknown = { ...(await scenarioDefaults(store)).inputs, ...given };
  if (!isInputs(inputs)) throw refusedBy(file, 'inputs', isInputs.errors);
  return { ...named, inputs };
}

async function readMembers(file: string): Promise<Record<string, unknown>> {
  const text = await readFile(file, 'utf8').catch((error: NodeJS.ErrnoException) => {
    const found = error.code === 'ENOENT' ? 'not there' : `not readable (${error.code ?? 'unknown error'})`;
    throw new ConfigError(`${file} is ${found}; expected a scenario as JSON.`);
  });
  try {
    const members: unknown = JSON.parse(text);
    if (typeof members === 'object' && members !== null && !Array.isArray(members))
      return members as Record<string, unknown>;
  } catch (error) {
    const found = `not JSON (${error instanceof Error ? error.message : String(error)})`;
    throw refused(file, { field: 'the file', found, expected: 'a scenario as JSON' });
  }
  throw refused(file, { field: 'the file', found: text.trim().slice(0, 40), expected: 'an object with inputs' });
}

const refused = (file: string, fault: { field: string; found: string; expected: string }): InputRefused =>
  new InputRefused({ file, row: 0, ...fault });

function refusedBy(file: string, part: string, faults: typeof isInputs.errors): InputRefused {
  const [first] = validationProblem(faults ?? [], part).errors ?? [];
  return refused(
    file,
    first ?? { field: part, found: 'not a scenario', expected: 'what GET /api/scenarios/defaults gives' },
  );
}
