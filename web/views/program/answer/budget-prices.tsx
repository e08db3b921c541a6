import * as Plot from '@observablehq/plot';
import { useMemo } from 'react';
import type { Program, ProgramYear } from '../../../../server/schemas/program.ts';
import { formatMoney, formatNumber } from '../../../state/format.ts';
import { budgetPriceHeadline, budgetPriceSentence } from '../../../state/program-words.ts';
import { EvidenceFigure } from '../../evidence/figure.tsx';
import { useNarrow } from '../../service-life/use-narrow.ts';
import { PLOT_INK } from '../../shared/plot-picture.tsx';

const HEIGHT = 260;

/** What one more unit of each year's budget would save: the price of the budget's row in the solution. */
export function BudgetPrices({ program }: { program: Program }) {
  const narrow = useNarrow();
  const { years, currency } = program;
  const options = useMemo(() => priceChart(years, currency, narrow), [years, currency, narrow]);
  const limited = years.filter(({ budgetPrice }) => budgetPrice !== null);
  if (limited.length === 0)
    return (
      <>
        <h3>What more money would save</h3>
        <p>{budgetPriceHeadline(years, currency)}</p>
      </>
    );
  return (
    <EvidenceFigure
      title="What more money would save"
      name="program-budget-prices"
      note={
        <>
          <strong>{budgetPriceHeadline(years, currency)}</strong> It holds for small changes, with all else as it is;
          less money costs as much as more would save. Above the line at 1, another {currency} of budget pays for
          itself.
        </>
      }
      picture={{
        options,
        height: HEIGHT,
        label: `Saved over the horizon by one more ${currency} of budget. ${limited.map(({ year, budgetPrice }) => `${year}: ${formatNumber(budgetPrice, 2)}`).join('; ')}`,
      }}
      rows={years}
      file={() => [['year', 'savedByOneMore'], ...years.map(({ year, budgetPrice }) => [year, budgetPrice])]}
      columns={[
        { key: 'year', head: 'Year', cell: ({ year }) => year },
        {
          key: 'saves',
          head: `${formatMoney(1000, currency)} more saves`,
          numeric: true,
          cell: ({ budgetPrice }) => (budgetPrice === null ? '–' : formatMoney(budgetPrice * 1000, currency)),
        },
        {
          key: 'words',
          head: 'In words',
          cell: (row) => <span className="words">{budgetPriceSentence(row, currency)}</span>,
        },
      ]}
    />
  );
}

function priceChart(years: readonly ProgramYear[], currency: string, narrow: boolean): Plot.PlotOptions {
  const every = narrow ? 5 : years.length > 24 ? 5 : 2;
  return {
    x: {
      type: 'band',
      padding: 0.25,
      label: null,
      tickFormat: String,
      tickSize: 0,
      ticks: years.map(({ year }) => year).filter((year) => year % every === 0),
    },
    y: {
      grid: true,
      nice: true,
      domain: [0, Math.max(1.1, ...years.map(({ budgetPrice }) => budgetPrice ?? 0))],
      label: `${currency} saved by one more ${currency}`,
      labelArrow: 'none',
      ticks: 5,
    },
    marginLeft: 44,
    marginTop: 26,
    marginBottom: 26,
    marginRight: 4,
    marks: [
      Plot.barY(
        years.filter(({ budgetPrice }) => budgetPrice !== null),
        { x: 'year', y: 'budgetPrice', fill: PLOT_INK.accent, fillOpacity: 0.55 },
      ),
      Plot.ruleY([1], { stroke: PLOT_INK.chalk, strokeWidth: 1.5, strokeDasharray: '7 4' }),
      Plot.ruleY([0], { stroke: PLOT_INK.line }),
    ],
  };
}
