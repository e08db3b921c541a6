import type { OddOnes } from '../schemas/evidence-odd.ts';
import type { CurrentFit } from './diagnostics.ts';
import { earlyFailures } from './early-failures.ts';
import type { EvidenceNetwork } from './evidence-network.ts';
import { influentialSeals } from './influential-seals.ts';
import { oddGroupings } from './odd-groupings.ts';
import { listOfSeals, placeOf } from './seal-lists.ts';

/** Lots, facilities and districts, seals and records that stand out. @param progress share done, 0-1 */
export function oddOnes(
  network: EvidenceNetwork,
  current: CurrentFit | null,
  progress: (share: number) => void,
): OddOnes {
  const pooled = current ? oddGroupings(current, (share) => progress(0.8 * share)) : null;
  progress(0.8);
  return {
    groupings: pooled?.groupings ?? [],
    note: pooled ? pooled.note : 'No fit: nothing has been observed yet, so nothing can be compared.',
    early: earlyFailures(network, current),
    influential: current && influentialSeals(current),
    contradictory: contradictorySeals(network),
  };
}

/** Which of the contradictory seals the fit uses. */
function used(left: number, kept: number): string {
  if (kept === 0) return 'all are left out of the fit';
  const confirmed = 'because a later record confirms the failure';
  return left === 0 ? `all are kept, ${confirmed}` : `${left} are left out of the fit, ${kept} are kept ${confirmed}`;
}

function contradictorySeals(network: EvidenceNetwork): OddOnes['contradictory'] {
  const { contradictory } = network;
  const left = contradictory.filter(({ used }) => !used).length;
  return {
    rule: 'Found failed and later sound again, with no reseal on record.',
    sentence:
      contradictory.length === 0
        ? 'No history contradicts itself.'
        : `${contradictory.length} seals were found failed and later sound with no reseal on record: ${used(left, contradictory.length - left)}.`,
    ...listOfSeals(
      // Those left out first: they are lost to the fit until somebody finds out what happened.
      contradictory
        .toSorted((a, b) => Number(a.used) - Number(b.used))
        .map(({ seal, rule, used, note }) => ({ ...placeOf(network, seal), rule, used, sentence: note })),
    ),
  };
}
