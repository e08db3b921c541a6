import { useState } from 'react';
import type { PickedFeature } from '../../map/features.ts';
import { formatCount, formatNumber, formatYear } from '../../state/format.ts';
import type { PlaceNames } from '../../state/place-names.ts';

interface Props {
  /** null until the map has come to rest for the first time. */ readonly features: readonly PickedFeature[] | null;
  readonly names: Readonly<Record<string, PlaceNames>>;
  readonly selectedId: string | null;
  readonly onChoose: (feature: PickedFeature) => void;
}

const SHOWN = 60;

/** What the map shows, as buttons in reading order: the way to choose a segment without a pointer. */
export function InViewList({ features: seen, names, selectedId, onChoose }: Props) {
  const features = seen ?? [];
  const [open, setOpen] = useState(false);
  const runs = features.some(({ kind }) => kind === 'run');
  const shown = features.slice(0, SHOWN);
  const count = formatCount(features.length, runs ? 'run of joints' : 'segment', runs ? 'runs of joints' : 'segments');
  return (
    <section className="map-panel in-view" aria-label="In view">
      <button type="button" className="button quiet" aria-expanded={open} onClick={() => setOpen(!open)}>
        {open ? 'Hide list' : 'List'}: {seen === null ? 'drawing…' : `${count} in view`}
      </button>
      <p className="unseen" role="status">
        {seen === null ? '' : `${count} in view`}
      </p>
      {open && (
        <>
          {runs && (
            <p className="small soft">
              From this far, neighbouring segments are drawn as one run. Choose a run to go closer.
            </p>
          )}
          <ul className="in-view-list">
            {shown.map((feature) => (
              <li key={`${feature.kind} ${feature.id}`}>
                <button
                  type="button"
                  className="in-view-item"
                  aria-pressed={feature.kind === 'segment' ? feature.id === selectedId : undefined}
                  onClick={() => onChoose(feature)}
                >
                  {feature.kind === 'segment' ? (
                    <span className="in-view-name">
                      <span className="code">{feature.id}</span>
                      <span className="soft in-view-place">{names[feature.facilityId]?.near}</span>
                    </span>
                  ) : (
                    <span className="in-view-name">{names[feature.facilityId]?.own ?? feature.facilityId}</span>
                  )}
                  <span className="soft figures">
                    {feature.kind === 'run' && `${formatNumber(feature.segments)} segments, `}
                    {feature.dueYear === null ? 'not due' : `due ${formatYear(feature.dueYear)}`}
                  </span>
                </button>
              </li>
            ))}
          </ul>
          {features.length > SHOWN && (
            <p className="small soft">
              The {SHOWN} that fall due first. Go closer, or use the Joints table, to see the rest.
            </p>
          )}
        </>
      )}
    </section>
  );
}
