import type { ConfigWishes } from '../config.ts';
import { makeEvidence } from '../evidence/make-evidence.ts';
import type { EvidenceReport } from '../schemas/evidence.ts';
import { EXIT, type ExitCode, printJson, withStore } from './command-context.ts';

const LISTED = 10;

/** Tests the model in use against the records, keeps the evidence beside it, and prints what came out. */
export async function evidenceCommand(options: ConfigWishes & { json?: boolean }): Promise<ExitCode> {
  return withStore(options, async (store, context) => {
    if ((await store.modelVersion()) === null) {
      console.error('Nothing is forecast yet. First load records (kerfcast load FILE...), then run kerfcast forecast.');
      return EXIT.refused;
    }
    const evidence = await makeEvidence(context);
    if (options.json) printJson(evidence);
    else printEvidence(evidence);
    return EXIT.done;
  });
}

function printEvidence({ modelVersion, backtest, odd, notes }: EvidenceReport): void {
  console.log(`Model version ${modelVersion}: ${backtest?.verdict.sentence ?? 'no past forecast could be tried.'}`);
  for (const { against, logSkill } of backtest?.comparisons ?? []) {
    if (logSkill === null) continue;
    const percent = Math.abs(100 * logSkill).toFixed(0);
    console.log(`  Log score ${percent} % ${logSkill >= 0 ? 'better' : 'worse'} than ${against}`);
  }
  const lives = backtest?.model.lifeIntervals[0];
  if (lives) console.log(`  80 % intervals of failure held ${(100 * lives.share).toFixed(0)} % (${lives.count} seals)`);
  for (const { sentence, odd: named } of odd.groupings) {
    console.log(sentence);
    for (const level of named.slice(0, LISTED)) console.log(`  ${level.sentence}`);
  }
  console.log(odd.early.sentence);
  console.log(odd.contradictory.sentence);
  for (const note of notes) console.log(note);
}
