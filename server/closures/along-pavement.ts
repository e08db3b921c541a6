import type { PlannedWork } from './planned-work.ts';

type Placed = Pick<PlannedWork, 'segment'>;

/**
 * Segments of one facility in the order in which a crew meets them: by measure where every one has a measure, else along
 * the line on which their middles spread farthest.
 */
export function alongPavement<T extends Placed>(works: readonly T[]): T[] {
  const place = works.every(({ segment }) => segment.beginM !== null)
    ? ({ segment }: T) => segment.beginM ?? 0
    : alongAxis(works);
  return works
    .map((work) => ({ work, at: place(work) }))
    .sort((a, b) => a.at - b.at || (a.work.segment.id < b.work.segment.id ? -1 : 1))
    .map(({ work }) => work);
}

/** Place on the principal axis of the middles, from west to east (south to north where it runs north). */
function alongAxis<T extends Placed>(works: readonly T[]): (work: T) => number {
  const mean = (of: (work: T) => number) => works.reduce((sum, work) => sum + of(work), 0) / works.length;
  const [lon, lat] = [mean(({ segment }) => segment.lon), mean(({ segment }) => segment.lat)];
  const shrink = Math.cos((lat * Math.PI) / 180);
  const offset = ({ segment }: T) => ({ x: (segment.lon - lon) * shrink, y: segment.lat - lat });
  const xx = mean((work) => offset(work).x ** 2);
  const yy = mean((work) => offset(work).y ** 2);
  const xy = mean((work) => offset(work).x * offset(work).y);
  const angle = Math.atan2(2 * xy, xx - yy) / 2;
  return (work) => offset(work).x * Math.cos(angle) + offset(work).y * Math.sin(angle);
}
