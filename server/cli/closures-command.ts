import { randomUUID } from 'node:crypto';
import { readFile, writeFile } from 'node:fs/promises';
import path from 'node:path';
import { bodyCheck } from '../checks.ts';
import { checkClosureRules } from '../closures/check-closure-rules.ts';
import { closedName } from '../closures/closing-unit.ts';
import { schedulePlan } from '../closures/schedule-plan.ts';
import { foundSchedule, scheduleAnswer } from '../closures/stored-plan.ts';
import type { ConfigWishes } from '../config.ts';
import { closureCalendar } from '../exports/closure-calendar.ts';
import { closuresCsv } from '../exports/closures-csv.ts';
import { closurePacketPdf } from '../exports/packet/closure-packet-pdf.ts';
import { tellFaults } from '../programs/check-scenario.ts';
import type { ClosureRules } from '../schemas/closure-rules.ts';
import { NewClosurePlanSchema, type Schedule } from '../schemas/closures.ts';
import type { Store } from '../store/store.ts';
import { validationProblem } from '../validation-problem.ts';
import { EXIT, type ExitCode, printJson, withStore } from './command-context.ts';

export interface ClosuresOptions extends ConfigWishes {
  /** A file with a plan as JSON, or the id of one that is stored. */ readonly plan: string;
  readonly json?: boolean;
  /** Ending says what: .ics, .csv or .pdf. */ readonly out?: string;
}

/** Schedules a closure plan and prints it, or writes it as a calendar, a table or packets. */
export async function closuresCommand(options: ClosuresOptions): Promise<ExitCode> {
  const ending = options.out === undefined ? null : path.extname(options.out);
  if (ending !== null && !['.ics', '.csv', '.pdf'].includes(ending)) {
    console.error(`--out is ${options.out}; expected a file that ends in .ics, .csv or .pdf.`);
    return EXIT.usage;
  }
  return withStore(options, async (store, context) => {
    const id = await planId(store, options.plan);
    if (id === null) return EXIT.refused;
    await schedulePlan(id, context);
    const { plan, schedule: stored } = await foundSchedule(store, id);
    const schedule = scheduleAnswer(plan, stored);
    if (options.out !== undefined) {
      const { closures } = schedule;
      if (ending === '.ics') {
        const wish = { name: plan.name, timeZone: schedule.timeZone, closures: stored.closures, units: 'si' } as const;
        await writeFile(options.out, closureCalendar(wish));
      } else if (ending === '.csv') await writeFile(options.out, closuresCsv(schedule, 'si'));
      else await writeFile(options.out, await closurePacketPdf(store, schedule, { closures, units: 'si' }));
    }
    if (options.json) printJson(schedule);
    else printSchedule(schedule);
    return EXIT.done;
  });
}

const isNewPlan = bodyCheck.compile<{ name: string; note?: string; rules?: ClosureRules }>(NewClosurePlanSchema);

/** The id of the stored plan; a plan from a file is stored first. null: refused, and said why. */
async function planId(store: Store, plan: string): Promise<string | null> {
  if (!plan.endsWith('.json')) {
    if (await store.closures.findClosurePlan(plan)) return plan;
    console.error(`There is no closure plan ${plan}; expected the id of one, or a file that ends in .json.`);
    return null;
  }
  const body = await parsed(plan);
  if (body === null) return null;
  if (!isNewPlan(body) || body.rules === undefined) {
    const faults = isNewPlan.errors ?? [{ keyword: 'required', params: { missingProperty: 'rules' } }];
    console.error(`${plan}: ${validationProblem(faults, path.basename(plan)).detail}`);
    return null;
  }
  const faults = await checkClosureRules(store, body.rules);
  if (faults.length > 0) {
    console.error(`${plan}: ${tellFaults(faults, 'rules').detail}`);
    return null;
  }
  const { name, note = '', rules } = body;
  const createdAt = new Date().toISOString();
  return (await store.closures.addClosurePlan({ id: randomUUID(), name, note, rules, createdAt })).id;
}

async function parsed(file: string): Promise<unknown> {
  try {
    return JSON.parse(await readFile(file, 'utf8'));
  } catch (error) {
    console.error(`${file} cannot be read as JSON: ${error instanceof Error ? error.message : String(error)}`);
    return null;
  }
}

function printSchedule({ planId, sentence, closures, unplaced, proof, timeZone, totals }: Schedule): void {
  console.log(`Plan ${planId}: ${sentence}`);
  console.log(proof.sentence);
  console.log(`Chance that all of it is finished, reserves used: ${chanceWords(totals)}`);
  console.log(`Local times of ${timeZone}:`);
  for (const closure of closures) {
    const { startsAt, endsAt, lengthM, state, conflicts } = closure;
    console.log(
      `  ${startsAt.replace('T', ' ')} to ${endsAt.slice(11)}  ${closedName(closure)}  ${Math.round(lengthM)} m  ${state}`,
    );
    for (const conflict of conflicts) console.log(`    ! ${conflict.sentence}`);
  }
  for (const { facilityName, part, lengthM, reason, change } of unplaced) {
    const name = part ? `${facilityName}, ${part}` : facilityName;
    console.log(`  does not fit: ${name}, ${Math.round(lengthM)} m. ${reason}`);
    if (change !== null) console.log(`    makes it fit: ${change}`);
  }
  console.log("A plan, not a notice: the operator's own procedure and the authority's notice govern.");
}

function chanceWords({ finishChance, finishInterval, finishWords }: Schedule['totals']): string {
  if (finishChance === null) return `not reckoned. ${finishWords ?? ''}`.trim();
  const percent = (share: number) => `${Math.round(share * 100)} %`;
  const between = finishInterval ? ` (${percent(finishInterval[0])} to ${percent(finishInterval[1])})` : '';
  return `${percent(finishChance)}${between}. ${finishWords ?? ''}`.trim();
}
