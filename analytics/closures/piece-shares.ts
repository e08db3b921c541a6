import type { MixedIntegerModel, Term } from '../numeric/mixed-integer.ts';
import { fastest, longestNet } from './least-crew-shifts.ts';
import { linesBelow } from './lines-below.ts';
import type { PackingIndex } from './packing-index.ts';

/** Parts that a shift is thought to be cut into, less one. */
const PARTS = [1, 2, 3, 4, 5, 6, 7, 8];
/** Rows are added where pieces take this much more of the shifts than their minutes do. */
const WORTH_A_ROW = 1.01;
const MOST_ROWS = 2;
const NEAR = 1e-6;

/** One pass of the pieces of a block, as if every shift were the longest and every crew the fastest. */
interface PassPieces {
  readonly block: number;
  /** By piece: its minutes as a share of a shift. */ readonly shares: readonly number[];
}

/**
 * Pieces are whole, so that a shift may end before its minutes do: of pieces over a third of a shift it holds two. Each piece is
 * counted with a share that no shift can hold more than one of in all, whatever pieces are put together.
 * Source: dual feasible functions u(k), S. P. Fekete and J. Schepers, Math. Programming 91 (2001), theorem 2.
 * @param crews columns whose sum is the number of crew-shifts of the facility
 */
export function addPieceShares(
  model: MixedIntegerModel,
  index: PackingIndex,
  { facility, crews, placedColumn }: { facility: number; crews: readonly number[]; placedColumn: Int32Array },
): void {
  const passes = passPieces(index, facility);
  const minutes = total(passes, (share) => share);
  const rows = PARTS.map((parts) => ({ parts, all: total(passes, (share) => countedShare(share, parts)) }))
    .filter(({ all }) => all > minutes * WORTH_A_ROW)
    .sort((a, b) => b.all - a.all || a.parts - b.parts)
    .slice(0, MOST_ROWS);
  for (const { parts } of rows) {
    const counted = passes.map(({ block, shares }) => addCounted(model, index, { block, shares, parts, placedColumn }));
    model.atMost(0, [...counted.map((column): Term => [column, 1]), ...crews.map((column): Term => [column, -1])]);
  }
}

const total = (passes: readonly PassPieces[], counted: (share: number) => number): number =>
  passes.reduce((sum, { shares }) => sum + shares.reduce((own, share) => own + counted(share), 0), 0);

function passPieces(index: PackingIndex, facility: number): PassPieces[] {
  const nets = index.blocksOf[facility].map((b) =>
    index.blocks[b].block.passes.map((_, pass) => longestNet(index, facility, b, pass)),
  );
  const longest = nets.flat().reduce((most, net) => Math.max(most, net), 0);
  return index.blocksOf[facility].flatMap((block, i) =>
    nets[i].flatMap((net, pass): PassPieces[] => {
      const perM = fastest(index, block, pass);
      if (!(net > 0 && Number.isFinite(perM))) return [];
      return [{ block, shares: index.blocks[block].block.pieces.map(({ lengthM }) => (lengthM * perM) / longest) }];
    }),
  );
}

/** Of a share x of a shift: x where (k + 1) x is whole, else its whole part over k. At whole numbers rounded down, which is as valid. */
function countedShare(share: number, parts: number): number {
  const times = (parts + 1) * share;
  return Math.max(0, Math.floor(times - NEAR)) / parts;
}

interface Counted {
  readonly block: number;
  readonly shares: readonly number[];
  readonly parts: number;
  readonly placedColumn: Int32Array;
}

/** A column that is no less than what the placed metres of a block count: lines below all points where a piece ends. */
function addCounted(model: MixedIntegerModel, index: PackingIndex, { block, shares, parts, placedColumn }: Counted) {
  const { metresBefore } = index.blocks[block];
  const reached = [0];
  for (const share of shares) reached.push(reached[reached.length - 1] + countedShare(share, parts));
  const column = model.addColumn({ cost: 0, lower: 0, upper: Number.POSITIVE_INFINITY, integer: false });
  for (const { slope, constant } of linesBelow(metresBefore, reached))
    model.atLeast(constant, [
      [column, 1],
      [placedColumn[block], -slope],
    ]);
  return column;
}
