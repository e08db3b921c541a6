import type { Interval } from '../../../../server/schemas/common.ts';
import type { Program } from '../../../../server/schemas/program.ts';
import { roundMoney } from '../../../state/budget-scale.ts';
import { formatLength, formatLengthRange, formatNumber, formatShare } from '../../../state/format.ts';
import { type ComparedRow, compareCsv, comparedRows } from '../../../state/program-compare.ts';
import { formatLengthYears } from '../../../state/program-words.ts';
import type { Units } from '../../../state/units.ts';
import { CsvDownload } from '../../shared/csv-download.tsx';
import { type Column, DataTable } from '../../shared/data-table.tsx';
import { useUnits } from '../../shared/preferences.ts';
import { comparedStyles } from './scenario-styles.ts';

/** What each comes to in all. */
export function CompareTable({ programs }: { programs: readonly Program[] }) {
  const units = useUnits();
  const rows = comparedRows(programs);
  return (
    <section className="card stack" aria-labelledby="compare-title">
      <div className="card-head">
        <h2 id="compare-title">What each comes to</h2>
        <CsvDownload name="compared-programs" rows={() => compareCsv(rows)} />
      </div>
      <DataTable
        caption="Programs, then baselines; medians, and 80 % intervals below them"
        rows={rows}
        rowKey={({ key }) => key}
        columns={columnsFor(rows, units, programs[0])}
      />
    </section>
  );
}

function columnsFor(
  rows: readonly ComparedRow[],
  units: Units,
  { currency, priceYear }: Program,
): Column<ComparedRow>[] {
  const styleOf = comparedStyles(rows);
  const money = (of: (row: ComparedRow) => Interval) => (row: ComparedRow) => {
    const { median, lower, upper } = of(row);
    return (
      <>
        {roundMoney(median, currency)}
        <span className="interval soft">
          {roundMoney(lower, currency)} to {roundMoney(upper, currency)}
        </span>
      </>
    );
  };
  const numeric = true;
  return [
    {
      key: 'name',
      head: 'Program',
      cell: ({ key, name, rule }) => {
        const { stroke, dash, width } = styleOf(key);
        return (
          <span className="compared-name">
            <svg width="34" height="12" viewBox="0 0 34 12" aria-hidden="true">
              <path d="M1 6h32" stroke={stroke} strokeWidth={width} strokeDasharray={dash} />
            </svg>
            <span>
              <span>{name}</span>
              {rule && <span className="interval soft rule">{rule}</span>}
            </span>
          </span>
        );
      },
    },
    {
      key: 'present',
      head: `Work, discounted, ${currency} of ${priceYear}`,
      numeric,
      cell: money(({ totals }) => totals.presentCost),
    },
    { key: 'open', head: 'Open joints, discounted', numeric, cell: money(({ totals }) => totals.presentOpenCost) },
    { key: 'annual', head: 'Both, as an equal sum a year', numeric, cell: money(({ totals }) => totals.annualCost) },
    {
      key: 'nominal',
      head: `Work, ${currency} of each year`,
      numeric,
      cell: money(({ totals }) => totals.nominalCost),
    },
    {
      key: 'failed',
      head: 'Length failed × years',
      numeric,
      cell: ({ totals }) => {
        const { value, range } = formatLengthYears(totals.failedLengthYearsM, units);
        return (
          <>
            {value}
            <span className="interval soft">{range}</span>
          </>
        );
      },
    },
    {
      key: 'backlog',
      head: 'Backlog at the end',
      numeric,
      cell: ({ totals: { backlogAtEndM } }) => (
        <>
          {formatLength(backlogAtEndM.median, units)}
          <span className="interval soft">{formatLengthRange(backlogAtEndM, units)}</span>
        </>
      ),
    },
    {
      key: 'share',
      head: 'Failed share at the end',
      numeric,
      cell: ({ totals: { failedShareAtEnd } }) => (
        <>
          {formatShare(failedShareAtEnd.median)}
          <span className="interval soft">
            {formatShare(failedShareAtEnd.lower)} to {formatShare(failedShareAtEnd.upper)}
          </span>
        </>
      ),
    },
    {
      key: 'used',
      head: 'Budget used',
      numeric,
      cell: ({ totals }) => (totals.budgetUsedShare === null ? 'no limit' : formatShare(totals.budgetUsedShare)),
    },
    { key: 'length', head: 'Resealed', numeric, cell: ({ totals }) => formatLength(totals.lengthM, units) },
    { key: 'works', head: 'Reseals', numeric, cell: ({ totals }) => formatNumber(totals.works) },
  ];
}
