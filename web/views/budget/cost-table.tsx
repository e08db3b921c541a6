import { useRef } from 'react';
import type { UnitCost } from '../../../server/schemas/unit-cost.ts';
import type { SealantClass } from '../../../server/schemas/words.ts';
import type { CostDraft, FieldProblem } from '../../state/budget-edit.ts';
import type { Units } from '../../state/units.ts';
import { JOINT_TYPE_LABELS, SEALANT_CLASS_LABELS } from '../../state/words.ts';

interface Props {
  drafts: readonly CostDraft[];
  problems: readonly FieldProblem[];
  units: Units;
  currency: string;
  /** Classes that the forecast has and this table has not. */ unpriced: readonly SealantClass[];
  onChange: (drafts: CostDraft[]) => void;
}

const JOINT_TYPES: Readonly<Record<UnitCost['jointType'], string>> = { any: 'Any joint type', ...JOINT_TYPE_LABELS };

/** What it costs to take out and reseal, by sealant class and joint type. */
export function CostTable({ drafts, problems, units, currency, unpriced, onChange }: Props) {
  const body = useRef<HTMLTableSectionElement>(null);
  const per = `${currency} per ${units === 'us' ? 'ft' : 'm'}`;
  const change = (key: number, part: Partial<CostDraft>) =>
    onChange(drafts.map((draft) => (draft.key === key ? { ...draft, ...part } : draft)));
  const add = (sealantClass: SealantClass) => {
    const key = Math.max(-1, ...drafts.map((draft) => draft.key)) + 1;
    onChange([
      ...drafts,
      { key, sealantClass, jointType: 'any', costText: '', pricedOn: '', priceSource: '', stored: null },
    ]);
    requestAnimationFrame(() => body.current?.querySelector<HTMLElement>('tr:last-child select')?.focus());
  };
  return (
    <div className="stack">
      <p className="small soft">
        Price of taking out the old seal and resealing, in {per} of joint. A price for a joint type goes before one for
        any.
      </p>
      {drafts.length > 0 && (
        <div className="table-scroll">
          <table className="table cost-table">
            <caption className="unseen">Unit costs, {per}</caption>
            <thead>
              <tr>
                <th scope="col">Sealant class</th>
                <th scope="col">Joint type</th>
                <th scope="col">{per}</th>
                <th scope="col">Priced on</th>
                <th scope="col">Source</th>
                <th scope="col">
                  <span className="unseen">Remove</span>
                </th>
              </tr>
            </thead>
            <tbody ref={body}>
              {drafts.map((draft) => (
                <CostRow
                  key={draft.key}
                  draft={draft}
                  per={per}
                  problems={problems.filter(({ key }) => key === draft.key)}
                  onChange={(part) => change(draft.key, part)}
                  onRemove={() => onChange(drafts.filter(({ key }) => key !== draft.key))}
                />
              ))}
            </tbody>
          </table>
        </div>
      )}
      <div className="row">
        <button type="button" className="button" onClick={() => add(unpriced[0] ?? 'silicone-self-levelling')}>
          Add a price
        </button>
        {unpriced.length > 0 && (
          <span className="small">
            No price yet: {unpriced.map((sealantClass) => SEALANT_CLASS_LABELS[sealantClass]).join('; ')}.
          </span>
        )}
      </div>
    </div>
  );
}

interface RowProps {
  draft: CostDraft;
  per: string;
  problems: readonly FieldProblem[];
  onChange: (part: Partial<CostDraft>) => void;
  onRemove: () => void;
}

function CostRow({ draft, per, problems, onChange, onRemove }: RowProps) {
  const name = `${SEALANT_CLASS_LABELS[draft.sealantClass]}, ${JOINT_TYPES[draft.jointType].toLowerCase()}`;
  const problem = (field: string) => problems.find((each) => each.field === field)?.message;
  /** Name, error mark and error text of one control of the row. */
  const control = (field: string, what: string) => ({
    'aria-label': `${what}: ${name}`,
    'aria-invalid': problem(field) ? (true as const) : undefined,
    'aria-describedby': problem(field) ? `cost-${draft.key}-${field}` : undefined,
  });
  const error = (field: string) =>
    problem(field) && (
      <span className="field-error" id={`cost-${draft.key}-${field}`}>
        {problem(field)}
      </span>
    );
  return (
    <tr>
      <td>
        <select
          {...control('sealantClass', 'Sealant class')}
          className="select"
          value={draft.sealantClass}
          onChange={({ target }) => onChange({ sealantClass: target.value as SealantClass })}
        >
          <Options labels={SEALANT_CLASS_LABELS} />
        </select>
      </td>
      <td>
        <select
          {...control('jointType', 'Joint type')}
          className="select"
          value={draft.jointType}
          onChange={({ target }) => onChange({ jointType: target.value as UnitCost['jointType'] })}
        >
          <Options labels={JOINT_TYPES} />
        </select>
        {error('jointType')}
      </td>
      <td>
        <input
          {...control('cost', per)}
          className="input numeric"
          inputMode="decimal"
          value={draft.costText}
          onChange={({ target }) => onChange({ costText: target.value })}
        />
        {error('cost')}
      </td>
      <td>
        <input
          {...control('pricedOn', 'Priced on')}
          type="date"
          className="input"
          value={draft.pricedOn}
          onChange={({ target }) => onChange({ pricedOn: target.value })}
        />
        {error('pricedOn')}
      </td>
      <td>
        <input
          {...control('priceSource', 'Source')}
          className="input"
          maxLength={200}
          value={draft.priceSource}
          onChange={({ target }) => onChange({ priceSource: target.value })}
        />
      </td>
      <td>
        <button type="button" className="button quiet" aria-label={`Remove: ${name}`} onClick={onRemove}>
          Remove
        </button>
      </td>
    </tr>
  );
}

const Options = ({ labels }: { labels: Readonly<Record<string, string>> }) =>
  Object.entries(labels).map(([word, label]) => (
    <option key={word} value={word}>
      {label}
    </option>
  ));
