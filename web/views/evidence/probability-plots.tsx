import { useMemo, useState } from 'react';
import type { ProbabilityPlot } from '../../../server/schemas/evidence-diagnostics.ts';
import { formatRange, inPlainWords } from '../../state/evidence-words.ts';
import { formatCount, formatNumber, formatShare } from '../../state/format.ts';
import { FAMILY_LABELS, labelOf, SEALANT_CLASS_LABELS } from '../../state/words.ts';
import { useNarrow } from '../service-life/use-narrow.ts';
import { Field } from '../shared/controls.tsx';
import type { Column } from '../shared/data-table.tsx';
import { EvidenceFigure, MarkKey } from './figure.tsx';
import { probabilityChart } from './probability-chart.ts';

const nameOf = ({ sealantClass }: ProbabilityPlot): string => labelOf(SEALANT_CLASS_LABELS, sealantClass);

/** The fit of one class over what its records say alone, on the paper of the family. */
export function ProbabilityPlots({ plots, csvHref }: { plots: readonly ProbabilityPlot[]; csvHref: string }) {
  const ordered = useMemo(() => [...plots].sort((a, b) => b.failures - a.failures), [plots]);
  const [chosen, choose] = useState(ordered[0].sealantClass);
  const plot = ordered.find(({ sealantClass }) => sealantClass === chosen) ?? ordered[0];
  const narrow = useNarrow();
  const options = useMemo(() => probabilityChart(plot, narrow), [plot, narrow]);
  const level = `${Math.round(plot.bandLevel * 100)} %`;
  return (
    <EvidenceFigure
      title="Probability plot"
      name={`probability-plot-${plot.sealantClass}`}
      note={
        <>
          {nameOf(plot)}: {formatCount(plot.seals, 'seal')}, {formatNumber(plot.failures)} seen to fail. On this paper (
          {FAMILY_LABELS[plot.family]}) a right fit of like seals is straight; the boxes should lie about the line.{' '}
          {inPlainWords(plot.sentence)} {plot.note}
          <MarkKey
            marks={[
              ['fit', `the fit with its ${level} band, at the class’s average conditions`],
              ['records', 'the records alone (Turnbull): the failures lie somewhere inside each box'],
            ]}
          />
        </>
      }
      picture={{ options, height: narrow ? 320 : 400, label: `${nameOf(plot)}: ${said(plot)}` }}
      caption={`${nameOf(plot)}: share failed by the fit`}
      columns={columnsFor(level)}
      rows={plot.line}
      file={csvHref}
      controls={
        <Field label="Sealant class">
          {(control) => (
            <select
              {...control}
              className="select"
              value={plot.sealantClass}
              onChange={({ target }) => choose(target.value)}
            >
              {ordered.map((each) => (
                <option key={each.sealantClass} value={each.sealantClass}>
                  {nameOf(each)}
                </option>
              ))}
            </select>
          )}
        </Field>
      }
    />
  );
}

const said = ({ line }: ProbabilityPlot): string =>
  line
    .filter((_, i) => i % 10 === 0)
    .map(({ ageYears, failed }) => `by ${formatNumber(ageYears, 1)} years ${formatShare(failed)} failed`)
    .join('; ');

const columnsFor = (level: string): Column<ProbabilityPlot['line'][number]>[] => [
  { key: 'failed', head: 'Failed', numeric: true, cell: ({ failed }) => formatShare(failed) },
  { key: 'age', head: 'By the age of, years', numeric: true, cell: ({ ageYears }) => formatNumber(ageYears, 1) },
  {
    key: 'band',
    head: `${level} interval`,
    numeric: true,
    cell: ({ lowerYears, upperYears }) =>
      formatRange({ lower: lowerYears, upper: upperYears }, (value) => formatNumber(value, 1)),
  },
];
