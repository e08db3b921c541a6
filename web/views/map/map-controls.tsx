import { useId, useState } from 'react';
import { colourGradient, OFF_SCALE } from '../../map/colour-scale.ts';
import { formatShare } from '../../state/format.ts';
import { HORIZON_YEARS, type View } from '../../state/view.ts';
import { Switch } from '../shared/controls.tsx';
import { ModelVersionNote } from '../shared/model-version-note.tsx';
import { useTheme } from '../shared/preferences.ts';
import type { ViewChange } from '../shared/url.tsx';

interface Props {
  readonly view: View;
  readonly setView: ViewChange;
  readonly planningYear: number;
  readonly offset: number;
  readonly threshold: number;
}

/** What the colours stand for, the year they stand for, and the key to both. */
export function MapControls({ view, setView, planningYear, offset, threshold }: Props) {
  const [open, setOpen] = useState(() => window.innerWidth > 760);
  const bodyId = useId();
  return (
    <section className="map-panel" aria-label="Colours and key">
      <div className="map-panel-head">
        <h2>{view.colourBy === 'due' ? 'Year of resealing' : `Failed by end of ${planningYear + offset}`}</h2>
        <button
          type="button"
          className="button quiet"
          aria-expanded={open}
          aria-controls={bodyId}
          onClick={() => setOpen(!open)}
        >
          {open ? 'Fold' : 'Key'}
        </button>
      </div>
      {view.colourBy === 'due' ? <DueScale planningYear={planningYear} /> : <FailedScale />}
      {open && (
        <div id={bodyId} className="stack" style={{ gap: 'var(--space-3)' }}>
          <Switch
            label="Colour by"
            value={view.colourBy}
            onChange={(colourBy) => setView({ colourBy })}
            choices={[
              { value: 'due', label: 'Resealing year' },
              { value: 'failed', label: 'Failed by year' },
            ]}
          />
          {view.colourBy === 'failed' && <YearSlider {...{ setView, planningYear, offset }} />}
          <LineKey colourBy={view.colourBy} threshold={threshold} />
          <ModelVersionNote />
        </div>
      )}
    </section>
  );
}

function YearSlider({ setView, planningYear, offset }: Pick<Props, 'setView' | 'planningYear' | 'offset'>) {
  const id = useId();
  return (
    <div className="field">
      <label htmlFor={id}>
        By the end of <output className="figures">{planningYear + offset}</output>
      </label>
      <input
        id={id}
        type="range"
        min={planningYear}
        max={planningYear + HORIZON_YEARS}
        step={1}
        value={planningYear + offset}
        onChange={(event) => setView({ year: Number(event.target.value) }, { replace: true })}
      />
      <span className="scale-words figures" aria-hidden="true">
        <span>{planningYear}</span>
        <span>{planningYear + HORIZON_YEARS}</span>
      </span>
    </div>
  );
}

function DueScale({ planningYear }: { planningYear: number }) {
  const theme = useTheme();
  return (
    <div>
      <div className="scale-bar" style={{ background: colourGradient('due', theme, true) }} />
      <div className="scale-words figures">
        {[0, 5, 10, 15, 20].map((years) => (
          <span key={years}>{planningYear + years}</span>
        ))}
      </div>
    </div>
  );
}

function FailedScale() {
  const theme = useTheme();
  return (
    <div>
      <div className="scale-bar" style={{ background: colourGradient('failed', theme, false) }} />
      <div className="scale-words figures">
        {[0, 0.25, 0.5, 0.75, 1].map((share) => (
          <span key={share}>{share * 100}&nbsp;%</span>
        ))}
      </div>
    </div>
  );
}

function LineKey({ colourBy, threshold }: { colourBy: View['colourBy']; threshold: number }) {
  const off = OFF_SCALE[useTheme()];
  return (
    <ul className="line-key">
      <li>
        <KeyLine width={4} /> Sound when last seen, or never inspected
      </li>
      <li>
        <KeyLine width={8} dash="9 4" /> Distressed when last seen: {formatShare(threshold)} of length damaged or more
        (from afar: a quarter of a run's length)
      </li>
      {colourBy === 'due' && (
        <li>
          <KeyLine width={4} colour={off.beyond} /> Not due within {HORIZON_YEARS} years
        </li>
      )}
      <li>
        <KeyDots colour={off.unsealed} /> Unsealed by policy
      </li>
      <li>
        <KeyLine width={4} colour={off.none} /> No forecast
      </li>
    </ul>
  );
}

function KeyLine({ width, dash, colour = 'var(--accent)' }: { width: number; dash?: string; colour?: string }) {
  return (
    <svg width="34" height="12" viewBox="0 0 34 12" aria-hidden="true">
      <path d="M1 6h32" stroke="var(--map-casing)" strokeWidth={width + 2} />
      <path d="M1 6h32" stroke="var(--map-gap)" strokeWidth={width} />
      <path d="M1 6h32" stroke={colour} strokeWidth={width} strokeDasharray={dash} />
    </svg>
  );
}

const KeyDots = ({ colour }: { colour: string }) => (
  <svg width="34" height="12" viewBox="0 0 34 12" aria-hidden="true">
    <path d="M3 6h30" stroke={colour} strokeWidth="3" strokeLinecap="round" strokeDasharray="0.1 6.9" />
  </svg>
);
