import type { TargetDraft } from '../../../state/scenario-draft.ts';
import { horizonYears } from '../../../state/scenario-years.ts';
import { FACILITY_KIND_LABELS } from '../../../state/words.ts';
import { CellNumber, cellControl, Reasons, RemoveHead, withoutRow, withRow } from '../../shared/form-fields.tsx';
import type { GroupProps } from './group-props.ts';
import { useSetupContext } from './use-setup-context.ts';

const SCOPES: Readonly<Record<TargetDraft['scope'], string>> = {
  network: 'Whole network',
  district: 'One district',
  'facility-kind': 'One kind of facility',
};
const NEW_TARGET: TargetDraft = { scope: 'network', name: '', fromYear: '', atMost: '10' };

/** Expected failed shares of length that must not be passed. */
export function TargetFields({ draft, change, problems, defaults }: GroupProps) {
  const { districts, firstYear } = useSetupContext();
  const years = horizonYears(draft, firstYear);
  const rows = draft.targets;
  const set = (index: number, part: Partial<TargetDraft>) => change({ targets: withRow(rows, index, part) });
  const names = (scope: TargetDraft['scope']): readonly (readonly [string, string])[] =>
    scope === 'district'
      ? districts.map((name) => [name, name] as const)
      : Object.entries(FACILITY_KIND_LABELS).map(([word, label]) => [word, label] as const);
  return (
    <>
      <p className="small soft">
        The expected failed share of sealed length at the end of each year must stay at or below the target.
        {draft.question === 'least-cost' && ' With the question of least cost, targets are optional.'}
      </p>
      {rows.length > 0 && (
        <div className="table-scroll">
          <table className="table setup-table">
            <caption className="unseen">Targets</caption>
            <thead>
              <tr>
                <th scope="col">Of</th>
                <th scope="col">Which</th>
                <th scope="col">From</th>
                <th scope="col">Failed share at most, %</th>
                <RemoveHead />
              </tr>
            </thead>
            <tbody>
              {rows.map((row, index) => {
                const place = `targets.${index}`;
                const label = `target ${index + 1}`;
                const name = cellControl(`${place}.name`, `Which, ${label}`, problems);
                return (
                  // biome-ignore lint/suspicious/noArrayIndexKey: targets have no name of their own
                  <tr key={index}>
                    <td>
                      <select
                        aria-label={`Part of the network, ${label}`}
                        className="select"
                        value={row.scope}
                        onChange={({ target }) => set(index, { scope: target.value as TargetDraft['scope'], name: '' })}
                      >
                        {Object.entries(SCOPES).map(([word, words]) => (
                          <option key={word} value={word}>
                            {words}
                          </option>
                        ))}
                      </select>
                    </td>
                    <td>
                      {row.scope === 'network' ? (
                        <span className="soft">all of it</span>
                      ) : (
                        <select
                          {...name.control}
                          className="select"
                          value={row.name}
                          onChange={({ target }) => set(index, { name: target.value })}
                        >
                          <option value="">Choose</option>
                          {names(row.scope).map(([word, words]) => (
                            <option key={word} value={word}>
                              {words}
                            </option>
                          ))}
                        </select>
                      )}
                      {name.error}
                    </td>
                    <td>
                      <select
                        aria-label={`From year, ${label}`}
                        className="select"
                        value={row.fromYear}
                        onChange={({ target }) => set(index, { fromYear: target.value })}
                      >
                        <option value="">Every year</option>
                        {years.map((year) => (
                          <option key={year} value={String(year)}>
                            {year} on
                          </option>
                        ))}
                      </select>
                    </td>
                    <td>
                      <CellNumber
                        place={`${place}.atMostShare`}
                        label={`Failed share at most, %, ${label}`}
                        problems={problems}
                        value={row.atMost}
                        onChange={(atMost) => set(index, { atMost })}
                      />
                    </td>
                    <td>
                      <button
                        type="button"
                        className="button quiet"
                        aria-label={`Remove ${label}`}
                        onClick={() => change({ targets: withoutRow(rows, index) })}
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
      {problems.targets && <p className="field-error">{problems.targets}</p>}
      <div className="row">
        <button type="button" className="button" onClick={() => change({ targets: [...rows, NEW_TARGET] })}>
          Add a target
        </button>
      </div>
      <Reasons defaults={defaults} fields={['targets']} />
    </>
  );
}
