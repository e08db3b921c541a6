import { useQuery } from '@tanstack/react-query';
import { useMemo, useState } from 'react';
import type { Facility } from '../../../../server/schemas/facility.ts';
import { fetchFacilityPlaces } from '../../../api/facilities.ts';
import { tileUrl } from '../../../api/summary.ts';
import type { Box } from '../../../map/joint-map.ts';
import { NO_OUTLINE } from '../../../map/outline.ts';
import type { PairPaint } from '../../../map/pair-layers.ts';
import { placeNames } from '../../../state/place-names.ts';
import '../../map/map.css';
import { MapPlace, type MapScene } from '../../map/map-place.tsx';
import { outlineQuery } from '../../map/outline-query.ts';
import { usePlanningYear } from '../../map/use-planning-year.ts';
import { useTheme, useUnits } from '../../shared/preferences.ts';
import { boundsQuery, settingsQuery, versionQuery } from '../../shared/queries.ts';
import { Loading } from '../../shared/states.tsx';
import type { RulesProps } from './rules-props.ts';

/** Room around the middles of facilities, degrees: a long runway reaches about this far from its own. */
const ROOM_LON = 0.014;
const ROOM_LAT = 0.008;

/** The facilities of the plan on the map, with an edge between those that depend on one another. */
export function PairMap({
  draft,
  facilities,
  inPlan,
  nameOf,
  chosenId,
  onChoose,
}: RulesProps & { chosenId: string | null; onChoose: (facilityId: string | null) => void }) {
  const { data: settings } = useQuery(settingsQuery);
  const { data: version } = useQuery(versionQuery);
  const { data: outline } = useQuery(outlineQuery);
  const { data: whole } = useQuery(boundsQuery);
  const { data: places } = useQuery({
    queryKey: ['facility-places', version?.dataVersion],
    queryFn: ({ signal }) => fetchFacilityPlaces(signal),
  });
  const planningYear = usePlanningYear();
  const theme = useTheme();
  const units = useUnits();
  const [hovered, setHovered] = useState<{ name: string; x: number; y: number } | null>(null);
  const names = useMemo(() => placeNames(facilities), [facilities]);
  const { exclusions, safetyAreas } = draft.rules;
  const pairs = useMemo<PairPaint>(
    () => ({
      places: (places ?? []).flatMap((place) =>
        inPlan.some(({ id }) => id === place.facilityId) || place.facilityId === chosenId
          ? [{ ...place, name: names[place.facilityId]?.near ?? place.facilityId }]
          : [],
      ),
      edges: [
        ...exclusions.map(({ facilityIds: [from, to] }) => ({ kind: 'excludes', from, to }) as const),
        ...safetyAreas.map(
          ({ facilityId, needsClosed }) => ({ kind: 'needs', from: facilityId, to: needsClosed }) as const,
        ),
      ],
      chosenId,
      theme,
    }),
    [places, inPlan, names, exclusions, safetyAreas, chosenId, theme],
  );
  const home = useMemo(() => boxAround(pairs, airfield(inPlan)) ?? whole ?? null, [pairs, inPlan, whole]);
  const scene = useMemo<MapScene | null>(() => {
    if (!settings || !version || !places || !home) return null;
    return {
      box: home as Box,
      wants: {
        tilesUrl: tileUrl(window.location.origin, {}, version.viewVersion),
        outline: outline?.states ?? NO_OUTLINE,
        outlineNames: outline?.names ?? NO_OUTLINE,
        baseMapUrl: settings.baseMapUrl,
        paint: {
          ...{ colourBy: 'due', yearOffset: 0, planningYear, theme },
          failureThresholdShare: settings.failureThresholdShare,
        },
        pairs,
        selectedId: null,
        placeNames: names,
      },
    };
  }, [settings, version, places, outline, home, planningYear, theme, pairs, names]);
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
        opensRuns={false}
        homeLabel="This plan"
        onRest={() => undefined}
        onPick={(feature) => onChoose(feature?.facilityId ?? null)}
        onHover={(feature, point) => setHovered(feature && { name: nameOf(feature.facilityId), ...point })}
      >
        {() => null}
      </MapPlace>
      {hovered && (
        <div className="hover-note" style={{ left: hovered.x, top: hovered.y }} aria-hidden="true">
          <strong>{hovered.name}</strong>
        </div>
      )}
    </>
  );
}

const airfield = (facilities: readonly Facility[]): string[] =>
  facilities.filter(({ kind }) => kind === 'runway' || kind === 'taxiway' || kind === 'apron').map(({ id }) => id);

/** Around the facilities that depend on one another and those of airfields; without such, around all that are shown. */
function boxAround({ places, edges }: PairPaint, airfieldIds: readonly string[]): Box | null {
  const near = new Set([...edges.flatMap(({ from, to }) => [from, to]), ...airfieldIds]);
  const among = places.filter(({ facilityId }) => near.has(facilityId));
  const shown = among.length > 0 ? among : places;
  if (shown.length === 0) return null;
  const [lons, lats] = [shown.map(({ lon }) => lon), shown.map(({ lat }) => lat)];
  return [
    Math.min(...lons) - ROOM_LON,
    Math.min(...lats) - ROOM_LAT,
    Math.max(...lons) + ROOM_LON,
    Math.max(...lats) + ROOM_LAT,
  ];
}
