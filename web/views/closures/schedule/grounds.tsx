import type { Schedule } from '../../../../server/schemas/closures.ts';
import { formatNumber, formatShare } from '../../../state/format.ts';
import { DataTable } from '../../shared/data-table.tsx';
import { Banner } from '../../shared/states.tsx';

const MONTHS = [
  'January',
  'February',
  'March',
  'April',
  'May',
  'June',
  'July',
  'August',
  'September',
  'October',
  'November',
  'December',
];

type Workable = Schedule['workable'][number];
type Spread = Workable['months'][number]['days'];

/** Cautions first; then what the schedule rests on, and how often the weather is workable. */
export function Grounds({ schedule }: { schedule: Schedule }) {
  return (
    <>
      <section className="card stack" aria-labelledby="cautions-title">
        <h2 id="cautions-title">Before anyone closes anything</h2>
        <ul className="plain-list">
          {schedule.cautions.map((caution) => (
            <li key={caution}>{caution}</li>
          ))}
        </ul>
      </section>
      <section className="card stack" aria-labelledby="grounds-title">
        <h2 id="grounds-title">What it rests on</h2>
        <ul className="plain-list">
          {schedule.assumptions.map((assumption) => (
            <li key={assumption}>{assumption}</li>
          ))}
        </ul>
        {schedule.workable.length > 0 && (
          <details>
            <summary>Workable weather by month</summary>
            <div className="stack">
              {schedule.workable.map((each, index) => (
                // biome-ignore lint/suspicious/noArrayIndexKey: a station may be judged under several limits and hours
                <WorkableMonths key={index} workable={each} />
              ))}
            </div>
          </details>
        )}
      </section>
    </>
  );
}

function WorkableMonths({ workable }: { workable: Workable }) {
  const { stationId, gate, hours, years, refused, rule, months } = workable;
  const judged = `${stationId === null ? 'No station near' : `Station ${stationId}`}, ${hours}: ${gate}`;
  if (refused !== null)
    return (
      <Banner kind="caution">
        {judged}. Nothing is said: {refused}
      </Banner>
    );
  return (
    <div className="stack">
      <p className="small">
        {judged}. {rule} {formatNumber(years)} years of record.
      </p>
      <DataTable
        caption={judged}
        captionUnseen
        rows={months}
        rowKey={({ month }) => month}
        columns={[
          { key: 'month', head: 'Month', cell: ({ month }) => MONTHS[month - 1] },
          { key: 'share', head: 'Workable share of days', numeric: true, cell: ({ share }) => formatShare(share) },
          { key: 'days', head: 'Workable days (80 %)', numeric: true, cell: ({ days }) => spread(days) },
          { key: 'pairs', head: 'Two in a row (80 %)', numeric: true, cell: ({ pairs }) => spread(pairs) },
          { key: 'run', head: 'Longest run, days (80 %)', numeric: true, cell: ({ longestRun }) => spread(longestRun) },
          { key: 'judged', head: 'Days judged', numeric: true, cell: (each) => formatNumber(each.judged) },
        ]}
      />
    </div>
  );
}

const spread = ({ mean, p10, p90 }: Spread): string =>
  `${formatNumber(mean, 1)} (${formatNumber(p10)} to ${formatNumber(p90)})`;
