import { useMemo } from 'react';
import type { Budget } from '../../../server/schemas/budget.ts';
import type { Interval } from '../../../server/schemas/common.ts';
import {
  amountOf,
  type BudgetView,
  largestIn,
  moneyWords,
  type Scale,
  scaledMedian,
  scaledRange,
  scaleFor,
} from '../../state/budget-scale.ts';
import { type BudgetBlock, type BudgetColumn, budgetBlocks } from '../../state/budget-table.ts';
import { labelOf, SEALANT_CLASS_LABELS } from '../../state/words.ts';
import { type Column, DataTable } from '../shared/data-table.tsx';
import { useUnits } from '../shared/preferences.ts';

/** Years down, groups across; with both groupings a block of years for each district. */
export function BudgetTable({ budget, view }: { budget: Budget; view: BudgetView }) {
  return view.grouping === 'total' ? (
    <TotalTable budget={budget} view={view} />
  ) : (
    <GroupTable budget={budget} view={view} />
  );
}

/** Length and cost side by side, with the totals of all years below. */
function TotalTable({ budget, view }: { budget: Budget; view: BudgetView }) {
  const units = useUnits();
  const blocks = useMemo(() => budgetBlocks(budget, 'total'), [budget]);
  const { currency, overall } = budget;
  const scaleOf = (measure: BudgetView['measure']) =>
    scaleFor({ measure, units, currency, largest: largestIn(blocks, { ...view, measure }, budget) });
  const [lengths, costs] = [scaleOf('lengthM'), scaleOf('cost')];
  type Row = Budget['totals'][number];
  const column = (key: string, head: string, cell: (row: Row) => string): Column<Row> => ({
    key,
    head,
    cell,
    numeric: true,
  });
  const cost = (row: Row) => amountOf(row, { ...view, measure: 'cost' }, budget);
  const columns: Column<Row>[] = [
    { key: 'year', head: 'Year', cell: ({ year }) => year },
    column('length', `Length, ${lengths.unit}`, ({ lengthM }) => scaledMedian(lengthM, lengths)),
    column('length-range', '80 % interval', ({ lengthM }) => scaledRange(lengthM, lengths)),
    column('cost', `Cost, ${costs.unit}`, (row) => scaledMedian(cost(row), costs)),
    column('cost-range', '80 % interval', (row) => scaledRange(cost(row), costs)),
  ];
  return (
    <>
      <DataTable
        caption={`Length and cost by year; cost ${moneyWords(view, budget)}`}
        rows={budget.totals}
        rowKey={({ year }) => year}
        columns={columns}
        foot={
          <>
            {view.moneyOf === 'each-year' && (
              <FootRow name="All years" length={overall.lengthM} cost={overall.cost} scales={[lengths, costs]} />
            )}
            <FootRow
              name={`Present value, ${budget.years[0]}`}
              length={null}
              cost={overall.presentValue}
              scales={[lengths, costs]}
            />
          </>
        }
      />
      <p className="small soft">
        The figures of all years are computed together: medians and intervals of single years do not add up to them.
      </p>
    </>
  );
}

function FootRow({
  name,
  length,
  cost,
  scales: [lengths, costs],
}: {
  name: string;
  length: Interval | null;
  cost: Interval;
  scales: [Scale, Scale];
}) {
  return (
    <tr>
      <th scope="row">{name}</th>
      <td className="number">{length ? scaledMedian(length, lengths) : ''}</td>
      <td className="number">{length ? scaledRange(length, lengths) : ''}</td>
      <td className="number">{scaledMedian(cost, costs)}</td>
      <td className="number">{scaledRange(cost, costs)}</td>
    </tr>
  );
}

function GroupTable({ budget, view }: { budget: Budget; view: BudgetView }) {
  const units = useUnits();
  const blocks = useMemo(() => budgetBlocks(budget, view.grouping), [budget, view.grouping]);
  const scale = scaleFor({
    measure: view.measure,
    units,
    currency: budget.currency,
    largest: largestIn(blocks, view, budget),
  });
  const what = view.measure === 'cost' ? `Cost, ${scale.unit}, ${moneyWords(view, budget)}` : `Length, ${scale.unit}`;
  const caption = `${what}. Median, and 80 % interval below it`;
  return (
    // A scrolling region must take the focus, or the keyboard cannot scroll it (WCAG 2.1.1).
    // biome-ignore lint/a11y/noNoninteractiveTabindex: see the line above
    <section className="table-scroll budget-groups" aria-label={caption} tabIndex={0}>
      <table className="table sticky-first">
        <caption>
          <span className="caption-words">{caption}</span>
        </caption>
        <thead>
          <tr>
            <th scope="col">Year</th>
            {blocks[0].columns.map((column) => (
              <th key={column.key} scope="col" className="number">
                {view.grouping === 'district' ? districtHead(column) : classHead(column)}
              </th>
            ))}
          </tr>
        </thead>
        {blocks.map((block) => (
          <BlockRows key={block.district ?? '*'} {...{ block, budget, view, scale, named: blocks.length > 1 }} />
        ))}
      </table>
    </section>
  );
}

const districtHead = ({ district }: BudgetColumn): string => district ?? 'All districts';
const classHead = ({ sealantClass }: BudgetColumn): string =>
  sealantClass ? labelOf(SEALANT_CLASS_LABELS, sealantClass) : 'All classes';

interface BlockProps {
  block: BudgetBlock;
  budget: Budget;
  view: BudgetView;
  scale: Scale;
  named: boolean;
}

function BlockRows({ block, budget, view, scale, named }: BlockProps) {
  return (
    <tbody>
      {named && (
        <tr className="block-name">
          <th scope="rowgroup">{block.district ?? 'All districts'}</th>
          <td colSpan={block.columns.length} />
        </tr>
      )}
      {budget.years.map((year, index) => (
        <tr key={year}>
          <th scope="row">{year}</th>
          {block.columns.map(({ key, amounts }) => {
            const amount = amounts[index];
            const interval = amount && amountOf(amount, view, budget);
            return (
              <td key={key} className="number">
                {scaledMedian(interval, scale)}
                {interval && <span className="interval">{scaledRange(interval, scale)}</span>}
              </td>
            );
          })}
        </tr>
      ))}
    </tbody>
  );
}
