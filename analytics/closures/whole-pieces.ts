import type { MixedIntegerModel, Term } from '../numeric/mixed-integer.ts';
import type { ClosureColumns } from './closure-columns.ts';
import { type CrewShiftLimits, crewShiftLimits } from './least-crew-shifts.ts';
import { type Line, linesBelow } from './lines-below.ts';
import type { PackingIndex } from './packing-index.ts';
import { addPieceShares } from './piece-shares.ts';
import type { SlotGroups } from './slot-groups.ts';

interface PlacedColumns extends ClosureColumns {
  /** By block: metres placed. */ readonly placedColumn: Int32Array;
}

/** Columns at most that stand for numbers of crew-shifts, over all facilities; beyond, lines above them must do. */
const MOST_NUMBERS = 800;

/**
 * Pieces are whole: so many crew-shifts place so much, and all of the work needs so many crew-shifts and closures.
 * @param allPlaced whether nothing may be left out
 */
export function addWholePieces(
  model: MixedIntegerModel,
  index: PackingIndex,
  groups: SlotGroups,
  columns: PlacedColumns,
  allPlaced: boolean,
): void {
  const limits = index.facilities.map((_, facility) => crewShiftLimits(index, facility));
  const numbers = limits.reduce((sum, { placed }) => sum + longest(placed), 0);
  limits.forEach((limit, facility) => {
    const crews = groups.ofFacility[facility].flatMap((g) => columns.crewColumns[g].flat(2));
    addPieceShares(model, index, { facility, crews, placedColumn: columns.placedColumn });
    if (allPlaced) addLeast(model, index, groups, { facility, crews, least: limit.least, ...columns });
    else if (numbers <= MOST_NUMBERS) addSteps(model, index, limit.placed, crews, columns);
    else addLines(model, index, limit.placed, crews, columns);
  });
}

const longest = (placed: CrewShiftLimits['placed']): number =>
  placed.reduce((most, { weightByShifts }) => Math.max(most, weightByShifts.length), 0);

const weightTerms = (index: PackingIndex, blocks: readonly number[], { placedColumn }: PlacedColumns): Term[] =>
  blocks.map((b): Term => [placedColumn[b], index.blocks[b].block.weightPerM]);

/** One column for each number of crew-shifts, of which one is picked. */
function addSteps(
  model: MixedIntegerModel,
  index: PackingIndex,
  placed: CrewShiftLimits['placed'],
  crews: readonly number[],
  columns: PlacedColumns,
): void {
  if (placed.length === 0) return;
  const picked = Array.from({ length: longest(placed) }, () =>
    model.addColumn({ cost: 0, lower: 0, upper: 1, integer: true }),
  );
  model.equal(
    1,
    picked.map((column): Term => [column, 1]),
  );
  model.atMost(0, [...picked.map((column, n): Term => [column, n]), ...crews.map((column): Term => [column, -1])]);
  for (const { blocks, weightByShifts } of placed) {
    const most = weightByShifts[weightByShifts.length - 1];
    const reached = picked.map((column, n): Term => [column, -(weightByShifts[n] ?? most)]);
    model.atMost(0, [...weightTerms(index, blocks, columns), ...reached]);
  }
}

function addLines(
  model: MixedIntegerModel,
  index: PackingIndex,
  placed: CrewShiftLimits['placed'],
  crews: readonly number[],
  columns: PlacedColumns,
): void {
  for (const { blocks, weightByShifts } of placed)
    for (const { constant, slope } of linesAbove(weightByShifts))
      model.atMost(constant, [
        ...weightTerms(index, blocks, columns),
        ...(slope > 0 ? crews.map((column): Term => [column, -slope]) : []),
      ]);
}

/** Straight lines above all points (n, weight), flat beyond the last. */
function linesAbove(weight: readonly number[]): Line[] {
  const below = linesBelow(
    weight.map((_, n) => n),
    weight.map((value) => -value),
  );
  const above = below.map(({ slope, constant }) => ({ slope: -slope, constant: -constant }));
  return [...above, { slope: 0, constant: weight[weight.length - 1] }];
}

interface LeastNeeded extends ClosureColumns {
  readonly facility: number;
  readonly crews: readonly number[];
  readonly least: number;
}

function addLeast(
  model: MixedIntegerModel,
  index: PackingIndex,
  groups: SlotGroups,
  { facility, crews, least, closureColumn }: LeastNeeded,
): void {
  if (least === 0) return;
  const { mostCrews } = index.facilities[facility];
  const own = groups.ofFacility[facility];
  model.atLeast(
    least,
    crews.map((column): Term => [column, 1]),
  );
  const perClosure = own.reduce((most, g) => Math.max(most, mostCrews * groups.groups[g].shifts.length), 1);
  model.atLeast(
    Math.ceil(least / perClosure - 1e-9),
    own.map((g): Term => [closureColumn[g], 1]),
  );
}
