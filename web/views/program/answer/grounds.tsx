import { Fragment } from 'react';
import type { Program } from '../../../../server/schemas/program.ts';
import { formatDay, formatNumber } from '../../../state/format.ts';
import { Link } from '../../shared/url.tsx';

/** What the figures rest on, and what they are not. */
export function Grounds({ program }: { program: Program }) {
  const percent = (share: number) => `${formatNumber(share * 100, 1)}\u00a0%`;
  return (
    <section className="card stack" aria-labelledby="grounds-title">
      <h2 id="grounds-title">What it rests on</h2>
      <dl className="facts">
        <dt>Forecasts of</dt>
        <dd>
          <Link href="/service-life?part=versions">model version {program.modelVersion}</Link>, data version{' '}
          {program.dataVersion}, as of {formatDay(program.planningDate)}
        </dd>
        <dt>Money</dt>
        <dd>
          {program.currency}; prices of {program.priceYear} raised by {percent(program.escalationPerYear)} a year,
          discounted at a real {percent(program.discountRatePerYear)}
        </dd>
        <dt>Solved</dt>
        <dd>
          {program.method === 'exact'
            ? 'exactly, as a mixed-integer program'
            : 'by a price on each budget, with a proven bound'}
        </dd>
      </dl>
      {program.asked.length > 0 && (
        <details>
          <summary>What was asked</summary>
          <dl className="facts">
            {program.asked.map(({ what, value }) => (
              <Fragment key={what}>
                <dt>{what}</dt>
                <dd>{value}</dd>
              </Fragment>
            ))}
          </dl>
        </details>
      )}
      {program.assumptions.length > 0 && (
        <>
          <h3>Assumed</h3>
          <ul className="notes">
            {program.assumptions.map((line) => (
              <li key={line}>{line}</li>
            ))}
          </ul>
        </>
      )}
      {program.cautions.length > 0 && (
        <>
          <h3>Cautions</h3>
          <ul className="notes">
            {program.cautions.map((line) => (
              <li key={line}>{line}</li>
            ))}
          </ul>
        </>
      )}
    </section>
  );
}
