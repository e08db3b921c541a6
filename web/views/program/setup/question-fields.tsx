import { QUESTION_LABELS } from '../../../state/program-words.ts';
import type { ScenarioDraft } from '../../../state/scenario-draft.ts';
import { ChoiceCards } from '../../shared/choice-cards.tsx';
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
      <ChoiceCards
        legend="Question"
        group="question"
        choices={QUESTIONS.map((question) => ({ ...question, name: QUESTION_LABELS[question.value] }))}
        chosen={draft.question}
        onChoose={(question) => change({ question })}
      />
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
