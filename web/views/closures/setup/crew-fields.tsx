import type { ClosureRules } from '../../../../server/schemas/closure-rules.ts';
import { textsWithoutRow, withoutRowAt } from '../../../state/closure-rules-draft.ts';
import { OPERATION_LABELS, SEALANT_FAMILY_LABELS } from '../../../state/closure-rules-words.ts';
import { Reasons, withoutRow, withRow } from '../../shared/form-fields.tsx';
import { CellInput, CellNumberAt, LabelledInput, NumberAt, RemoveButton, Ticks } from './rule-inputs.tsx';
import type { RulesProps } from './rules-props.ts';

type Crew = ClosureRules['crews'][number];
type Operation = Crew['teams'][number]['operations'][number];
const OPERATIONS = (Object.keys(OPERATION_LABELS) as (Operation | 'dry' | 'open')[]).filter(
  (word): word is Operation => word !== 'dry' && word !== 'open',
);

/** Who works: crews, their teams and machines, what they can seal with, and when they are away. */
export function CrewFields(props: RulesProps) {
  const { draft, put, set, problems, defaults } = props;
  const { crews } = draft.rules;
  return (
    <>
      {crews.length === 0 && <p>No crew yet: no work can be done. Add one.</p>}
      {crews.map((crew, index) => (
        <CrewCard
          key={crew.id}
          {...props}
          crew={crew}
          index={index}
          change={(part) => set({ crews: withRow(crews, index, part) })}
          remove={() => put(withoutRowAt(draft, 'crews', index))}
        />
      ))}
      {problems.crews && <p className="field-error">{problems.crews}</p>}
      <div className="row">
        <button type="button" className="button" onClick={() => set({ crews: [...crews, newCrew(crews, defaults)] })}>
          Add a crew
        </button>
      </div>
      <div className="setup-numbers">
        <NumberAt {...props} place="crewsAtOnce" label="Crews at once in one facility" />
      </div>
      <Reasons defaults={defaults} fields={['crews']} />
    </>
  );
}

/** As the crew of the defaults, under an id and a name that are free. */
function newCrew(crews: readonly Crew[], { rules }: RulesProps['defaults']): Crew {
  let number = crews.length + 1;
  while (crews.some(({ id }) => id === `crew-${number}`)) number++;
  return { ...rules.crews[0], id: `crew-${number}`, name: `Crew ${number}` };
}

interface CrewProps extends RulesProps {
  readonly crew: Crew;
  readonly index: number;
  readonly change: (part: Partial<Crew>) => void;
  readonly remove: () => void;
}

function CrewCard(props: CrewProps) {
  const { crew, index, change, remove, problems } = props;
  const place = `crews.${index}`;
  return (
    <fieldset className="rule-card stack">
      <legend className="unseen">{crew.name}</legend>
      <div className="rule-card-head">
        <LabelledInput
          label="Crew"
          type="text"
          value={crew.name}
          problem={problems[`${place}.name`] ?? problems[`${place}.id`]}
          onChange={(name) => change({ name })}
        />
        <NumberAt {...props} defaults={undefined} place={`${place}.paceFactor`} label="Pace, % of the usual rates" />
        <RemoveButton what={crew.name} onClick={remove} />
      </div>
      <Ticks
        legend="Has the machines for"
        labels={SEALANT_FAMILY_LABELS}
        value={crew.families}
        problem={problems[`${place}.families`]}
        onChange={(families) => change({ families })}
      />
      <Teams {...props} />
      <Away {...props} />
    </fieldset>
  );
}

/** Each operation belongs to one team; teams follow one another along the pavement. */
function Teams(props: CrewProps) {
  const { crew, index, change, problems, draft, put } = props;
  const place = `crews.${index}.teams`;
  const teamOf = (operation: Operation) => crew.teams.findIndex(({ operations }) => operations.includes(operation));
  const move = (operation: Operation, to: number) =>
    change({
      teams: crew.teams.map((team, at) => ({
        ...team,
        operations: OPERATIONS.filter((each) => (each === operation ? at === to : team.operations.includes(each))),
      })),
    });
  const removeTeam = (at: number) => {
    const crews = withRow(draft.rules.crews, index, { teams: withoutRow(crew.teams, at) });
    put({ ...draft, rules: { ...draft.rules, crews }, texts: textsWithoutRow(draft.texts, place, at) });
  };
  return (
    <details open={Object.keys(problems).some((at) => at.startsWith(place)) || undefined}>
      <summary>
        Teams and machines: {crew.teams.map(({ machines }) => machines).join(' + ')} machines in {crew.teams.length}{' '}
        {crew.teams.length === 1 ? 'team' : 'teams'}
      </summary>
      <div className="stack">
        <p className="small soft">
          Teams work at the same time, one behind the other, so the slowest sets the pace; within a team one operation
          follows the other.
        </p>
        {/* biome-ignore lint/a11y/noNoninteractiveTabindex: a scrolling region must take the focus (WCAG 2.1.1) */}
        <section className="table-scroll" aria-label={`Teams of ${crew.name}`} tabIndex={0}>
          <table className="table sticky-first class-grid">
            <caption className="unseen">Teams of {crew.name}: who does which operation, with how many machines</caption>
            <thead>
              <tr>
                <th scope="col">Operation</th>
                {crew.teams.map((_, team) => (
                  // biome-ignore lint/suspicious/noArrayIndexKey: teams are known by their number
                  <th key={team} scope="col">
                    Team {team + 1}
                  </th>
                ))}
              </tr>
            </thead>
            <tbody>
              {OPERATIONS.map((operation) => (
                <tr key={operation}>
                  <th scope="row">{OPERATION_LABELS[operation]}</th>
                  {crew.teams.map((_, team) => (
                    // biome-ignore lint/suspicious/noArrayIndexKey: teams are known by their number
                    <td key={team}>
                      <input
                        type="radio"
                        name={`${crew.id}-${operation}`}
                        aria-label={`${OPERATION_LABELS[operation]}: team ${team + 1} of ${crew.name}`}
                        checked={teamOf(operation) === team}
                        onChange={() => move(operation, team)}
                      />
                    </td>
                  ))}
                </tr>
              ))}
              <tr>
                <th scope="row">Machines side by side</th>
                {crew.teams.map((_, team) => (
                  // biome-ignore lint/suspicious/noArrayIndexKey: teams are known by their number
                  <td key={team} className="team-machines">
                    <CellNumberAt
                      {...props}
                      place={`${place}.${team}.machines`}
                      label={`Machines of team ${team + 1}, ${crew.name}`}
                    />
                    {problems[`${place}.${team}.operations`] && (
                      <span className="field-error">{problems[`${place}.${team}.operations`]}</span>
                    )}
                    {crew.teams.length > 1 && (
                      <RemoveButton what={`team ${team + 1} of ${crew.name}`} onClick={() => removeTeam(team)} />
                    )}
                  </td>
                ))}
              </tr>
            </tbody>
          </table>
        </section>
        {crew.teams.length < MOST_TEAMS && (
          <div className="row">
            <button
              type="button"
              className="button"
              onClick={() => change({ teams: [...crew.teams, { operations: [], machines: 1 }] })}
            >
              Add a team
            </button>
          </div>
        )}
      </div>
    </details>
  );
}

const MOST_TEAMS = 8;

function Away({ crew, index, change, problems, draft }: CrewProps) {
  const { year } = draft.rules;
  return (
    <details open={crew.away.length > 0}>
      <summary>Days away{crew.away.length > 0 ? `: ${crew.away.length}` : ''}</summary>
      <div className="stack">
        {crew.away.map((away, at) => (
          // biome-ignore lint/suspicious/noArrayIndexKey: spans have no key of their own
          <div key={at} className="row">
            {(['from', 'to'] as const).map((end) => (
              <span key={end} className="row">
                <span className="small">{end}</span>
                <CellInput
                  place={`crews.${index}.away.${at}.${end}`}
                  label={`${crew.name} away ${end}, ${at + 1}`}
                  problems={problems}
                  type="date"
                  value={away[end]}
                  onChange={(day) => change({ away: withRow(crew.away, at, { [end]: day }) })}
                />
              </span>
            ))}
            <RemoveButton
              what={`days away ${at + 1} of ${crew.name}`}
              onClick={() => change({ away: withoutRow(crew.away, at) })}
            />
          </div>
        ))}
        <div className="row">
          <button
            type="button"
            className="button"
            onClick={() => change({ away: [...crew.away, { from: `${year}-07-01`, to: `${year}-07-14` }] })}
          >
            Add days away
          </button>
        </div>
      </div>
    </details>
  );
}
