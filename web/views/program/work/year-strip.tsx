import { useState } from 'react';
import type { Program, ProgramWork } from '../../../../server/schemas/program.ts';
import { roundMoney } from '../../../state/budget-scale.ts';
import { formatCount, formatNumber } from '../../../state/format.ts';
import { yearlySpending } from '../../../state/program-spending.ts';
import { type WorkQuery, withWorkField } from '../../../state/work-query.ts';
import { useAddress } from '../../shared/url.tsx';

interface Props {
  readonly program: Program;
  readonly query: WorkQuery;
  readonly dragged: ProgramWork | null;
  readonly onDrop: (year: number) => void;
  readonly onFilter: (params: URLSearchParams) => void;
}

/** The years as buttons: pressed, only their work is listed; what is dragged onto one moves there. */
export function YearStrip({ program, query, dragged, onDrop, onFilter }: Props) {
  const { params } = useAddress();
  const [over, setOver] = useState<number | null>(null);
  const spending = yearlySpending(program, 'each-year');
  const highest = Math.max(1, ...spending.map(({ cost, limit }) => Math.max(cost.median, limit ?? 0)));
  return (
    <fieldset className={`year-strip${dragged ? ' dropping' : ''}`}>
      <legend className="unseen">Years</legend>
      {spending.map(({ year, cost, limit }, index) => {
        const { works } = program.years[index];
        const chosen = query.year === year;
        const budget = limit === null ? 'no limit' : `of ${roundMoney(limit, program.currency)}`;
        return (
          <button
            key={year}
            type="button"
            className={`year-chip${over === year && dragged ? ' over' : ''}`}
            aria-pressed={chosen}
            aria-label={`${year}: ${formatCount(works, 'reseal')}, ${roundMoney(cost.median, program.currency)} ${budget}`}
            title={`${formatCount(works, 'reseal')}, ${roundMoney(cost.median, program.currency)} ${budget}`}
            onClick={() => onFilter(withWorkField(params, 'year', chosen ? null : String(year)))}
            onDragOver={(event) => {
              if (!dragged || dragged.year === year) return;
              event.preventDefault();
              setOver(year);
            }}
            onDragLeave={() => setOver(null)}
            onDrop={(event) => {
              event.preventDefault();
              setOver(null);
              onDrop(year);
            }}
          >
            <span className="figures">{year}</span>
            <span className="year-bar" aria-hidden="true">
              <span style={{ height: `${(100 * cost.median) / highest}%` }} />
              {limit !== null && <i style={{ bottom: `${(100 * limit) / highest}%` }} />}
            </span>
            <span className="small soft figures">{formatNumber(works)}</span>
          </button>
        );
      })}
    </fieldset>
  );
}
