import { QUESTION_LABELS } from '../../../state/program-words.ts';
import type { ScenarioDraft } from '../../../state/scenario-draft.ts';
import { NumberField, Reasons, reasonOf } from '../../shared/form-fields.tsx';
import type { GroupProps } from './group-props.ts';

const QUESTIONS: readonly { value: ScenarioDraft['question']; words: string }[] = [
  {
    value: 'least-cost',
    words: 'The money is given. What is to be done with it, so that work and open joints together cost least?',
  },
  {
    value: 'least-budget',
    words: 'The condition is given. What is the least money each year that keeps the failed share under the targets?',
  },
];

/** What is asked, and over how many years. */
export function QuestionFields({ draft, change, problems, defaults }: GroupProps) {
  return (
    <>
      <fieldset className="setup-question">
        <legend className="label">Question</legend>
        {QUESTIONS.map(({ value, words }) => (
          <label key={value} className="choice-card">
            <input
              type="radio"
              name="question"
              checked={draft.question === value}
              onChange={() => change({ question: value })}
            />
            <span>
              <strong>{QUESTION_LABELS[value]}</strong>
              <span className="small soft">{words}</span>
            </span>
          </label>
        ))}
      </fieldset>
      <Reasons defaults={defaults} fields={['question']} />
      <div className="setup-numbers">
        <NumberField
          label="Horizon, years"
          value={draft.horizonYears}
          problem={problems.horizonYears}
          hint={reasonOf(defaults, 'horizonYears') ?? 'From 1 to 40'}
          onChange={(horizonYears) => change({ horizonYears })}
        />
      </div>
    </>
  );
}
