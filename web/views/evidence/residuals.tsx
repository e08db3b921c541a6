import { useMemo, useState } from 'react';
import type { Static } from 'typebox';
import type { CovariateResidualsSchema } from '../../../server/schemas/evidence-diagnostics.ts';
import { formatRange } from '../../state/evidence-words.ts';
import { formatNumber } from '../../state/format.ts';
import { useNarrow } from '../service-life/use-narrow.ts';
import { Field } from '../shared/controls.tsx';
import type { Column } from '../shared/data-table.tsx';
import { EvidenceFigure, MarkKey } from './figure.tsx';
import { intervalChart, intervalChartHeight } from './interval-chart.ts';

type Covariate = Static<typeof CovariateResidualsSchema>;
type Bin = Covariate['bins'][number] & { readonly label: string };

/** Probability-scale residuals in bins of each covariate: a trend says that its effect is not as the model has it. */
export function Residuals({ covariates }: { covariates: readonly Covariate[] }) {
  const [chosen, choose] = useState(covariates[0].name);
  const covariate = covariates.find(({ name }) => name === chosen) ?? covariates[0];
  const narrow = useNarrow();
  const rows = useMemo(() => labelledBins(covariate), [covariate]);
  const picture = useMemo(() => {
    const lines = rows.map(({ label, mean, interval }) => ({
      ...{ label, value: mean, lower: interval?.lower ?? null, upper: interval?.upper ?? null },
    }));
    const axis = narrow ? 'Mean residual' : 'Mean residual: above 0, such seals last longer than the fit says';
    const options = intervalChart({ lines, axis, narrow, kind: 'difference', reference: 0 });
    return { options, height: intervalChartHeight(lines) };
  }, [rows, narrow]);
  return (
    <EvidenceFigure
      title="Residuals by covariate"
      name={`residuals-${covariate.name}`}
      note={
        <>
          Probability-scale residuals, between −1 and 1, in bins of like size. Their mean is 0 in every bin where the
          fit is right; above 0, such seals last longer than the fit says. A trend asks for another form of the
          covariate.
          <MarkKey marks={[['estimate', 'mean with its 80 % interval']]} />
        </>
      }
      picture={{
        ...picture,
        label: `${covariate.label}: ${rows.map(({ label, mean }) => `${label} ${formatNumber(mean, 3)}`).join('; ')}`,
      }}
      caption={`Mean residual by ${covariate.label}`}
      columns={columnsFor(covariate)}
      rows={rows}
      file={() => savedResiduals(covariates)}
      controls={
        <Field label="Covariate">
          {(control) => (
            <select
              {...control}
              className="select"
              value={covariate.name}
              onChange={({ target }) => choose(target.value)}
            >
              {covariates.map(({ name, label }) => (
                <option key={name} value={name}>
                  {label}
                </option>
              ))}
            </select>
          )}
        </Field>
      }
    />
  );
}

function labelledBins({ bins }: Covariate): Bin[] {
  return bins.map((bin) => ({ ...bin, label: binLabel(bin) }));
}

function binLabel({ from, to }: Covariate['bins'][number]): string {
  if (from === null || to === null) return 'No value recorded';
  return from === to ? short(from) : `${short(from)} to ${short(to)}`;
}

/** Three digits or so. */
const short = (value: number): string =>
  formatNumber(value, Number.isInteger(value) || Math.abs(value) >= 100 ? 0 : Math.abs(value) >= 10 ? 1 : 2);

const columnsFor = ({ label, unit }: Covariate): Column<Bin>[] => [
  { key: 'bin', head: unit === '' || label.includes(unit) ? label : `${label}, ${unit}`, cell: (bin) => bin.label },
  { key: 'mean', head: 'Mean residual', numeric: true, cell: ({ mean }) => formatNumber(mean, 3) },
  {
    key: 'interval',
    head: '80 % interval',
    numeric: true,
    cell: ({ interval }) => formatRange(interval, (value) => formatNumber(value, 3)),
  },
  { key: 'rows', head: 'Seals', numeric: true, cell: ({ rows }) => formatNumber(rows) },
];

const savedResiduals = (covariates: readonly Covariate[]) => [
  ['covariate', 'unit', 'from', 'to', 'seals', 'meanResidual', 'lower10', 'upper90'],
  ...covariates.flatMap(({ name, unit, bins }) =>
    bins.map(({ from, to, rows, mean, interval }) => [
      ...[name, unit, from, to, rows, mean, interval?.lower ?? null, interval?.upper ?? null],
    ]),
  ),
];
