import { EMPTY_KIND, KIND_ROWS, type KindDraft, type KindOrAny } from '../../../state/scenario-draft.ts';
import { pricePerLength } from '../../../state/units.ts';
import { FACILITY_KIND_LABELS } from '../../../state/words.ts';
import { CellNumber, Reasons } from '../../shared/form-fields.tsx';
import type { GroupProps } from './group-props.ts';
import { useSetupContext } from './use-setup-context.ts';

const LABELS: Readonly<Record<KindOrAny, string>> = { any: 'Any kind', ...FACILITY_KIND_LABELS };

/** What a closure costs whatever is done in it, and what a failed joint costs while it stays open. */
export function KindFields({ draft, change, problems, defaults }: GroupProps) {
  const { currency, settings } = useSetupContext();
  const per = draft.units === 'us' ? 'ft' : 'm';
  const asSet = settings && pricePerLength(settings.openJointCostPerMYear, draft.units).value.toFixed(2);
  const set = (kind: KindOrAny, part: Partial<KindDraft>) =>
    change({ kinds: { ...draft.kinds, [kind]: { ...(draft.kinds[kind] ?? EMPTY_KIND), ...part } } });
  const columns: readonly { field: keyof KindDraft; head: string; empty: (kind: KindOrAny) => string }[] = [
    {
      field: 'mobilisation',
      head: `Mobilisation, ${currency}`,
      empty: (kind) => (kind === 'any' ? 'none' : 'as any kind'),
    },
    {
      field: 'trafficControl',
      head: `Traffic control, ${currency}`,
      empty: (kind) => (kind === 'any' ? 'none' : 'as any kind'),
    },
    {
      field: 'openJoint',
      head: `Open joint, ${currency} per ${per} and year`,
      empty: (kind) => (kind === 'any' ? (asSet ? `as set: ${asSet}` : '') : 'as any kind'),
    },
  ];
  return (
    <>
      <p className="small soft">
        Mobilisation and traffic control are paid once for each facility and year with any work, so neighbours go
        together. The cost of an open joint is multiplied by the consequence weight of its segment.
      </p>
      <div className="table-scroll">
        <table className="table setup-table kind-table">
          <caption className="unseen">Costs by kind of facility</caption>
          <thead>
            <tr>
              <th scope="col">Kind of facility</th>
              {columns.map(({ field, head }) => (
                <th key={field} scope="col">
                  {head}
                </th>
              ))}
            </tr>
          </thead>
          <tbody>
            {KIND_ROWS.map((kind) => (
              <tr key={kind}>
                <th scope="row">{LABELS[kind]}</th>
                {columns.map(({ field, head, empty }) => (
                  <td key={field}>
                    <CellNumber
                      place={`kinds.${kind}.${field}`}
                      label={`${head}: ${LABELS[kind]}`}
                      problems={problems}
                      value={draft.kinds[kind]?.[field] ?? ''}
                      placeholder={empty(kind)}
                      onChange={(text) => set(kind, { [field]: text })}
                    />
                  </td>
                ))}
              </tr>
            ))}
          </tbody>
        </table>
      </div>
      <Reasons defaults={defaults} fields={['mobilisation', 'openJointCost']} />
    </>
  );
}
