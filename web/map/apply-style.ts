import type { LayerSpecification, Map as MapLibreMap, StyleSpecification, VectorTileSource } from 'maplibre-gl';

const same = (a: unknown, b: unknown): boolean => a === b || JSON.stringify(a) === JSON.stringify(b);
const keysOf = (a: object = {}, b: object = {}) => new Set([...Object.keys(a), ...Object.keys(b)]);

/**
 * Brings a map from one style of ours to the next. The library's own comparison would walk the whole outline at every
 * step of the year slider; here a step costs a few paint properties.
 * @returns true when the whole style had to be set: the map is then not ready until its next `style.load`
 */
export function applyStyle(map: MapLibreMap, before: StyleSpecification, after: StyleSpecification): boolean {
  const layersBefore = before.layers.map(({ id }) => id);
  const layersAfter = after.layers.map(({ id }) => id);
  const sourcesBefore = Object.keys(before.sources);
  const sourcesAfter = Object.keys(after.sources);
  if (!same(layersBefore, layersAfter) || !same(sourcesBefore, sourcesAfter)) {
    map.setStyle(after, { diff: false });
    return true;
  }
  for (const name of sourcesAfter) applySource(map, name, before, after);
  for (const [i, layer] of after.layers.entries()) applyLayer(map, before.layers[i], layer);
  return false;
}

function applySource(map: MapLibreMap, name: string, before: StyleSpecification, after: StyleSpecification): void {
  const [old, next] = [before.sources[name], after.sources[name]];
  if (next.type === 'geojson') {
    const source = map.getSource(name);
    if (old.type === 'geojson' && old.data !== next.data && source && 'setData' in source) {
      (source as { setData: (data: unknown) => void }).setData(next.data);
    }
    return;
  }
  if (next.type !== 'vector' || old.type !== 'vector' || next.tiles === undefined || same(old.tiles, next.tiles))
    return;
  map.getSource<VectorTileSource>(name)?.setTiles(next.tiles);
}

function applyLayer(map: MapLibreMap, old: LayerSpecification, next: LayerSpecification): void {
  const { id } = next;
  const [paintOld, paintNext] = [old.paint ?? {}, next.paint ?? {}] as Record<string, unknown>[];
  for (const name of keysOf(paintOld, paintNext)) {
    if (!same(paintOld[name], paintNext[name])) map.setPaintProperty(id, name as never, paintNext[name] as never);
  }
  const [layoutOld, layoutNext] = [old.layout ?? {}, next.layout ?? {}] as Record<string, unknown>[];
  for (const name of keysOf(layoutOld, layoutNext)) {
    if (!same(layoutOld[name], layoutNext[name])) map.setLayoutProperty(id, name as never, layoutNext[name] as never);
  }
  if ('filter' in next && 'filter' in old && !same(old.filter, next.filter)) map.setFilter(id, next.filter ?? null);
}
