import type { Schedule } from '../../../../server/schemas/closures.ts';
import {
  chanceWords,
  formatHours,
  formatVolume,
  intervalWords,
  proofWords,
  scheduleSentence,
} from '../../../state/closure-words.ts';
import { formatLength, formatNumber, formatShare } from '../../../state/format.ts';
import { Readout } from '../../shared/page.tsx';
import { useUnits } from '../../shared/preferences.ts';
import { Banner } from '../../shared/states.tsx';

/** The schedule in a sentence, how far it can be from the best, and its figures. */
export function Headline({ schedule }: { schedule: Schedule }) {
  const units = useUnits();
  const { totals, proof } = schedule;
  const leftM = totals.leftM ?? 0;
  const whole = leftM < 0.5;
  return (
    <section className="card stack answer-head" aria-labelledby="schedule-title">
      <h2 id="schedule-title" className="small soft">
        Closures of {schedule.year}, program {schedule.scenarioName}
      </h2>
      <p className="answer-sentence">
        {scheduleSentence(schedule, units)}{' '}
        {whole && <span className="soft">Proven: {lowerFirst(proofWords(proof))}.</span>}
      </p>
      {proof.ended === 'cancelled' && (
        <Banner kind="caution">
          The search was stopped: this is the best schedule found by then, and may be far from the best there is.
        </Banner>
      )}
      {!whole && (
        <Banner kind="caution">
          {formatLength(leftM, units)} of joint were lost or left undone since the schedule was made: schedule the rest
          again to place them anew.
        </Banner>
      )}
      {proof.ended === 'effort-spent' && (
        <p className="small soft">
          The search ended with its effort spent: a better schedule may exist within the bounds told.
        </p>
      )}
      <dl className="readouts answer-readouts">
        <Readout
          name="Closures"
          value={formatNumber(totals.closures)}
          more={`${formatNumber(totals.crewShifts)} shifts of a crew, ${formatHours(totals.crewHours)} of work`}
        />
        <Readout
          name="Joint placed"
          value={formatLength(totals.lengthM, units)}
          more="to be sealed in these closures"
        />
        <Readout
          name="Does not fit"
          value={formatLength(totals.unplacedM, units)}
          more={totals.unplacedM < 0.5 ? 'all of it is placed' : 'see the reasons below'}
        />
        <Readout
          name="Sealant, with waste"
          value={formatVolume(totals.litres, units)}
          more="where widths are recorded"
        />
        <Readout name="Backer rod" value={formatLength(totals.rodM, units)} more="sizes are on each card" />
        <Readout
          name="Chance that all is finished"
          value={totals.finishChance === null ? 'not told' : chanceWords(totals.finishChance)}
          more={
            totals.finishChance === null
              ? (totals.finishWords ?? 'not worked out for this schedule')
              : `${totals.finishInterval ? `80 % interval ${intervalWords(totals.finishInterval)}; ` : ''}by the last closure, reserves used: weather and pace`
          }
        />
        {totals.finishedShare && (
          <Readout
            name="Share finished by then"
            value={formatShare(totals.finishedShare.mean)}
            more={`80 % interval ${formatShare(totals.finishedShare.p10)} to ${formatShare(totals.finishedShare.p90)}`}
          />
        )}
      </dl>
    </section>
  );
}

const lowerFirst = (text: string): string => text.charAt(0).toLowerCase() + text.slice(1);
