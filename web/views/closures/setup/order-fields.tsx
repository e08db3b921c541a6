import { kindAt, ownNumber, withOwnNumber } from '../../../state/closure-rules-draft.ts';
import { OPERATION_LABELS, SEALANT_FAMILY_LABELS } from '../../../state/closure-rules-words.ts';
import { formatNumber } from '../../../state/format.ts';
import { lengthInUnits } from '../../../state/units.ts';
import { labelOf } from '../../../state/words.ts';
import { DataTable } from '../../shared/data-table.tsx';
import { CellNumber, Reasons } from '../../shared/form-fields.tsx';
import { Banner } from '../../shared/states.tsx';
import { RestsOn } from './rule-inputs.tsx';
import type { RulesProps } from './rules-props.ts';

/** Operations in order, as the seal that is there makes them, and how fast each goes. */
export function OrderFields(props: RulesProps) {
  const { defaults } = props;
  return (
    <>
      <RateTable {...props} />
      <Reasons defaults={defaults} fields={['rates']} />
      <details>
        <summary>Order of work by the seal that is there</summary>
        <OrderTable {...props} />
      </details>
      <Banner>
        <span>
          <strong>Where fuel is spilled.</strong> {defaults.fuelRefusals.join(' ')} Such work is not scheduled on
          segments that the records mark as exposed to fuel; the schedule lists it as refused. Choose another class in
          the program.
        </span>
      </Banner>
    </>
  );
}

const FAMILIES: Readonly<Record<string, string>> = {
  ...SEALANT_FAMILY_LABELS,
  poured: 'hot- or cold-poured',
};

/** "seal/hot-applied": "Seal, hot-applied". */
const rateLabel = (key: string): string => {
  const [operation, family] = key.split('/');
  const name = labelOf(OPERATION_LABELS, operation);
  return family === undefined ? name : `${name}: ${labelOf(FAMILIES, family).toLowerCase()}`;
};

const ORDER = Object.keys(OPERATION_LABELS);
const placeInOrder = ({ operation }: RulesProps['defaults']['rates'][number]): number => ORDER.indexOf(operation);

function RateTable({ draft, put, problems, defaults }: RulesProps) {
  const { rules, units } = draft;
  const per = units === 'us' ? 'ft' : 'm';
  const shown = (metres: number) => formatNumber(lengthInUnits(metres, units, Number.POSITIVE_INFINITY).value);
  return (
    <DataTable
      caption={`Rates of one machine, ${per} of joint an hour`}
      rows={[...defaults.rates].sort((a, b) => placeInOrder(a) - placeInOrder(b))}
      rowKey={({ key }) => key}
      columns={[
        { key: 'operation', head: 'Operation', cell: ({ key }) => rateLabel(key) },
        {
          key: 'rate',
          head: `${per} an hour`,
          cell: ({ key, metresPerHour }) => {
            const own = ownNumber(rules, 'rates', key);
            const place = `rates.${key}`;
            return (
              <span className="rate-cell">
                <CellNumber
                  place={place}
                  label={`${rateLabel(key)}, ${per} an hour`}
                  problems={problems}
                  value={draft.texts[place] ?? kindAt(place, units).show(own ?? metresPerHour)}
                  onChange={(text) => put(withOwnNumber(draft, { list: 'rates', key, usual: metresPerHour }, text))}
                />
                {own !== null && <span className="badge accent">yours</span>}
              </span>
            );
          },
        },
        {
          key: 'usual',
          head: 'Default',
          numeric: true,
          cell: ({ metresPerHour }) => shown(metresPerHour),
        },
        {
          key: 'bracket',
          head: 'Usual range',
          numeric: true,
          cell: ({ bracket: [low, high] }) => `${shown(low)} to ${shown(high)}`,
        },
        { key: 'workers', head: 'Workers', numeric: true, cell: ({ workers }) => workers },
        {
          key: 'mark',
          head: 'Rests on',
          cell: RestsOn,
        },
      ]}
    />
  );
}

function OrderTable({ draft, defaults }: RulesProps) {
  const { washAfterSawing } = draft.rules;
  const families = defaults.order[0]?.bySeal.map(({ family }) => family) ?? [];
  const rows = defaults.order.filter(
    ({ operation }) => washAfterSawing || (operation !== 'wash' && operation !== 'dry'),
  );
  return (
    <DataTable
      caption="Order of work where the new seal is of the same kind as the old"
      rows={rows}
      rowKey={({ operation }) => operation}
      columns={[
        {
          key: 'operation',
          head: 'Operation',
          cell: ({ operation }) => labelOf(OPERATION_LABELS, operation),
        },
        ...families.map((family) => ({
          key: family,
          head: labelOf(SEALANT_FAMILY_LABELS, family),
          cell: ({ bySeal }: (typeof rows)[number]) => (
            <span className="how">{bySeal.find((each) => each.family === family)?.how ?? 'not done'}</span>
          ),
        })),
      ]}
    />
  );
}
