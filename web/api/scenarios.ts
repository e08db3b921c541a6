import type { Job } from '../../server/schemas/job.ts';
import type { Program, ProgramChanges, ProgramWorkPage } from '../../server/schemas/program.ts';
import type { NewScenario, Scenario, ScenarioDefaults, ScenarioEdit } from '../../server/schemas/scenario.ts';
import type { Units } from '../state/units.ts';
import type { WorkQuery } from '../state/work-query.ts';
import { nullWhenMissing } from './missing.ts';
import { apiUrl, requestJson } from './request.ts';

const scenarioPath = (id: string): string => `/scenarios/${encodeURIComponent(id)}`;

export const fetchScenarios = async (signal?: AbortSignal): Promise<Scenario[]> =>
  (await requestJson<{ scenarios: Scenario[] }>('/scenarios', { signal })).scenarios;

/** What a new scenario starts from, each with its reason. */
export const fetchScenarioDefaults = (signal?: AbortSignal) =>
  requestJson<ScenarioDefaults>('/scenarios/defaults', { signal });

export const createScenario = (body: NewScenario) => requestJson<Scenario>('/scenarios', { method: 'POST', body });

/** Changes a scenario from the revision that was read. Throws ApiProblem 412 when it has changed since, 409 when locked. */
export const editScenario = ({ id, revision }: Pick<Scenario, 'id' | 'revision'>, edit: ScenarioEdit) =>
  requestJson<Scenario>(scenarioPath(id), { method: 'PATCH', body: edit, ifMatch: revision });

export const copyScenario = (id: string, name: string) =>
  requestJson<Scenario>(`${scenarioPath(id)}/copy`, { method: 'POST', body: { name } });

export const deleteScenario = ({ id, revision }: Pick<Scenario, 'id' | 'revision'>) =>
  requestJson<undefined>(scenarioPath(id), { method: 'DELETE', ifMatch: revision });

/** Solves the scenario, as a job; cancelled, it keeps the best program found so far. */
export const startProgram = (scenarioId: string) =>
  requestJson<Job>(`${scenarioPath(scenarioId)}/program`, { method: 'POST' });

/** The program made last; null before the first. */
export const fetchProgram = (scenarioId: string, signal?: AbortSignal): Promise<Program | null> =>
  nullWhenMissing(requestJson<Program>(`${scenarioPath(scenarioId)}/program`, { signal }));

export interface WorkPageAsk {
  readonly query: WorkQuery;
  readonly limit: number;
  readonly after: string | null;
}
export const fetchWorkPage = (scenarioId: string, { query, limit, after }: WorkPageAsk, signal?: AbortSignal) =>
  requestJson<ProgramWorkPage>(`${scenarioPath(scenarioId)}/work`, { query: { ...query, limit, after }, signal });

/** From one scenario's program to another's. */
export const fetchProgramChanges = (from: string, to: string, signal?: AbortSignal) =>
  requestJson<ProgramChanges>(`${scenarioPath(to)}/changes`, { query: { from }, signal });

export type ProgramFile = 'xlsx' | 'pdf' | 'table-csv' | 'work-csv' | 'geojson';
const FILE_ENDINGS: Readonly<Record<ProgramFile, string>> = {
  xlsx: '.xlsx',
  pdf: '.pdf',
  'table-csv': '-table.csv',
  'work-csv': '-work.csv',
  geojson: '.geojson',
};
export const programFileUrl = (scenarioId: string, file: ProgramFile, units: Units): string =>
  apiUrl(`/export/program/${encodeURIComponent(scenarioId)}${FILE_ENDINGS[file]}`, { units });

/** Template address of tiles that carry the program's work by year; absolute, since a worker asks for them. */
export const programTileUrl = (origin: string, scenarioId: string, version: string): string =>
  `${origin}${apiUrl('/tiles/{z}/{x}/{y}.mvt', { scenario: scenarioId, v: version })}`;
