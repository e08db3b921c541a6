import { useMemo, useState } from 'react';
import type { Program } from '../../../../server/schemas/program.ts';
import type { ScenarioInputs } from '../../../../server/schemas/scenario.ts';
import { formatShare } from '../../../state/format.ts';
import {
  type FailedScope,
  failedScopes,
  failedShareLines,
  failedShareRows,
  targetsOf,
} from '../../../state/program-failed.ts';
import { EvidenceFigure, MarkKey } from '../../evidence/figure.tsx';
import { useNarrow } from '../../service-life/use-narrow.ts';
import { Field } from '../../shared/controls.tsx';
import { lineChart } from '../line-chart.ts';
import { programLineStyle } from '../line-styles.ts';

const HEIGHT = 340;

interface Props {
  readonly program: Program;
  readonly targets: ScenarioInputs['targets'];
}

/** Expected failed share of length at the end of each year, as a fan; the baselines beside it where wanted. */
export function FailedShareFigure({ program, targets }: Props) {
  const scopes = useMemo(() => failedScopes(program), [program]);
  const [scopeKey, setScope] = useState(scopes[0].key);
  const [baselines, setBaselines] = useState(false);
  const narrow = useNarrow();
  const scope = scopes.find(({ key }) => key === scopeKey) ?? scopes[0];
  const beside = baselines && scope.scope === 'network';
  const bounds = useMemo(() => targetsOf(scope, targets, program), [scope, targets, program]);
  const options = useMemo(
    () =>
      lineChart({
        lines: failedShareLines(program, scope, beside),
        styleOf: programLineStyle,
        axis: 'Failed share of length',
        format: (share) => `${Number((share * 100).toFixed(1))} %`,
        height: HEIGHT,
        narrow,
        bounds,
      }),
    [program, scope, beside, narrow, bounds],
  );
  const rows = useMemo(() => failedShareRows(program, scope), [program, scope]);
  return (
    <EvidenceFigure
      title="Failed share over time"
      name={`failed-share-${scope.key}`}
      note={
        <>
          Share of sealed length that is failed and not resealed at the end of each year.
          <MarkKey
            marks={[
              ['fit', 'this program, with its 80 % interval'],
              ...(bounds.length > 0 ? ([['limit', 'target']] as const) : []),
            ]}
          />
        </>
      }
      picture={{ options, height: HEIGHT, label: said(scope, rows) }}
      rows={rows}
      file={() => [
        [
          'year',
          'failedShareMedian',
          'failedShareLower80',
          'failedShareUpper80',
          ...program.baselines.map(({ baseline }) => baseline),
        ],
        ...rows.map(({ year, value, baselines: theirs }) => [
          year,
          value.median,
          value.lower,
          value.upper,
          ...theirs.map(({ median }) => median),
        ]),
      ]}
      controls={
        <>
          <Field label="Of">
            {(control) => (
              <select
                {...control}
                className="select"
                value={scope.key}
                onChange={({ target }) => setScope(target.value)}
              >
                {scopes.map(({ key, label }) => (
                  <option key={key} value={key}>
                    {label}
                  </option>
                ))}
              </select>
            )}
          </Field>
          {scope.scope === 'network' && (
            <label className="check">
              <input type="checkbox" checked={baselines} onChange={({ target }) => setBaselines(target.checked)} />
              with the four baselines
            </label>
          )}
        </>
      }
      columns={[
        { key: 'year', head: 'Year', cell: ({ year }) => year },
        { key: 'median', head: 'Failed share', numeric: true, cell: ({ value }) => formatShare(value.median) },
        {
          key: 'range',
          head: '80 % interval',
          numeric: true,
          cell: ({ value }) => `${formatShare(value.lower)} to ${formatShare(value.upper)}`,
        },
        ...(beside
          ? program.baselines.map(({ baseline }, index) => ({
              key: baseline,
              head: programLineStyle(baseline).label,
              numeric: true,
              cell: ({ baselines: theirs }: (typeof rows)[number]) => formatShare(theirs[index]?.median),
            }))
          : []),
      ]}
    />
  );
}

const said = ({ label }: FailedScope, rows: ReturnType<typeof failedShareRows>): string =>
  `Failed share of length, ${label}. ${rows.map(({ year, value }) => `${year}: ${formatShare(value.median)}`).join('; ')}`;
