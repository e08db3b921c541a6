import type { ReactNode } from 'react';
import type { Interval } from '../../../server/schemas/common.ts';
import type { ResealOption, WhatIf } from '../../../server/schemas/drivers.ts';
import {
  formatInterval,
  formatMoney,
  formatNumber,
  formatShare,
  formatWidth,
  formatYear,
  formatYearRange,
} from '../../state/format.ts';
import { pricePerLength, type Units } from '../../state/units.ts';
import { PREPARATION_LABELS, SEALANT_CLASS_LABELS } from '../../state/words.ts';
import { DataTable } from '../shared/data-table.tsx';
import { useUnits } from '../shared/preferences.ts';
import { Banner } from '../shared/states.tsx';

/** The chosen seal beside one like the last: life, chances and costs. */
export function WhatIfResult({ answer }: { answer: WhatIf }) {
  const units = useUnits();
  const { option, likeWithLike, lifeRatio, priceYear, discountRatePerYear } = answer;
  return (
    <div className="stack what-if-result">
      <p role="status">{answer.sentence}</p>
      <DataTable
        caption="This choice beside like with like"
        rows={rowsOf(answer, units)}
        rowKey={({ name }) => name}
        columns={[
          { key: 'name', head: 'Seal', cell: ({ name }) => <span className="seal-words">{name}</span> },
          { key: 'option', head: 'This choice', numeric: true, cell: ({ of }) => of(option) },
          { key: 'like', head: 'Like with like', numeric: true, cell: ({ of }) => of(likeWithLike) },
        ]}
      />
      <p className="small soft">
        Median life against like with like: {formatInterval(lifeRatio, 2)} times as long. Intervals are 80 %.
        {priceYear !== null &&
          ` Prices of ${priceYear}, spread over the life at ${formatShare(discountRatePerYear)} a year.`}{' '}
        {option.knownBy}
      </p>
      {option.cautions.map((caution) => (
        <Banner key={caution} kind="caution">
          {caution}
        </Banner>
      ))}
      <p className="small soft">Model version {answer.modelVersion}.</p>
    </div>
  );
}

interface Line {
  readonly name: string;
  readonly of: (option: ResealOption) => ReactNode;
}

/** A value with its interval under it, so that two columns fit a narrow card. */
const Spread = ({ value, range }: { value: string; range: string }) => (
  <>
    {value}
    <span className="spread">{range}</span>
  </>
);

const between = ({ lower, upper }: Interval, format: (end: number) => string): string =>
  `${format(lower)} to ${format(upper)}`;

function rowsOf({ option: { lasts }, currency }: WhatIf, units: Units): Line[] {
  const { unit } = pricePerLength(1, units);
  const price = (costPerM: number) => formatMoney(pricePerLength(costPerM, units).value, currency, 2);
  const years = (age: number) => formatNumber(age, 1);
  const spread = (interval: Interval, format: (value: number) => string) => (
    <Spread value={format(interval.median)} range={between(interval, format)} />
  );
  const chances = lasts.map(({ years: age }, i) => ({
    name: `Lasts ${age} years, chance`,
    of: (option: ResealOption) => formatShare(option.lasts[i]?.chance),
  }));
  return [
    {
      name: 'Class',
      of: ({ sealantClass }) => <span className="seal-words">{SEALANT_CLASS_LABELS[sealantClass]}</span>,
    },
    { name: 'Width', of: ({ widthMm }) => formatWidth(widthMm, units) },
    {
      name: 'Preparation',
      of: ({ preparation }) => <span className="seal-words">{PREPARATION_LABELS[preparation]}</span>,
    },
    { name: 'Half fail by, years', of: ({ medianLifeYears }) => spread(medianLifeYears, years) },
    { name: 'One seal lasts, years', of: ({ lifeYears }) => spread(lifeYears, years) },
    ...chances,
    {
      name: 'Fails in',
      of: ({ failureYear: { median, lower, upper } }) => (
        <Spread value={median === null ? 'over 100 years' : formatYear(median)} range={formatYearRange(lower, upper)} />
      ),
    },
    { name: `Price ${unit}`, of: ({ costPerM }) => (costPerM === null ? 'no price' : price(costPerM)) },
    {
      name: `Yearly cost ${unit}`,
      of: ({ annualCostPerM }) => (annualCostPerM === null ? 'no price' : spread(annualCostPerM, price)),
    },
  ];
}
