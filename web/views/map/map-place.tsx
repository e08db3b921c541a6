import { type ReactNode, useEffect, useRef, useState } from 'react';
import type { LineGeometry } from '../../../server/schemas/segment.ts';
import { boxOf, type PickedFeature } from '../../map/features.ts';
import { type Box, createJointMap, type JointMap, type MapEvents } from '../../map/joint-map.ts';
import { SEGMENT_ZOOM, type StyleWants } from '../../map/layers.ts';
import type { Units } from '../../state/units.ts';
import type { Camera } from '../../state/view.ts';
import { Banner } from '../shared/states.tsx';

export interface MapScene {
  /** The whole network. */ readonly box: Box;
  readonly wants: StyleWants;
}

interface Props extends Pick<MapEvents, 'onRest' | 'onPick' | 'onHover'> {
  readonly scene: MapScene;
  readonly units: Units;
  readonly camera: Camera | null;
  /** A segment was chosen before the map was there (a link from the table): its line, to be gone to once. */
  readonly seeks: boolean;
  readonly seekGeometry: LineGeometry | null;
  /** A legend lies over part of the map. */ readonly legendOver?: boolean;
  /** A press on a run goes closer until its segments are drawn; else it is told like any other. */
  readonly opensRuns?: boolean;
  /** What the scene's box holds, on the button that goes back to it. */ readonly homeLabel?: string;
  readonly children: (goTo: (box: Box) => void, map: { readonly current: JointMap | null }) => ReactNode;
}

/** Where the map hangs in the page: makes it once, then tells it what changed. */
export function MapPlace(props: Props) {
  const {
    scene,
    units,
    camera,
    seeks,
    seekGeometry,
    legendOver = true,
    children,
    opensRuns = true,
    homeLabel = 'Whole network',
    onRest,
    onPick,
    onHover,
  } = props;
  const place = useRef<HTMLDivElement>(null);
  const map = useRef<JointMap | null>(null);
  const [trouble, setTrouble] = useState<string | null>(null);
  const start = useRef({ scene, camera, legendOver });
  const seeking = useRef(seeks && camera === null);
  const closer = (box: Box) => map.current?.fit(box, { minZoom: SEGMENT_ZOOM + 0.3, maxZoom: 15 });
  const pick = (feature: PickedFeature | null) => {
    // A run is many segments: choosing one goes closer until its segments are drawn.
    if (feature?.kind === 'run' && opensRuns) closer(feature.box);
    else onPick(feature);
  };
  const events = useRef<MapEvents>({ onRest, onPick: pick, onHover, onTrouble: setTrouble });
  useEffect(() => {
    events.current = { onRest, onPick: pick, onHover, onTrouble: setTrouble };
  });

  useEffect(() => {
    if (!place.current) return;
    const { scene: first, ...view } = start.current;
    const made = createJointMap(
      place.current,
      { wants: first.wants, ...view },
      {
        onRest: (...args) => {
          setTrouble(null);
          events.current.onRest(...args);
        },
        onPick: (feature) => events.current.onPick(feature),
        onHover: (...args) => events.current.onHover(...args),
        onTrouble: (message) => events.current.onTrouble(message),
      },
    );
    if (view.camera === null) made.fit(first.box, { instant: true });
    map.current = made;
    return () => {
      made.remove();
      map.current = null;
    };
  }, []);

  useEffect(() => map.current?.show(scene.wants), [scene.wants]);
  useEffect(() => map.current?.setUnits(units), [units]);
  useEffect(() => {
    if (!seekGeometry || !seeking.current) return;
    seeking.current = false;
    map.current?.fit(boxOf(seekGeometry as GeoJSON.Geometry), { maxZoom: 15.5, instant: true });
  }, [seekGeometry]);

  return (
    <>
      <div ref={place} className="map-canvas" />
      {trouble && (
        <div className="map-trouble">
          <Banner kind="caution">Part of the map could not be drawn: {trouble}</Banner>
        </div>
      )}
      {children(closer, map)}
      <button type="button" className="button map-home" onClick={() => map.current?.fit(scene.box)}>
        {homeLabel}
      </button>
    </>
  );
}
