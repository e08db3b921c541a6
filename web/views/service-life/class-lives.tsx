import { useMemo, useState } from 'react';
import type { ClassLife } from '../../../server/schemas/model.ts';
import { formatInterval, formatNumber, formatShare, NOT_KNOWN } from '../../state/format.ts';
import { labelOf, SEALANT_CLASS_LABELS } from '../../state/words.ts';
import { DataTable } from '../shared/data-table.tsx';
import { PlotPicture } from '../shared/plot-picture.tsx';
import { SvgDownload } from '../shared/svg-download.tsx';
import { lastYearShown, lifeChart } from './life-chart.ts';

const nameOf = (life: ClassLife): string => labelOf(SEALANT_CLASS_LABELS, life.sealantClass);

/** Life curves of all sealant classes side by side, the best known first, one of them large, and the numbers. */
export function ClassLives({ lives: unordered }: { lives: readonly ClassLife[] }) {
  const lives = useMemo(() => [...unordered].sort((a, b) => b.observations - a.observations), [unordered]);
  const [chosen, choose] = useState(lives[0]?.sealantClass ?? null);
  const lastYear = useMemo(() => lastYearShown(lives), [lives]);
  const life = lives.find(({ sealantClass }) => sealantClass === chosen) ?? lives[0];
  if (!life) return null;
  return (
    <section className="card stack" aria-labelledby="lives-title">
      <h2 id="lives-title">Life by sealant class</h2>
      <ChartKey />
      <fieldset className="small-multiples">
        <legend className="unseen">Sealant class shown large</legend>
        {lives.map((each) => (
          <SmallLife key={each.sealantClass} life={each} lastYear={lastYear} chosen={each === life} onChoose={choose} />
        ))}
      </fieldset>
      <LargeLife key={life.sealantClass} life={life} lastYear={lastYear} />
      <details>
        <summary>All classes as a table</summary>
        <LivesTable lives={lives} />
      </details>
    </section>
  );
}

const ChartKey = () => (
  <ul className="chart-key small">
    <li>
      <span className="swatch curve" aria-hidden="true" /> fitted curve with its 80 % band, at the class’s average
      conditions
    </li>
    <li>
      <span className="swatch box" aria-hidden="true" /> what the inspections say alone (Turnbull): failures happened
      somewhere inside each box; at high ages few seals are left to tell
    </li>
    <li>
      <span className="swatch dot" aria-hidden="true" /> median life with its 80 % interval
    </li>
  </ul>
);

function SmallLife({
  life,
  lastYear,
  chosen,
  onChoose,
}: {
  life: ClassLife;
  lastYear: number;
  chosen: boolean;
  onChoose: (sealantClass: ClassLife['sealantClass']) => void;
}) {
  const options = useMemo(() => lifeChart(life, { lastYear, large: false }), [life, lastYear]);
  return (
    <label className="small-life">
      <input
        type="radio"
        name="life-class"
        checked={chosen}
        onChange={() => onChoose(life.sealantClass)}
        aria-label={`${nameOf(life)}: median life ${formatInterval(life.medianLifeYears, 1, 'years')}`}
      />
      <span className="small-life-name">{nameOf(life)}</span>
      <span className="small soft figures">
        {formatInterval(life.medianLifeYears, 1)} years
        <br />
        {formatNumber(life.failures)} of {formatNumber(life.observations)} failed
      </span>
      <span aria-hidden="true">
        <PlotPicture options={options} height={110} label={`Life curve of ${nameOf(life)}`} />
      </span>
    </label>
  );
}

function LargeLife({ life, lastYear }: { life: ClassLife; lastYear: number }) {
  const options = useMemo(() => lifeChart(life, { lastYear, large: true }), [life, lastYear]);
  const median = formatInterval(life.medianLifeYears, 1, 'years');
  const table = useMemo(() => yearlyCurve(life, lastYear), [life, lastYear]);
  return (
    <div className="large-life">
      <figure className="stack">
        <figcaption className="row">
          <h3>{nameOf(life)}</h3>
          <SvgDownload name={`life-${life.sealantClass}`} />
        </figcaption>
        <PlotPicture
          options={options}
          height={340}
          label={`Share of seals still sound by age, ${nameOf(life)}. Half have failed by ${median}.`}
        />
        <details>
          <summary>This curve as a table</summary>
          <DataTable
            caption={`${nameOf(life)}: share still sound by age`}
            maxHeight="22rem"
            rows={table}
            rowKey={({ year }) => year}
            columns={[
              { key: 'year', head: 'Age, years', numeric: true, cell: ({ year }) => formatNumber(year) },
              { key: 'sound', head: 'Still sound', numeric: true, cell: ({ survival }) => formatShare(survival) },
              { key: 'lower', head: '80 % from', numeric: true, cell: ({ lower }) => formatShare(lower) },
              { key: 'upper', head: 'to', numeric: true, cell: ({ upper }) => formatShare(upper) },
            ]}
          />
        </details>
      </figure>
      <dl className="facts">
        <dt>Median life</dt>
        <dd>{median}, 80 % interval</dd>
        <dt>Seals</dt>
        <dd>{formatNumber(life.observations)}</dd>
        <dt>Seen to fail</dt>
        <dd>{formatNumber(life.failures)}</dd>
        <dt>Before the data</dt>
        <dd>
          {life.priorMedianLifeYears === null
            ? 'no assumption was made'
            : `a median of ${formatNumber(life.priorMedianLifeYears, 1)} years was assumed`}
          {life.priorSource && <div className="soft">{life.priorSource}</div>}
        </dd>
        <dt>Share of data</dt>
        <dd>
          <DataShare share={life.dataShare} />
          <div className="soft">the rest is the assumption made before</div>
        </dd>
      </dl>
    </div>
  );
}

/** How much of an estimate is data. */
const DataShare = ({ share }: { share: number }) => (
  <span className="data-share">
    <span className="data-share-bar" aria-hidden="true">
      <span style={{ width: `${Math.min(1, Math.max(0, share)) * 100}%` }} />
    </span>
    {formatShare(share)}
  </span>
);

const LivesTable = ({ lives }: { lives: readonly ClassLife[] }) => (
  <DataTable
    caption="All classes in numbers"
    captionUnseen
    rows={lives}
    rowKey={({ sealantClass }) => sealantClass}
    columns={[
      { key: 'class', head: 'Sealant class', cell: nameOf },
      {
        key: 'median',
        head: 'Median life, years (80 % interval)',
        numeric: true,
        cell: ({ medianLifeYears }) => formatInterval(medianLifeYears, 1),
      },
      { key: 'seals', head: 'Seals', numeric: true, cell: ({ observations }) => formatNumber(observations) },
      { key: 'failures', head: 'Seen to fail', numeric: true, cell: ({ failures }) => formatNumber(failures) },
      {
        key: 'prior',
        head: 'Assumed before, years',
        numeric: true,
        cell: ({ priorMedianLifeYears }) =>
          priorMedianLifeYears === null ? NOT_KNOWN : formatNumber(priorMedianLifeYears, 1),
      },
      { key: 'data', head: 'Share of data', cell: ({ dataShare }) => <DataShare share={dataShare} /> },
    ]}
  />
);

/** The drawn curve at whole years, or at its own points where it has fewer. */
function yearlyCurve({ curve }: ClassLife, lastYear: number) {
  return curve.years
    .map((year, i) => ({ year, survival: curve.survival[i], lower: curve.lower[i], upper: curve.upper[i] }))
    .filter(({ year }) => year <= lastYear && Number.isInteger(Number(year.toFixed(6))));
}
