import type { ConfigWishes } from '../config.ts';
import { adoptModel } from '../forecasting/adopt-model.ts';
import { modelVersions } from '../forecasting/model-versions.ts';
import type { ModelVersions } from '../schemas/models.ts';
import { EXIT, type ExitCode, printJson, withStore } from './command-context.ts';

/** Lists the models that were fitted, after making one of them the current one if asked to. */
export async function modelsCommand(options: ConfigWishes & { adopt?: number; json?: boolean }): Promise<ExitCode> {
  return withStore(options, async (store, context) => {
    const { adopt } = options;
    if (adopt !== undefined) {
      if ((await store.readModelDraws(adopt)) === null) {
        console.error(`No model version ${adopt}. List: kerfcast models`);
        return EXIT.refused;
      }
      await adoptModel(adopt, context);
    }
    const versions = await modelVersions(store);
    if (options.json) printJson(versions);
    else printVersions(versions);
    return EXIT.done;
  });
}

function printVersions({ versions, note }: ModelVersions): void {
  if (versions.length === 0) {
    console.log('No model yet. Load records, then run kerfcast forecast.');
    return;
  }
  for (const each of versions) {
    const { version, fittedAt, family, failures, aic, bic, backTestLogScore, conditionUsed, settingsUsed } = each;
    const scores = [
      `AIC ${aic.toFixed(1)}`,
      bic === null ? 'no BIC' : `BIC ${bic.toFixed(1)}`,
      backTestLogScore === null ? 'no back-test' : `back-test ${backTestLogScore.toFixed(4)}`,
    ];
    console.log(
      `${each.current ? '*' : ' '} ${version}  ${fittedAt.slice(0, 10)}  ${family}, failed from ${+(settingsUsed.failureThresholdShare * 100).toFixed(2)} %, ` +
        `${conditionUsed ? 'with' : 'without'} damaged shares; ${each.observations} seals, ${failures} failures; ${scores.join(', ')}`,
    );
  }
  console.log(`* in use. ${note}`);
}
