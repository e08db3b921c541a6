import type { WindowRule } from '../../../../server/schemas/closure-rules.ts';
import type { Facility } from '../../../../server/schemas/facility.ts';
import {
  hoursUntil,
  kindPlural,
  WEEKDAY_LABELS,
  windowEnd,
  windowInWords,
  windowScope,
} from '../../../state/closure-rules-words.ts';
import { formatCount } from '../../../state/format.ts';
import { DIRECTION_LABELS, FACILITY_KIND_LABELS } from '../../../state/words.ts';
import { Field } from '../../shared/controls.tsx';
import { FacilityPicker, LabelledInput, NumberAt, RemoveButton, Ticks } from './rule-inputs.tsx';
import type { RulesProps } from './rules-props.ts';
import type { WindowChange } from './window-fields.tsx';

interface Props extends RulesProps {
  readonly window: WindowRule;
  readonly index: number;
  readonly change: WindowChange;
  readonly remove: () => void;
}

/** One kind of window: who, which days, which hours, which season; shifts of long ones behind a heading. */
export function WindowCard(props: Props) {
  const { window, index, change, remove, problems, draft, nameOf } = props;
  const place = `windows.${index}`;
  const { year } = draft.rules;
  const words = `${windowScope(window, nameOf)}: ${windowInWords(window, year)}`;
  return (
    <fieldset className="rule-card stack">
      <legend className="unseen">Window {window.name}</legend>
      <div className="rule-card-head">
        <LabelledInput
          label="Window"
          type="text"
          value={window.name}
          problem={problems[`${place}.name`]}
          onChange={(name) => change({ name })}
        />
        <p className="small rule-words">{words.charAt(0).toUpperCase() + words.slice(1)}.</p>
        <RemoveButton what={`the window ${window.name}`} onClick={remove} />
      </div>
      <Scope {...props} />
      <Directions {...props} />
      <Ticks
        legend="Starts on"
        labels={WEEKDAY_LABELS}
        value={window.weekdays}
        problem={problems[`${place}.weekdays`]}
        onChange={(weekdays) => change({ weekdays })}
      />
      <div className="rule-hours">
        <Hours {...props} />
        <Season {...props} />
      </div>
      <details>
        <summary>Shifts in a long window</summary>
        <div className="setup-numbers">
          <NumberAt
            {...props}
            defaults={undefined}
            place={`${place}.mostShiftHours`}
            label="A crew works at most, hours"
            hint="In a window that is longer, crews work a shift each day."
          />
          <LabelledInput
            label="Shifts start at"
            type="time"
            value={window.shiftStartsAt ?? ''}
            problem={problems[`${place}.shiftStartsAt`]}
            hint="Empty: when the window starts"
            onChange={(clock) => change({ shiftStartsAt: clock === '' ? null : clock })}
          />
        </div>
      </details>
    </fieldset>
  );
}

const MOST_DAYS = 28;

function Hours({ window, index, change, problems }: Props) {
  const end = windowEnd(window);
  return (
    <>
      <LabelledInput
        label="Closes at"
        type="time"
        value={window.startsAt}
        problem={problems[`windows.${index}.startsAt`]}
        onChange={(startsAt) => {
          // A time that is being typed is empty for a moment; the end stays where it is.
          if (startsAt !== '') change({ startsAt, lengthHours: hoursUntil(startsAt, end) });
        }}
      />
      <LabelledInput
        label="Opens again at"
        type="time"
        value={end.clock}
        problem={problems[`windows.${index}.lengthHours`]}
        onChange={(clock) => {
          if (clock !== '') change({ lengthHours: hoursUntil(window.startsAt, { ...end, clock }) });
        }}
      />
      <Field label="Opens on">
        {(control) => (
          <select
            {...control}
            className="select"
            value={end.daysLater}
            onChange={({ target }) =>
              change({ lengthHours: hoursUntil(window.startsAt, { ...end, daysLater: Number(target.value) }) })
            }
          >
            {Array.from({ length: MOST_DAYS + 1 }, (_, days) => (
              // biome-ignore lint/suspicious/noArrayIndexKey: the number of days is the option
              <option key={days} value={days}>
                {days === 0 ? 'the same day' : days === 1 ? 'the next day' : `${formatCount(days, 'day')} later`}
              </option>
            ))}
          </select>
        )}
      </Field>
    </>
  );
}

function Season({ window, index, change, problems, draft }: Props) {
  const { year } = draft.rules;
  return (
    <>
      <LabelledInput
        label="Season from"
        type="date"
        value={window.from}
        problem={problems[`windows.${index}.from`]}
        onChange={(from) => change({ from })}
      />
      <LabelledInput
        label="Last start on"
        type="date"
        value={window.to}
        problem={problems[`windows.${index}.to`]}
        onChange={(to) => change({ to })}
      />
      <Field label="Season">
        {(control) => (
          <select
            {...control}
            className="select"
            value={seasonOf(window, year)}
            onChange={({ target }) => {
              const season = SEASONS.find(({ name }) => name === target.value);
              if (season) change({ from: `${year}-${season.from}`, to: `${year}-${season.to}` });
            }}
          >
            {SEASONS.map(({ name }) => (
              <option key={name}>{name}</option>
            ))}
            <option value="">These days</option>
          </select>
        )}
      </Field>
    </>
  );
}

const SEASONS = [
  { name: 'The whole year', from: '01-01', to: '12-31' },
  { name: 'April to October', from: '04-01', to: '10-31' },
  { name: 'May to September', from: '05-01', to: '09-30' },
] as const;

const seasonOf = ({ from, to }: WindowRule, year: number): string =>
  SEASONS.find((season) => from === `${year}-${season.from}` && to === `${year}-${season.to}`)?.name ?? '';

/** Only where roads close by direction: one may close when the other may not. */
function Directions({ window, index, change, problems, inPlan, draft }: Props) {
  const { parts } = draft.rules;
  const chosen = window.directions ?? [];
  const roads = inPlan.some(({ kind }) => kind === 'highway' || kind === 'bridge');
  if (chosen.length === 0 && (!roads || !parts || parts.closeBy === 'facility')) return null;
  return (
    <details open={chosen.length > 0}>
      <summary>Directions of roads{chosen.length > 0 ? `: ${chosen.length}` : ''}</summary>
      <Ticks
        legend="For roads in these directions (nothing ticked: every one)"
        labels={DIRECTION_LABELS}
        value={chosen}
        problem={problems[`windows.${index}.directions`]}
        onChange={(directions) => change({ directions })}
      />
    </details>
  );
}

/** Every facility, kinds of facilities, some by name, or both. */
function Scope({ window, index, change, problems, facilities, inPlan, nameOf }: Props) {
  const kinds = [...new Set([...inPlan.map(({ kind }) => kind), ...window.facilityKinds])];
  const offered = kinds.length > 0 ? kinds : (Object.keys(FACILITY_KIND_LABELS) as Facility['kind'][]);
  const labels = Object.fromEntries(offered.map((kind) => [kind, kindPlural(kind)])) as Record<
    Facility['kind'],
    string
  >;
  const said = Object.entries(problems).find(([at]) => at.startsWith(`windows.${index}.facilityIds`));
  return (
    <>
      <Ticks
        legend="For (nothing ticked or named: every facility)"
        labels={labels}
        value={window.facilityKinds}
        problem={said?.[1]}
        onChange={(facilityKinds) => change({ facilityKinds })}
      />
      <details open={window.facilityIds.length > 0}>
        <summary>Facilities by name{window.facilityIds.length > 0 ? `: ${window.facilityIds.length}` : ''}</summary>
        <FacilityPicker
          label={`Facility for the window ${window.name}`}
          chosen={window.facilityIds}
          facilities={inPlan.length > 0 ? inPlan : facilities}
          nameOf={nameOf}
          onChange={(facilityIds) => change({ facilityIds })}
        />
      </details>
    </>
  );
}
