import { useQuery } from '@tanstack/react-query';
import { type RefObject, useEffect, useMemo, useState } from 'react';
import type { Program } from '../../../../server/schemas/program.ts';
import { programTileUrl } from '../../../api/scenarios.ts';
import type { PickedFeature } from '../../../map/features.ts';
import type { JointMap } from '../../../map/joint-map.ts';
import { NO_OUTLINE } from '../../../map/outline.ts';
import { formatCount, formatLength } from '../../../state/format.ts';
import { placeNames } from '../../../state/place-names.ts';
import { workYears } from '../../../state/work-years.ts';
import { MapPlace, type MapScene } from '../../map/map-place.tsx';
import { outlineQuery } from '../../map/outline-query.ts';
import { useTheme, useUnits } from '../../shared/preferences.ts';
import { boundsQuery, facilitiesQuery, segmentCardQuery, settingsQuery, versionQuery } from '../../shared/queries.ts';
import { Loading } from '../../shared/states.tsx';
import { useView } from '../../shared/url.tsx';
import type { MapMode } from './where-and-when.tsx';

interface Props {
  readonly program: Program;
  readonly mode: MapMode;
  readonly year: number;
  /** Given the map, for a picture of it. */ readonly handle: RefObject<JointMap | null>;
}

/** The network with the work of a program on it. */
export function ProgramMap({ program, mode, year, handle }: Props) {
  const { data: box } = useQuery(boundsQuery);
  const { data: version } = useQuery(versionQuery);
  const { data: settings } = useQuery(settingsQuery);
  const { data: facilities } = useQuery(facilitiesQuery);
  const { data: outline } = useQuery(outlineQuery);
  const [{ segmentId, camera }, setMapView] = useView();
  const card = useQuery({ ...segmentCardQuery(segmentId ?? ''), enabled: segmentId !== null });
  const [hovered, setHovered] = useState<{ feature: PickedFeature; x: number; y: number } | null>(null);
  const units = useUnits();
  const theme = useTheme();
  const names = useMemo(() => placeNames(facilities ?? []), [facilities]);
  const firstYear = program.years[0].year;
  const years = program.years.length;
  const made = `${version?.viewVersion ?? ''}.${program.scenarioRevision}.${program.objective}`;
  const scene = useMemo<MapScene | null>(() => {
    if (!box || !settings || !version) return null;
    const yearOffset = year - firstYear;
    return {
      box,
      wants: {
        tilesUrl: programTileUrl(window.location.origin, program.scenarioId, made),
        outline: outline?.states ?? NO_OUTLINE,
        outlineNames: outline?.names ?? NO_OUTLINE,
        baseMapUrl: settings.baseMapUrl,
        paint: {
          colourBy: 'due',
          yearOffset: 0,
          planningYear: firstYear,
          failureThresholdShare: settings.failureThresholdShare,
          theme,
        },
        program: { mode, yearOffset, years, theme },
        selectedId: segmentId,
        placeNames: names,
      },
    };
  }, [
    box,
    settings,
    version,
    program.scenarioId,
    made,
    outline,
    mode,
    year,
    firstYear,
    years,
    theme,
    segmentId,
    names,
  ]);
  if (!scene) return <Loading what="the map" />;
  const choose = (feature: PickedFeature | null) => {
    if (feature === null) setMapView({ segmentId: null });
    if (feature?.kind === 'segment') setMapView({ segmentId: feature.id });
  };
  return (
    <>
      <MapPlace
        scene={scene}
        units={units}
        camera={camera}
        seeks={segmentId !== null}
        seekGeometry={card.data?.segment.geometry ?? null}
        legendOver={false}
        onRest={(next) => setMapView({ camera: next }, { replace: true })}
        onPick={choose}
        onHover={(feature, { x, y }) => setHovered(feature && { feature, x, y })}
      >
        {(_, map) => <Handle map={map} handle={handle} />}
      </MapPlace>
      {hovered && (
        <div className="hover-note" style={{ left: hovered.x, top: hovered.y }} aria-hidden="true">
          <strong>
            {hovered.feature.kind === 'segment'
              ? hovered.feature.id
              : (names[hovered.feature.facilityId]?.own ?? hovered.feature.facilityId)}
          </strong>
          <span>
            {hovered.feature.kind === 'run' && `${formatCount(hovered.feature.segments, 'segment')}, `}
            {formatLength(hovered.feature.lengthM, units)} of joint
          </span>
          <span>{workWords(hovered.feature, firstYear)}</span>
        </div>
      )}
    </>
  );
}

/** Hands the map on to the buttons outside it. */
function Handle({ map, handle }: { map: { readonly current: JointMap | null }; handle: RefObject<JointMap | null> }) {
  useEffect(() => {
    handle.current = map.current;
    return () => {
      handle.current = null;
    };
  });
  return null;
}

function workWords({ kind, workByYear }: PickedFeature, firstYear: number): string {
  const years = workYears(workByYear, firstYear);
  if (years.length === 0) return 'Not resealed within the horizon';
  return `${kind === 'run' ? 'Parts resealed' : 'Resealed'} in ${years.join(', ')}`;
}
