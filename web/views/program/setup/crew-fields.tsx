import { NumberField, reasonOf } from '../../shared/form-fields.tsx';
import type { GroupProps } from './group-props.ts';

/** How much can be done in a year, what is worth doing, and the cycle of the baseline. */
export function CrewFields({ draft, change, problems, defaults }: GroupProps) {
  const per = draft.units === 'us' ? 'ft' : 'm';
  return (
    <div className="setup-numbers">
      <NumberField
        label={`Crews can reseal at most, ${per} a year`}
        value={draft.crewCapacity}
        problem={problems.crewCapacityMPerYear}
        placeholder="no cap"
        hint={reasonOf(defaults, 'crewCapacityMPerYear') ?? 'Empty: no cap'}
        onChange={(crewCapacity) => change({ crewCapacity })}
      />
      <NumberField
        label={`Least job, ${per}`}
        value={draft.minimumJob}
        problem={problems.minimumJobM}
        hint={`A facility worked on in a year gets at least this much: neighbours not yet due are added. ${reasonOf(defaults, 'minimumJobM') ?? ''}`}
        onChange={(minimumJob) => change({ minimumJob })}
      />
      <NumberField
        label="Fixed cycle, years"
        value={draft.fixedCycleYears}
        problem={problems.fixedCycleYears}
        hint={`Only for the baseline “Fixed cycle”. ${reasonOf(defaults, 'fixedCycleYears') ?? ''}`}
        onChange={(fixedCycleYears) => change({ fixedCycleYears })}
      />
    </div>
  );
}
