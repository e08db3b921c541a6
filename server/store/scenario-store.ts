import type { ProgramWork, WorkFilter, WorkSort } from '../schemas/program.ts';
import type { Scenario, ScenarioEdit, ScenarioInputs } from '../schemas/scenario.ts';

/** What the sentence for one work is worded from, when it is read. */
export interface WorkGrounds {
  /** As in `analytics/program/work-reason.ts`. */
  readonly because: 'committed' | 'least-job' | 'shared-closure' | 'worth-it' | 'limits';
  /** Calendar year in which the segment alone would best be worked on first; null: none, or a later work. */
  readonly cheapestYear: number | null;
  /** What the segment costs more without this work, constant money valued in the planning year. */
  readonly savedAgainstNever: number;
  /** Mobilisation of the facility in that year, constant money. */ readonly mobilisationCost: number;
}

/** One reseal as it is kept. */
export type StoredWork = Omit<ProgramWork, 'reason'> & WorkGrounds;

/** What the program of a scenario rests on. */
export interface ProgramHead {
  readonly revision: number;
  readonly modelVersion: number;
  readonly dataVersion: number;
  readonly madeAt: string;
  readonly planningDate: string;
  /** Records, model, prices and settings that it was made from, as text to compare. */ readonly madeFrom: string;
}

export interface StoredScenario extends Omit<Scenario, 'program'> {
  /** Revision in which the inputs changed last: a program of it or later is of these inputs. */
  readonly inputsRevision: number;
  readonly program: ProgramHead | null;
}

export interface ScenarioRevision {
  readonly revision: number;
  readonly changedAt: string;
  /** Fields that changed, e.g. `inputs.budgets`. */ readonly fields: readonly string[];
}

/** `missing`: no such scenario. `stale`: changed since the revision that was named. `locked`: kept as it is. */
export type ScenarioChange =
  | { readonly kind: 'done'; readonly scenario: StoredScenario }
  | { readonly kind: 'missing' }
  | {
      readonly kind: 'stale';
      readonly scenario: StoredScenario;
      /** Oldest first, as far as they are kept. */ readonly since: readonly ScenarioRevision[];
    }
  | { readonly kind: 'locked'; readonly scenario: StoredScenario };

export interface NewProgram extends ProgramHead {
  readonly report: unknown;
  /** What it comes to draw by draw, for comparisons, and prices of its bounds. */ readonly draws: Uint8Array;
  /** Names what was asked but for the choices made by hand. */ readonly freeKey: string;
  /** Objective, where it was solved to the end and holds no choices made by hand; else null. */
  readonly freeObjective: number | null;
  /** By year, facility and segment: so they are listed where a sorted field does not tell them apart. */ readonly works: Iterable<
    readonly StoredWork[]
  >;
}

export interface WorkQuery {
  readonly filter: WorkFilter;
  readonly sort: WorkSort;
  readonly descending: boolean;
  readonly limit: number;
  readonly after: string | null;
}

export interface StoredWorkPage {
  readonly items: StoredWork[];
  readonly numberMatched: number;
  readonly next: string | null;
}

/** Scenarios and their programs, which stay together: a program goes with its scenario. */
export interface ScenarioStore {
  /** Oldest first. */ listScenarios(): Promise<StoredScenario[]>;
  findScenario(id: string): Promise<StoredScenario | null>;
  addScenario(scenario: {
    id: string;
    name: string;
    note: string;
    inputs: ScenarioInputs;
    createdAt: string;
  }): Promise<StoredScenario>;
  /**
   * Changes what the edit names if the scenario is still of that revision (null: whatever it is), in one transaction. An
   * edit that changes nothing leaves the revision as it is. A locked scenario takes the edit that unlocks it, alone.
   */
  changeScenario(id: string, revision: number | null, edit: ScenarioEdit, changedAt: string): Promise<ScenarioChange>;
  /** `done` answers the scenario as it was. */
  removeScenario(id: string, revision: number | null): Promise<ScenarioChange>;

  /**
   * Replaces the program of a scenario, report, plan and works, in one transaction.
   * @throws StoreError `gone` where the scenario was deleted or locked meanwhile
   */
  writeProgram(scenarioId: string, program: NewProgram): Promise<void>;
  readProgram(scenarioId: string): Promise<(ProgramHead & { report: unknown }) | null>;
  readProgramDraws(scenarioId: string): Promise<Uint8Array | null>;
  /** Scenario with a program of the same question, solved to the end without choices made by hand; null: none. */
  findFreeProgram(freeKey: string): Promise<string | null>;
  /** Changes with each program written; null: no program. A key for caches. */
  programVersion(scenarioId: string): Promise<number | null>;
  /** Of a scenario without a program: an empty page. */
  listWorks(scenarioId: string, query: WorkQuery): Promise<StoredWorkPage>;
  /** All works in batches: `segment`: by segment id, then year; `year`: in the order in which they were written. */
  readWorks(scenarioId: string, order: 'segment' | 'year'): AsyncIterable<StoredWork[]>;
}
