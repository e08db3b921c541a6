import { type OperationRates, rateKey } from './operation-rates.ts';
import { type SealantFamily, sealantFamily } from './sealant-family.ts';
import { isWorkOperation, type OperationKind, type ResealTreatment, type WorkOperation } from './work-operations.ts';

/** People and machines that do some operations one after the other while the other teams do theirs. */
export interface CrewTeam {
  readonly operations: readonly WorkOperation[];
  /** Machines at work side by side, 1 or more. */ readonly machines: number;
}

/** A crew as its owner describes it: teams that follow one another along the pavement. */
export interface CrewMakeUp {
  readonly id: string;
  readonly name: string;
  readonly teams: readonly CrewTeam[];
  /** Sealants it has the machines for. */ readonly families: readonly SealantFamily[];
  /** 1: at the usual rates; 0.8: a fifth slower. Above 0. */ readonly paceFactor: number;
}

/** A crew for all operations in three teams: saw, blast, seal. Common practice. */
export const USUAL_TEAMS: readonly CrewTeam[] = [
  { operations: ['remove-old-seal', 'saw-faces', 'wash'], machines: 2 },
  { operations: ['abrasive-blast', 'blow-out'], machines: 1 },
  { operations: ['place-rod', 'seal', 'inspect'], machines: 1 },
];

export type CrewPace =
  | {
      readonly minutesPerM: number;
      /** Standard deviation of the logarithm of a shift's pace: that of the team that governs. */
      readonly spread: number;
    }
  | { readonly cannot: string };

/**
 * Standard deviation of the logarithm of a pace whose usual least and most hold eight shifts in ten. The brackets are those
 * of the rates (a printed table, or common practice); that they hold eight in ten, and that a pace is lognormal, is common
 * practice.
 */
export const paceSpread = ([least, most]: readonly [number, number]): number =>
  Math.log(most / least) / (2 * NORMAL_P90);
const NORMAL_P90 = 1.2815515655446004;

/**
 * Minutes that a crew takes for a metre of some operations: teams work at once, so the slowest governs; within a team the
 * operations follow one another, so their times add up. The spread of a team is the mean of its operations' by time: a good
 * night is good for all of them.
 */
export function crewPace(
  crew: CrewMakeUp,
  operations: readonly OperationKind[],
  treatment: ResealTreatment,
  rates: OperationRates,
): CrewPace {
  const perTeam = crew.teams.map(() => ({ minutes: 0, spread: 0 }));
  for (const operation of operations.filter(isWorkOperation)) {
    const team = crew.teams.findIndex((candidate) => candidate.operations.includes(operation));
    if (team < 0) return { cannot: `${crew.name} has no team to ${words(operation)}` };
    if (operation === 'seal' && !crew.families.includes(sealantFamily(treatment.newClass)))
      return { cannot: `${crew.name} has no machine for ${words(sealantFamily(treatment.newClass))} sealant` };
    const { metresPerHour, bracket } = rates[rateKey(operation, treatment)];
    const minutes = 60 / (metresPerHour * crew.teams[team].machines);
    perTeam[team].minutes += minutes;
    perTeam[team].spread += minutes * paceSpread(bracket);
  }
  const governing = perTeam.reduce((slowest, team) => (team.minutes > slowest.minutes ? team : slowest));
  return {
    minutesPerM: governing.minutes / crew.paceFactor,
    spread: governing.minutes > 0 ? governing.spread / governing.minutes : 0,
  };
}

const words = (kind: string): string => kind.replaceAll('-', ' ');

/** Hours of labour in a length of work: machine hours times the people with a machine. */
export function labourHours(
  lengthM: number,
  operations: readonly OperationKind[],
  treatment: ResealTreatment,
  rates: OperationRates,
): number {
  return operations.filter(isWorkOperation).reduce((sum, operation) => {
    const { metresPerHour, workers } = rates[rateKey(operation, treatment)];
    return sum + (lengthM / metresPerHour) * workers;
  }, 0);
}
