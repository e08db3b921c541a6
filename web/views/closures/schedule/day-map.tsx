import { useQuery } from '@tanstack/react-query';
import { useEffect, useMemo, useRef, useState } from 'react';
import type { Closure } from '../../../../server/schemas/closures.ts';
import { fetchSegmentCard } from '../../../api/segments.ts';
import { tileUrl } from '../../../api/summary.ts';
import { boxOf, type PickedFeature, unite } from '../../../map/features.ts';
import type { Box, JointMap } from '../../../map/joint-map.ts';
import { NO_OUTLINE } from '../../../map/outline.ts';
import { rowIdOf } from '../../../state/closure-calendar.ts';
import { placeNames } from '../../../state/place-names.ts';
import { MapPlace, type MapScene } from '../../map/map-place.tsx';
import { outlineQuery } from '../../map/outline-query.ts';
import { useTheme, useUnits } from '../../shared/preferences.ts';
import { boundsQuery, facilitiesQuery, settingsQuery, versionQuery } from '../../shared/queries.ts';
import { Loading } from '../../shared/states.tsx';
import { useView } from '../../shared/url.tsx';

/** The network on one day: what is closed, and the segments worked on. */
export function DayMap({ closures }: { closures: readonly Closure[] }) {
  const scene = useScene(closures);
  const box = useDayBox(closures);
  const units = useUnits();
  const [, setMapView] = useView();
  const [hovered, setHovered] = useState<{ feature: PickedFeature; x: number; y: number } | null>(null);
  // Drawn once, the map is there to be moved.
  const [, setDrawn] = useState(false);
  if (!scene) return <Loading what="the map" />;
  return (
    <>
      <MapPlace
        scene={scene}
        units={units}
        camera={null}
        seeks={false}
        seekGeometry={null}
        legendOver={false}
        onRest={() => setDrawn(true)}
        onPick={(feature) => feature?.kind === 'segment' && setMapView({ segmentId: feature.id })}
        onHover={(feature, { x, y }) => setHovered(feature && { feature, x, y })}
      >
        {(_, map) => <GoTo map={map} box={box} />}
      </MapPlace>
      {hovered && (
        <div className="hover-note" style={{ left: hovered.x, top: hovered.y }} aria-hidden="true">
          <strong>{hovered.feature.kind === 'segment' ? hovered.feature.id : hovered.feature.facilityId}</strong>
          <span>{stateWords(hovered.feature, closures)}</span>
        </div>
      )}
    </>
  );
}

function useScene(closures: readonly Closure[]): MapScene | null {
  const { data: box } = useQuery(boundsQuery);
  const { data: version } = useQuery(versionQuery);
  const { data: settings } = useQuery(settingsQuery);
  const { data: facilities } = useQuery(facilitiesQuery);
  const { data: outline } = useQuery(outlineQuery);
  const [{ segmentId }] = useView();
  const theme = useTheme();
  return useMemo(() => {
    if (!box || !settings || !version) return null;
    const facilityIds = [...new Set(closures.filter(closesWhole).map(({ facilityId }) => facilityId))];
    const parts = [...new Set(closures.filter((closure) => !closesWhole(closure)).map(rowIdOf))];
    const segmentIds = closures.flatMap(({ works }) => works.map((work) => work.segmentId));
    return {
      box,
      wants: {
        tilesUrl: tileUrl(window.location.origin, {}, version.viewVersion),
        outline: outline?.states ?? NO_OUTLINE,
        outlineNames: outline?.names ?? NO_OUTLINE,
        baseMapUrl: settings.baseMapUrl,
        paint: {
          colourBy: 'due',
          yearOffset: 0,
          planningYear: 0,
          failureThresholdShare: settings.failureThresholdShare,
          theme,
        },
        closures: { facilityIds, parts, segmentIds, theme },
        selectedId: segmentId,
        placeNames: placeNames(facilities ?? []),
      },
    };
  }, [box, settings, version, facilities, outline, closures, segmentId, theme]);
}

/** Around the first and the last segment of each closure; null until known. */
function useDayBox(closures: readonly Closure[]): Box | null {
  const ends = closures
    .flatMap(({ works }) => [works[0], works[works.length - 1]])
    .filter((work) => work !== undefined);
  const ids = [...new Set(ends.map(({ segmentId }) => segmentId))].slice(0, 20).sort();
  const { data = null } = useQuery({
    queryKey: ['closure-day-box', ids],
    enabled: ids.length > 0,
    queryFn: async ({ signal }) => {
      const cards = await Promise.all(ids.map((id) => fetchSegmentCard(id, signal)));
      return cards.map(({ segment }) => boxOf(segment.geometry as GeoJSON.Geometry)).reduce(unite);
    },
  });
  return data;
}

/** Takes the map to a place when that changes; a place that is known before the map is made waits for it. */
function GoTo({ map, box }: { map: { readonly current: JointMap | null }; box: Box | null }) {
  const shown = useRef<Box | null>(null);
  useEffect(() => {
    if (!box || !map.current || shown.current === box) return;
    shown.current = box;
    map.current.fit(box, { maxZoom: 15, instant: true });
  });
  return null;
}

const closesWhole = ({ part }: Closure): boolean => !part || part.direction === 'both';

function stateWords(feature: PickedFeature, closures: readonly Closure[]): string {
  const here = closures.filter(({ facilityId }) => facilityId === feature.facilityId);
  if (here.length === 0) return 'Open on this day';
  if (here.some(({ works }) => works.some(({ segmentId }) => segmentId === feature.id))) return 'Closed, worked on';
  const direction = feature.kind === 'segment' ? feature.direction : null;
  if (here.some(closesWhole) || here.some(({ part }) => part?.direction === direction)) return 'Closed on this day';
  const named = [...new Set(here.flatMap(({ part }) => part?.name ?? []))].join('; ');
  return direction === null || direction === 'both' ? `Closed in part: ${named}` : `Open; closed is ${named}`;
}
