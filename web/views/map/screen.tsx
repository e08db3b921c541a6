import { usePrefetchQuery, useQuery } from '@tanstack/react-query';
import { useMemo, useState } from 'react';
import { tileUrl } from '../../api/summary.ts';
import { distinctFeatures, type PickedFeature } from '../../map/features.ts';
import { NO_OUTLINE } from '../../map/outline.ts';
import { type PlaceNames, placeNames } from '../../state/place-names.ts';
import { yearOffset } from '../../state/view.ts';
import { LazySegmentPanel } from '../card/lazy-panel.tsx';
import { usePageTitle } from '../shared/page.tsx';
import { useTheme, useUnits } from '../shared/preferences.ts';
import {
  boundsQuery,
  facilitiesQuery,
  modelQuery,
  segmentCardQuery,
  settingsQuery,
  versionQuery,
} from '../shared/queries.ts';
import { Empty, Failure, Loading } from '../shared/states.tsx';
import { Link, useFilter, useView } from '../shared/url.tsx';
import { HoverNote } from './hover-note.tsx';
import { InViewList } from './in-view-list.tsx';
import { MapControls } from './map-controls.tsx';
import { MapPlace, type MapScene } from './map-place.tsx';
import { outlineQuery } from './outline-query.ts';
import { usePlanningYear } from './use-planning-year.ts';
import './map.css';

/** The network on a map, with its legend, what is in view as a list, and the card of the chosen segment. */
export function MapScreen() {
  usePageTitle('Map');
  const bounds = useQuery(boundsQuery);
  const version = useQuery(versionQuery);
  const settings = useQuery(settingsQuery);
  // Asked for at once: what draws the map would ask for them only when it has these.
  usePrefetchQuery(outlineQuery);
  usePrefetchQuery(modelQuery);
  usePrefetchQuery(facilitiesQuery);
  return (
    <>
      <h1 className="unseen">Map of the joints</h1>
      {body()}
    </>
  );

  function body() {
    const failed = [bounds, version, settings].find(({ isError, data }) => isError && data === undefined);
    if (failed) return <Failure what="the map" error={failed.error} retry={() => void failed.refetch()} />;
    if (bounds.data === undefined || !version.data || !settings.data) return <Loading what="the map" />;
    if (bounds.data === null) return <NoNetwork />;
    return <NetworkMap box={bounds.data} viewVersion={version.data.viewVersion} settings={settings.data} />;
  }
}

function NoNetwork() {
  return (
    <Empty
      title="No joints yet"
      action={
        <Link className="button primary" href="/data">
          Load your files
        </Link>
      }
    >
      <p>
        The map draws the segments of your inventory. Load facilities and segments first, then seals and inspections.
      </p>
    </Empty>
  );
}

function NetworkMap({
  box,
  viewVersion,
  settings,
}: Pick<MapScene, 'box'> & {
  viewVersion: string | number;
  settings: { failureThresholdShare: number; baseMapUrl: string | null };
}) {
  const [filter] = useFilter();
  const [view, setView] = useView();
  const units = useUnits();
  const theme = useTheme();
  const planningYear = usePlanningYear();
  const names = usePlaceNames();
  const outline = useQuery(outlineQuery);
  const card = useQuery({ ...segmentCardQuery(view.segmentId ?? ''), enabled: view.segmentId !== null });
  const [inView, setInView] = useState<readonly PickedFeature[] | null>(null);
  const [hovered, setHovered] = useState<{ feature: PickedFeature; x: number; y: number } | null>(null);
  const offset = yearOffset(view.year, planningYear);

  const scene = useMemo<MapScene>(
    () => ({
      box,
      wants: {
        tilesUrl: tileUrl(window.location.origin, filter, viewVersion),
        outline: outline.data?.states ?? NO_OUTLINE,
        outlineNames: outline.data?.names ?? NO_OUTLINE,
        baseMapUrl: settings.baseMapUrl,
        paint: {
          colourBy: view.colourBy,
          yearOffset: offset,
          planningYear,
          failureThresholdShare: settings.failureThresholdShare,
          theme,
        },
        selectedId: view.segmentId,
        placeNames: names,
      },
    }),
    [
      box,
      filter,
      viewVersion,
      outline.data,
      settings,
      view.colourBy,
      view.segmentId,
      offset,
      planningYear,
      theme,
      names,
    ],
  );
  const choose = (feature: PickedFeature | null) => {
    if (feature === null) setView({ segmentId: null });
    if (feature?.kind === 'segment') setView({ segmentId: feature.id });
  };

  return (
    <div className="map-screen">
      <div className="map-stage">
        <MapPlace
          scene={scene}
          units={units}
          camera={view.camera}
          seeks={view.segmentId !== null}
          seekGeometry={card.data?.segment.geometry ?? null}
          onRest={(camera, features) => {
            setView({ camera }, { replace: true });
            setInView(distinctFeatures(features));
          }}
          onPick={choose}
          onHover={(feature, { x, y }) => setHovered(feature && { feature, x, y })}
        >
          {(goTo) => (
            <div className="map-side">
              <MapControls
                view={view}
                setView={setView}
                planningYear={planningYear}
                offset={offset}
                threshold={settings.failureThresholdShare}
              />
              <InViewList
                features={inView}
                names={names}
                selectedId={view.segmentId}
                onChoose={(feature) => (feature.kind === 'run' ? goTo(feature.box) : choose(feature))}
              />
            </div>
          )}
        </MapPlace>
        {hovered && <HoverNote {...hovered} names={names} planningYear={planningYear} offset={offset} />}
      </div>
      {view.segmentId !== null && (
        <LazySegmentPanel segmentId={view.segmentId} onClose={() => setView({ segmentId: null })} />
      )}
    </div>
  );
}

function usePlaceNames(): Readonly<Record<string, PlaceNames>> {
  const { data } = useQuery(facilitiesQuery);
  return useMemo(() => placeNames(data ?? []), [data]);
}
