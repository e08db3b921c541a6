import { feature } from 'topojson-client';
import type { GeometryCollection, Topology } from 'topojson-specification';
import statesUrl from 'us-atlas/states-10m.json?url';

/** Outline of the states, from a package of open census data, so that the map needs no network. */
export async function fetchOutline(signal?: AbortSignal): Promise<GeoJSON.FeatureCollection> {
  const response = await fetch(statesUrl, { signal });
  if (!response.ok) throw new Error(`The outline of the map could not be read (${response.status}).`);
  const topology = (await response.json()) as Topology<{ states: GeometryCollection }>;
  return feature(topology, topology.objects.states);
}

/** A point for each state's name: the centroid of its largest part. */
export function namePoints(outline: GeoJSON.FeatureCollection): GeoJSON.FeatureCollection {
  const features = outline.features.flatMap(({ geometry, properties }): GeoJSON.Feature[] => {
    const rings =
      geometry.type === 'Polygon'
        ? [geometry.coordinates[0]]
        : geometry.type === 'MultiPolygon'
          ? geometry.coordinates.map(([outer]) => outer)
          : [];
    const largest = rings.map(ringCentre).sort((a, b) => b.area - a.area)[0];
    if (!largest) return [];
    const point: GeoJSON.Point = { type: 'Point', coordinates: [largest.lon, largest.lat] };
    return [{ type: 'Feature', properties: { name: properties?.name }, geometry: point }];
  });
  return { type: 'FeatureCollection', features };
}

/** Area centroid of a closed ring in degrees (surveyor's formula). */
function ringCentre(ring: GeoJSON.Position[]): { lon: number; lat: number; area: number } {
  let [twiceArea, lon, lat] = [0, 0, 0];
  for (let i = 0; i + 1 < ring.length; i++) {
    const [[x0, y0], [x1, y1]] = [ring[i], ring[i + 1]];
    const cross = x0 * y1 - x1 * y0;
    twiceArea += cross;
    lon += (x0 + x1) * cross;
    lat += (y0 + y1) * cross;
  }
  return { lon: lon / (3 * twiceArea), lat: lat / (3 * twiceArea), area: Math.abs(twiceArea) / 2 };
}

export const NO_OUTLINE: GeoJSON.FeatureCollection = { type: 'FeatureCollection', features: [] };
