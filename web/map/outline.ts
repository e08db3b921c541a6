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

export const NO_OUTLINE: GeoJSON.FeatureCollection = { type: 'FeatureCollection', features: [] };
