import type { ResealOption, WhatIf } from '../../../server/schemas/drivers.ts';
import { failureYearText } from '../../state/drivers.ts';
import { formatInterval, formatMoney, formatShare, formatWidth } from '../../state/format.ts';
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
          { key: 'name', head: '', cell: ({ name }) => <span className="cell-words">{name}</span> },
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
  readonly of: (option: ResealOption) => string;
}

function rowsOf({ option: { lasts }, currency }: WhatIf, units: Units): Line[] {
  const { unit } = pricePerLength(1, units);
  const price = (costPerM: number) => formatMoney(pricePerLength(costPerM, units).value, currency, 2);
  const chances = lasts.map(({ years }, i) => ({
    name: `Chance of lasting ${years} years`,
    of: (option: ResealOption) => formatShare(option.lasts[i]?.chance),
  }));
  return [
    { name: 'Sealant class', of: ({ sealantClass }) => SEALANT_CLASS_LABELS[sealantClass] },
    { name: 'Width', of: ({ widthMm }) => formatWidth(widthMm, units) },
    { name: 'Preparation', of: ({ preparation }) => PREPARATION_LABELS[preparation] },
    { name: 'Half fail by, years', of: ({ medianLifeYears }) => formatInterval(medianLifeYears, 1) },
    { name: 'Life of one such seal, years', of: ({ lifeYears }) => formatInterval(lifeYears, 1) },
    ...chances,
    { name: 'Fails in', of: ({ failureYear }) => failureYearText(failureYear) },
    { name: `Price ${unit}`, of: ({ costPerM }) => (costPerM === null ? 'no price' : price(costPerM)) },
    {
      name: `Yearly cost ${unit}`,
      of: ({ annualCostPerM }) =>
        annualCostPerM === null
          ? 'no price'
          : `${price(annualCostPerM.median)} (${price(annualCostPerM.lower)} to ${price(annualCostPerM.upper)})`,
    },
  ];
}
