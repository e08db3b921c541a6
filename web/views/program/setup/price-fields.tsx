import { useQuery } from '@tanstack/react-query';
import type { SealantClass } from '../../../../server/schemas/words.ts';
import { formatNumber } from '../../../state/format.ts';
import type { ScenarioPriceDraft } from '../../../state/scenario-draft.ts';
import { pricePerLength } from '../../../state/units.ts';
import { JOINT_TYPE_LABELS, SEALANT_CLASS_LABELS } from '../../../state/words.ts';
import { unitCostsQuery } from '../../budget/budget-queries.ts';
import {
  CellNumber,
  cellControl,
  NumberField,
  Reasons,
  RemoveHead,
  reasonOf,
  withoutRow,
  withRow,
} from '../../shared/form-fields.tsx';
import type { GroupProps } from './group-props.ts';
import { useSetupContext } from './use-setup-context.ts';

const JOINTS: Readonly<Record<ScenarioPriceDraft['jointType'], string>> = {
  any: 'Any joint type',
  ...JOINT_TYPE_LABELS,
};

/** Prices that differ from the unit costs on record, their spread, and the rates. */
export function PriceFields(props: GroupProps) {
  const { draft, change, problems, defaults } = props;
  const { settings } = useSetupContext();
  const asSet = (share: number | undefined) => (share === undefined ? '' : `as set: ${formatNumber(share * 100, 1)}`);
  return (
    <>
      <PriceTable {...props} />
      <Reasons defaults={defaults} fields={['prices']} />
      <div className="setup-numbers">
        <NumberField
          label="Spread of prices, %"
          value={draft.priceUncertainty}
          problem={problems.priceUncertainty}
          hint={reasonOf(defaults, 'priceUncertainty')}
          onChange={(priceUncertainty) => change({ priceUncertainty })}
        />
        <NumberField
          label="Price escalation, % a year"
          value={draft.escalation}
          problem={problems.escalationPerYear}
          placeholder={asSet(settings?.escalationPerYear)}
          hint={reasonOf(defaults, 'escalationPerYear') ?? 'Empty: as in the settings'}
          onChange={(escalation) => change({ escalation })}
        />
        <NumberField
          label="Discount rate, real, % a year"
          value={draft.discount}
          problem={problems.discountRatePerYear}
          placeholder={asSet(settings?.discountRatePerYear)}
          hint={reasonOf(defaults, 'discountRatePerYear') ?? 'Empty: as in the settings'}
          onChange={(discount) => change({ discount })}
        />
      </div>
    </>
  );
}

function PriceTable({ draft, change, problems }: GroupProps) {
  const { currency } = useSetupContext();
  const { data: costs } = useQuery(unitCostsQuery);
  const per = `${currency} per ${draft.units === 'us' ? 'ft' : 'm'}`;
  const rows = draft.prices;
  const set = (index: number, part: Partial<ScenarioPriceDraft>) => change({ prices: withRow(rows, index, part) });
  const onRecord = ({ sealantClass, jointType }: ScenarioPriceDraft): string => {
    const cost =
      costs?.find((each) => each.sealantClass === sealantClass && each.jointType === jointType) ??
      costs?.find((each) => each.sealantClass === sealantClass && each.jointType === 'any');
    return cost ? formatNumber(pricePerLength(cost.costPerM, draft.units).value, 2) : 'none';
  };
  return (
    <fieldset className="stack setup-part">
      <legend className="label">Prices that differ from the unit costs on record</legend>
      {rows.length > 0 && (
        <div className="table-scroll">
          <table className="table setup-table">
            <caption className="unseen">Prices of this scenario, {per}</caption>
            <thead>
              <tr>
                <th scope="col">Sealant class</th>
                <th scope="col">Joint type</th>
                <th scope="col">{per}</th>
                <th scope="col" className="number">
                  On record
                </th>
                <RemoveHead />
              </tr>
            </thead>
            <tbody>
              {rows.map((row, index) => {
                const name = `price ${index + 1}`;
                const joint = cellControl(`prices.${index}.jointType`, `Joint type, ${name}`, problems);
                return (
                  // biome-ignore lint/suspicious/noArrayIndexKey: class and joint type can both be changed
                  <tr key={index}>
                    <td>
                      <select
                        aria-label={`Sealant class, ${name}`}
                        className="select"
                        value={row.sealantClass}
                        onChange={({ target }) => set(index, { sealantClass: target.value as SealantClass })}
                      >
                        <Options labels={SEALANT_CLASS_LABELS} />
                      </select>
                    </td>
                    <td>
                      <select
                        {...joint.control}
                        className="select"
                        value={row.jointType}
                        onChange={({ target }) =>
                          set(index, { jointType: target.value as ScenarioPriceDraft['jointType'] })
                        }
                      >
                        <Options labels={JOINTS} />
                      </select>
                      {joint.error}
                    </td>
                    <td>
                      <CellNumber
                        place={`prices.${index}.costPerM`}
                        label={`${per}, ${name}`}
                        problems={problems}
                        value={row.cost}
                        onChange={(cost) => set(index, { cost })}
                      />
                    </td>
                    <td className="number">{onRecord(row)}</td>
                    <td>
                      <button
                        type="button"
                        className="button quiet"
                        aria-label={`Remove ${name}`}
                        onClick={() => change({ prices: withoutRow(rows, index) })}
                      >
                        Remove
                      </button>
                    </td>
                  </tr>
                );
              })}
            </tbody>
          </table>
        </div>
      )}
      <div className="row">
        <button
          type="button"
          className="button"
          onClick={() =>
            change({
              prices: [...rows, { sealantClass: 'silicone-self-levelling', jointType: 'any', cost: '', stored: null }],
            })
          }
        >
          Add a price
        </button>
        <span className="small soft">Without an entry here, the unit costs of the Budget screen hold.</span>
      </div>
    </fieldset>
  );
}

const Options = ({ labels }: { labels: Readonly<Record<string, string>> }) =>
  Object.entries(labels).map(([word, label]) => (
    <option key={word} value={word}>
      {label}
    </option>
  ));
