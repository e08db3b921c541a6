/** Web Mercator (EPSG:3857) scaled to a world of 1 x 1, x to the east and y to the south. */
export const mercatorX = (lon: number): number => lon / 360 + 0.5;

export function mercatorY(lat: number): number {
  const sine = Math.min(Math.max(Math.sin((lat * Math.PI) / 180), -0.9999), 0.9999);
  return 0.5 - Math.log((1 + sine) / (1 - sine)) / (4 * Math.PI);
}

export const lonOfMercator = (x: number): number => (x - 0.5) * 360;

export const latOfMercator = (y: number): number => (Math.atan(Math.sinh(Math.PI * (1 - 2 * y))) * 180) / Math.PI;
