import {
  AttributionControl,
  type MapGeoJSONFeature,
  Map as MapLibreMap,
  NavigationControl,
  ScaleControl,
  setWorkerUrl,
} from 'maplibre-gl';
import workerUrl from 'maplibre-gl/dist/maplibre-gl-worker.mjs?worker&url';
import 'maplibre-gl/dist/maplibre-gl.css';
import type { Units } from '../state/units.ts';
import type { Camera } from '../state/view.ts';
import { applyStyle } from './apply-style.ts';
import { type PickedFeature, readFeature } from './features.ts';
import { JOINTS, mapStyle, PICKED_LAYERS, type StyleWants } from './layers.ts';

setWorkerUrl(workerUrl);

export type Box = readonly [west: number, south: number, east: number, north: number];

export interface MapEvents {
  /** The view came to rest: where it is, and what is in it. */
  readonly onRest: (camera: Camera, inView: readonly PickedFeature[]) => void;
  readonly onPick: (feature: PickedFeature | null) => void;
  readonly onHover: (feature: PickedFeature | null, point: { x: number; y: number }) => void;
  readonly onTrouble: (message: string) => void;
}

export interface JointMap {
  readonly show: (wants: StyleWants) => void;
  readonly fit: (box: Box, options?: { minZoom?: number; maxZoom?: number; instant?: boolean }) => void;
  readonly jump: (camera: Camera) => void;
  readonly setUnits: (units: Units) => void;
  /** The map as it stands, as PNG. */ readonly picture: () => Promise<Blob | null>;
  readonly remove: () => void;
}

export interface MapStart {
  readonly wants: StyleWants;
  /** null: the whole network is fitted in afterwards. */ readonly camera: Camera | null;
  /** A legend lies over part of the map, which is kept free. */ readonly legendOver: boolean;
}

const HIT_PX = 6;
/** Mark of the browser's timeline: all lines of the view are on the screen. For those who measure how long people wait. */
const LINES_DRAWN = 'map-lines-drawn';
const EVEN_ROOM = { top: 36, right: 56, bottom: 36, left: 36 };
const LOCALE = {
  'Map.Title':
    'Map of joint segments. Arrow keys move it, plus and minus zoom. The list of what is in view is beside it.',
  'NavigationControl.ZoomIn': 'Zoom in',
  'NavigationControl.ZoomOut': 'Zoom out',
};

/** A map in a place of the page. Nothing outside this folder knows which library draws it. */
export function createJointMap(
  place: HTMLElement,
  { wants: start, camera, legendOver }: MapStart,
  events: MapEvents,
): JointMap {
  const map = new MapLibreMap({
    container: place,
    style: mapStyle(start),
    center: camera ? [camera.lon, camera.lat] : [-96, 38.5],
    zoom: camera?.zoom ?? 3.4,
    maxZoom: 20,
    attributionControl: false,
    dragRotate: false,
    pitchWithRotate: false,
    maxPitch: 0,
    locale: LOCALE,
    // Lines are thin and must not shimmer while the map is moved.
    canvasContextAttributes: { antialias: true },
    fadeDuration: window.matchMedia('(prefers-reduced-motion: reduce)').matches ? 0 : 150,
  });
  map.touchZoomRotate.disableRotation();
  map.keyboard.disableRotation();
  map.addControl(new NavigationControl({ showCompass: false }), 'top-right');
  map.addControl(new AttributionControl({ compact: true }), 'bottom-right');
  const scale = new ScaleControl({ maxWidth: 120 });
  map.addControl(scale, 'bottom-right');
  listen(map, events);
  return {
    show: styleKeeper(map, start),
    fit: ([west, south, east, north], { minZoom = 0, maxZoom = 15, instant = false } = {}) => {
      const camera = map.cameraForBounds([west, south, east, north], {
        padding: legendOver ? roomAround(place) : EVEN_ROOM,
        maxZoom,
      });
      if (!camera) return;
      const move = { ...camera, zoom: Math.max(minZoom, camera.zoom ?? minZoom) };
      if (instant) map.jumpTo(move);
      else map.easeTo({ ...move, duration: 600 });
    },
    jump: ({ lon, lat, zoom }) => map.jumpTo({ center: [lon, lat], zoom }),
    setUnits: (units) => scale.setUnit(units === 'us' ? 'imperial' : 'metric'),
    picture: () => pictureOf(map),
    remove: () => map.remove(),
  };
}

/** The drawing is only there to be read while a frame is being made. */
const pictureOf = (map: MapLibreMap): Promise<Blob | null> =>
  new Promise((resolve) => {
    map.once('render', () => map.getCanvas().toBlob(resolve, 'image/png'));
    map.triggerRepaint();
  });

/** Changes the style when the map can take it; while a style is being set up, the newest wish waits. */
function styleKeeper(map: MapLibreMap, start: StyleWants): (wants: StyleWants) => void {
  let shown = mapStyle(start);
  let ready = false;
  let waiting: StyleWants | null = null;
  const show = (wants: StyleWants) => {
    if (!ready) {
      waiting = wants;
      return;
    }
    const next = mapStyle(wants);
    ready = !applyStyle(map, shown, next);
    shown = next;
  };
  map.on('style.load', () => {
    ready = true;
    const wants = waiting;
    waiting = null;
    if (wants) show(wants);
  });
  return show;
}

/** The legend lies over the left of a wide map and over the top of a narrow one. */
const roomAround = (place: HTMLElement) =>
  place.clientWidth > 760
    ? { top: 48, right: 64, bottom: 48, left: 344 }
    : { top: 172, right: 36, bottom: 76, left: 36 };

function listen(map: MapLibreMap, events: MapEvents): void {
  const pickable = () => PICKED_LAYERS.filter((layer) => map.getLayer(layer));
  const near = ({ x, y }: { x: number; y: number }): MapGeoJSONFeature | undefined =>
    map.queryRenderedFeatures(
      [
        [x - HIT_PX, y - HIT_PX],
        [x + HIT_PX, y + HIT_PX],
      ],
      { layers: pickable() },
    )[0];

  map.on('click', ({ point }) => {
    const hit = near(point);
    events.onPick(hit ? readFeature(hit) : null);
  });
  map.on('mousemove', ({ point }) => {
    const hit = near(point);
    map.getCanvas().style.cursor = hit ? 'pointer' : '';
    events.onHover(hit ? readFeature(hit) : null, point);
  });
  map.on('mouseout', () => events.onHover(null, { x: 0, y: 0 }));
  map.on('idle', () => {
    const { lng, lat } = map.getCenter();
    const layers = pickable();
    const inView = layers.length > 0 ? map.queryRenderedFeatures({ layers }).map(readFeature) : [];
    events.onRest({ lon: lng, lat, zoom: map.getZoom() }, inView);
  });
  let drawn = false;
  map.on('render', () => {
    const before = drawn;
    drawn = map.getSource(JOINTS) !== undefined && map.isSourceLoaded(JOINTS);
    if (drawn && !before) performance.mark(LINES_DRAWN);
  });
  map.on('error', ({ error }) => events.onTrouble(error.message));
}
