import { useMemo, useState } from 'react';
import type { Interval } from '../../../../server/schemas/common.ts';
import type { Program } from '../../../../server/schemas/program.ts';
import { scaleFor } from '../../../state/budget-scale.ts';
import { formatNumber, formatShare } from '../../../state/format.ts';
import { type ComparedRow, type CompareMeasure, comparedLines, comparedRows } from '../../../state/program-compare.ts';
import { EvidenceFigure } from '../../evidence/figure.tsx';
import { useNarrow } from '../../service-life/use-narrow.ts';
import { Switch } from '../../shared/controls.tsx';
import { useUnits } from '../../shared/preferences.ts';
import { lineChart } from '../line-chart.ts';
import { comparedStyles } from './scenario-styles.ts';

const HEIGHT = 400;

/** What stands beside the programs: where nothing is done, so much fails that the rest lies close together. */
type Beside = 'all' | 'some' | 'none';

const isDrawn = ({ key, rule }: ComparedRow, beside: Beside): boolean =>
  rule === null || beside === 'all' || (beside === 'some' && key !== 'nothing');

/** One measure of every program and baseline over the years, on the same axes. */
export function CompareFigure({ programs }: { programs: readonly Program[] }) {
  const [measure, setMeasure] = useState<CompareMeasure>('failedShare');
  const [beside, setBeside] = useState<Beside>('all');
  const units = useUnits();
  const narrow = useNarrow();
  const { priceYear, currency } = programs[0];
  const rows = useMemo(() => comparedRows(programs).filter((row) => isDrawn(row, beside)), [programs, beside]);
  const styleOf = useMemo(() => comparedStyles(rows), [rows]);
  const { format, unit } = useMemo(() => {
    if (measure === 'failedShare')
      return { unit: 'share of length', format: (share: number) => `${Number((share * 100).toFixed(1))} %` };
    const largest = Math.max(0, ...rows.flatMap(({ points }) => points.map((point) => point[measure].upper)));
    const scale = scaleFor({ measure: measure === 'backlogM' ? 'lengthM' : 'cost', largest, units, currency });
    return { unit: scale.unit, format: (value: number) => formatNumber(value * scale.factor, scale.decimals) };
  }, [measure, rows, units, currency]);
  const options = useMemo(
    () => lineChart({ lines: comparedLines(rows, measure), styleOf, axis: unit, format, height: HEIGHT, narrow }),
    [rows, measure, styleOf, unit, format, narrow],
  );
  const words: Readonly<Record<CompareMeasure, string>> = {
    failedShare: 'Failed share',
    backlogM: 'Backlog',
    cost: 'Spending, money of each year',
    constantCost: `Spending, money of ${priceYear}`,
  };
  const years = [...new Set(rows.flatMap(({ points }) => points.map(({ year }) => year)))].sort((a, b) => a - b);
  const at = (key: string, year: number): Interval | null =>
    rows.find((row) => row.key === key)?.points.find((point) => point.year === year)?.[measure] ?? null;
  const say = (value: Interval | null) =>
    value === null ? '–' : measure === 'failedShare' ? formatShare(value.median) : format(value.median);
  return (
    <EvidenceFigure
      title="Side by side over the years"
      name={`compare-${measure}`}
      tableBelow
      note="Medians; with one or two programs their 80 % intervals as fans. Each line is named at its end."
      picture={{
        options,
        height: HEIGHT,
        label: `${words[measure]}, ${unit}, at the last year: ${rows.map(({ key, name }) => `${name} ${say(at(key, years[years.length - 1]))}`).join('; ')}`,
      }}
      rows={years}
      file={() => [
        ['year', ...rows.flatMap(({ name }) => [`${name} median`, `${name} lower80`, `${name} upper80`])],
        ...years.map((year) => [
          year,
          ...rows.flatMap(({ key }) => {
            const value = at(key, year);
            return value ? [value.median, value.lower, value.upper] : [null, null, null];
          }),
        ]),
      ]}
      controls={
        <>
          <Switch
            label="Measure"
            value={measure}
            onChange={setMeasure}
            choices={(Object.keys(words) as CompareMeasure[]).map((value) => ({ value, label: words[value] }))}
          />
          <Switch
            label={`Baselines of ${programs[0].scenarioName}`}
            value={beside}
            onChange={setBeside}
            choices={[
              { value: 'all', label: 'Four baselines' },
              { value: 'some', label: 'Without “do nothing”' },
              { value: 'none', label: 'Programs alone' },
            ]}
          />
        </>
      }
      caption={`${words[measure]} by year, ${unit}`}
      columns={[
        { key: 'year', head: 'Year', cell: (year) => year },
        ...rows.map(({ key, name }) => ({
          key,
          head: name,
          numeric: true,
          cell: (year: number) => {
            const value = at(key, year);
            return (
              <>
                {say(value)}
                {value && (
                  <span className="interval soft">
                    {measure === 'failedShare'
                      ? `${formatShare(value.lower)} to ${formatShare(value.upper)}`
                      : `${format(value.lower)} to ${format(value.upper)}`}
                  </span>
                )}
              </>
            );
          },
        })),
      ]}
    />
  );
}
