import type { Direction } from '../server/schemas/words.ts';
import type { Centreline } from './centreline.ts';
import type { SegmentDraft } from './segment-record.ts';

type Lanes = Pick<SegmentDraft, 'direction' | 'firstLane' | 'lastLane'>;

/** Traffic along a route, as signed: by the quarter of the compass in which its end lies from its beginning. */
function signedDirection({ lengthM, at }: Centreline): Direction {
  const [from, to] = [at(0, 0), at(lengthM, 0)];
  const [east, north] = [to.x - from.x, to.y - from.y];
  if (Math.abs(east) > Math.abs(north)) return east > 0 ? 'eastbound' : 'westbound';
  return north > 0 ? 'northbound' : 'southbound';
}

const OPPOSITE: Partial<Record<Direction, Direction>> = {
  ...{ northbound: 'southbound', southbound: 'northbound', eastbound: 'westbound', westbound: 'eastbound' },
};

/** Direction and lanes of the joints of a route, driven on the right; lane 1 of each direction lies along the centreline. */
export class Carriageway {
  readonly #ahead: Direction;
  readonly #perDirection: number;

  constructor(centreline: Centreline, lanes: number) {
    this.#ahead = signedDirection(centreline);
    this.#perDirection = lanes / 2;
  }

  /** A joint across all lanes. */
  across(): Lanes {
    return { direction: 'both', firstLane: 1, lastLane: this.#perDirection };
  }

  /** A joint between two lanes or at the shoulder, so many lanes to the left (below 0: to the right) of the centreline. */
  along(lanesToTheLeft: number): Lanes {
    if (lanesToTheLeft === 0) return { direction: 'both', firstLane: 1, lastLane: 1 };
    const inner = Math.abs(lanesToTheLeft);
    const direction = lanesToTheLeft < 0 ? this.#ahead : OPPOSITE[this.#ahead];
    return { direction, firstLane: inner, lastLane: Math.min(inner + 1, this.#perDirection) };
  }
}
