/** The parts of the Program screen, in the order of its tabs. */
export const PROGRAM_PARTS = [
  { value: 'scenarios', label: 'Scenarios' },
  { value: 'setup', label: 'Set up' },
  { value: 'answer', label: 'Answer' },
  { value: 'work', label: 'Work list' },
  { value: 'compare', label: 'Compare' },
] as const;
export type ProgramPart = (typeof PROGRAM_PARTS)[number]['value'];

/** Scenarios that can stand side by side. */
export const MOST_COMPARED = 6;

export interface ProgramView {
  readonly scenarioId: string | null;
  readonly part: ProgramPart | null;
  /** Calendar year of the map and its list; null: the first. */ readonly year: number | null;
  /** Scenarios beside the chosen one. */ readonly beside: readonly string[];
  /** A scenario made to try choices out, of which it is not yet decided whether to keep them. */
  readonly trialId: string | null;
}

const isPart = (text: string | null): text is ProgramPart => PROGRAM_PARTS.some(({ value }) => value === text);

export function readProgramView(params: URLSearchParams): ProgramView {
  const part = params.get('part');
  const year = params.get('year');
  const beside = (params.get('with') ?? '').split(',').filter((id) => id !== '');
  return {
    scenarioId: params.get('scenario') || null,
    part: isPart(part) ? part : null,
    year: year !== null && /^\d{4}$/.test(year) ? Number(year) : null,
    beside: [...new Set(beside)].slice(0, MOST_COMPARED - 1),
    trialId: params.get('trial') || null,
  };
}

/** The same address with these parts of the view changed; null and empty leave no trace. */
export function writeProgramView(params: URLSearchParams, change: Partial<ProgramView>): URLSearchParams {
  const next = new URLSearchParams(params);
  const set = (name: string, text: string | null) =>
    text === null || text === '' ? next.delete(name) : next.set(name, text);
  if (change.scenarioId !== undefined) {
    // Of another scenario: its own years, and no trial of this one.
    if (change.scenarioId !== params.get('scenario')) for (const name of ['year', 'trial']) next.delete(name);
    set('scenario', change.scenarioId);
  }
  if (change.part !== undefined) set('part', change.part);
  if (change.year !== undefined) set('year', change.year === null ? null : String(change.year));
  if (change.beside !== undefined) set('with', change.beside.slice(0, MOST_COMPARED - 1).join(','));
  if (change.trialId !== undefined) set('trial', change.trialId);
  return next;
}
