interface Choice<V> {
  readonly value: V;
  readonly name: string;
  readonly words: string;
}

interface Props<V> {
  readonly legend: string;
  /** Tells these radio buttons from others of the form. */ readonly group: string;
  readonly choices: readonly Choice<V>[];
  readonly chosen: V;
  readonly onChoose: (value: V) => void;
}

/** One of a few answers, each with what it means. */
export const ChoiceCards = <V extends string>({ legend, group, choices, chosen, onChoose }: Props<V>) => (
  <fieldset className="setup-question">
    <legend className="label">{legend}</legend>
    {choices.map(({ value, name, words }) => (
      <label key={value} className="choice-card">
        <input type="radio" name={group} checked={chosen === value} onChange={() => onChoose(value)} />
        <span>
          <strong>{name}</strong>
          <span className="small soft">{words}</span>
        </span>
      </label>
    ))}
  </fieldset>
);
