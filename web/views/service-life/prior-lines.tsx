import { type ReactNode, useId } from 'react';
import type { FittedClass, PriorTable } from '../../../server/schemas/priors.ts';
import type { FieldProblem } from '../../state/budget-edit.ts';
import { formatInterval, formatNumber, formatShare, NOT_KNOWN } from '../../state/format.ts';
import {
  type BeliefDraft,
  type BeliefKey,
  EFFECTS,
  isPublished,
  type PriorDraft,
  publishedDraft,
  SHAPE,
  withTyped,
} from '../../state/prior-edit.ts';
import { labelOf, SEALANT_CLASS_LABELS } from '../../state/words.ts';

interface Props {
  readonly table: PriorTable;
  readonly draft: PriorDraft;
  readonly problems: readonly FieldProblem[];
  readonly onChange: (draft: PriorDraft) => void;
}

/** One line for each class, for effects and for the shape: what is believed, to be typed over, and what became of it. */
export function PriorLines({ table, draft, problems, onChange }: Props) {
  const published = publishedDraft(table);
  const lineOf = (key: BeliefKey, name: string) => ({
    name,
    id: key,
    line: draft[key],
    published: published[key],
    problems: problems.filter((problem) => problem.key === key),
    onChange: (line: BeliefDraft) => onChange({ ...draft, [key]: line }),
  });
  const { versionBefore, modelVersion, effects, shape } = table;
  const caption = 'What is believed before any data, by sealant class';
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: a scrolling region must take the focus (WCAG 2.1.1)
    <section className="table-scroll" aria-label={caption} tabIndex={0}>
      <table className="table sticky-first prior-table">
        <caption className="unseen">
          <span className="caption-words">{caption}</span>
        </caption>
        <thead>
          <tr>
            <th scope="col">Sealant class</th>
            <th scope="col" className="number">
              Half last, years
            </th>
            <th scope="col" className="number">
              95 %: within a factor of
            </th>
            <th scope="col" className="number">
              Worth, failures
            </th>
            <th scope="col">After the data{modelVersion === null ? '' : `, model ${modelVersion}`}</th>
            <th scope="col">{versionBefore === null ? 'Version before' : `Model ${versionBefore}, before it`}</th>
            <th scope="col">So it is believed that</th>
            <th scope="col">Why</th>
            <th scope="col">Published</th>
          </tr>
        </thead>
        <tbody>
          {table.classes.map(({ sealantClass, sentence, caution, worthFailures, fitted, before }) => (
            <PriorLine
              key={sealantClass}
              {...lineOf(sealantClass, labelOf(SEALANT_CLASS_LABELS, sealantClass))}
              worth={formatNumber(worthFailures, 2)}
              fitted={fitted ? <Fitted life={fitted} /> : 'none on record'}
              before={before ? <Fitted life={before} /> : NOT_KNOWN}
              sentence={sentence}
              caution={caution}
            />
          ))}
          <PriorLine
            {...lineOf(EFFECTS, 'Effect of a covariate')}
            worth={`SD ${formatNumber(effects.logSd, 3)}`}
            fitted="see This model, What changes it"
            before={NOT_KNOWN}
            sentence={effects.sentence}
            caution={null}
          />
          <PriorLine
            {...lineOf(SHAPE, 'Shape')}
            worth={NOT_KNOWN}
            fitted={shape.fitted ? formatInterval(shape.fitted, 2) : NOT_KNOWN}
            before={shape.before ? formatInterval(shape.before, 2) : NOT_KNOWN}
            sentence={shape.sentence}
            caution={null}
          />
        </tbody>
      </table>
    </section>
  );
}

/** "7.0 → 6.4 (6.2 to 6.6)": believed, then fitted, with what it rests on. */
const Fitted = ({ life }: { life: FittedClass }) => (
  <span className="words short">
    {formatNumber(life.believedMedianYears, 1)} → {formatInterval(life.medianLifeYears, 1, 'years')}
    <span className="step">
      {formatNumber(life.failures)} of {formatNumber(life.observations)} failed; {formatShare(life.dataShare)} data
    </span>
  </span>
);

interface LineProps {
  readonly name: string;
  readonly id: BeliefKey;
  readonly line: BeliefDraft;
  readonly published: BeliefDraft;
  readonly problems: readonly FieldProblem[];
  readonly worth: string;
  readonly fitted: ReactNode;
  readonly before: ReactNode;
  readonly sentence: string;
  readonly caution: string | null;
  readonly onChange: (line: BeliefDraft) => void;
}

function PriorLine(props: LineProps) {
  const { name, id, line, published, problems, worth, fitted, before, sentence, caution, onChange } = props;
  const errorId = useId();
  const errorOf = (field: keyof BeliefDraft) => problems.find((problem) => problem.field === field)?.message;
  const change = (part: Partial<BeliefDraft>) => onChange(withTyped(line, part, published));
  const figure = (field: 'middle' | 'rangeFactor', what: string) => (
    <>
      <input
        className="input numeric"
        inputMode="decimal"
        aria-label={`${name}: ${what}`}
        aria-invalid={errorOf(field) ? true : undefined}
        aria-describedby={errorOf(field) ? `${errorId}-${field}` : undefined}
        value={line[field]}
        onChange={({ target }) => change({ [field]: target.value })}
      />
      {errorOf(field) && (
        <span className="field-error" id={`${errorId}-${field}`}>
          {errorOf(field)}
        </span>
      )}
    </>
  );
  const asPublished = isPublished(line, published);
  return (
    <tr>
      <th scope="row">
        <span className="words">
          {name} {!asPublished && <span className="badge chalk">yours</span>}
        </span>
      </th>
      <td className="number">
        {id === EFFECTS ? NOT_KNOWN : figure('middle', id === SHAPE ? 'median shape' : 'median life, years')}
      </td>
      <td className="number">{figure('rangeFactor', 'within a factor of')}</td>
      <td className="number">{worth}</td>
      <td>{fitted}</td>
      <td>{before}</td>
      <td>
        <span className="words">
          {sentence}
          {caution && <strong className="prior-caution">{caution}</strong>}
        </span>
      </td>
      <td>
        <textarea
          className="textarea prior-source"
          rows={2}
          maxLength={300}
          aria-label={`${name}: why`}
          placeholder="Where this comes from"
          value={line.source}
          onChange={({ target }) => change({ source: target.value })}
        />
      </td>
      <td>
        <button
          type="button"
          className="button"
          aria-label={`${name}: back to the published value`}
          disabled={asPublished}
          onClick={() => onChange(published)}
        >
          {id === EFFECTS ? `within ${published.rangeFactor}` : `${published.middle}, within ${published.rangeFactor}`}
        </button>
      </td>
    </tr>
  );
}
