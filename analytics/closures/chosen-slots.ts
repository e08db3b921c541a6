import { layBest } from './lay-best.ts';
import type { CrewShift, LaidWork } from './lay-work.ts';
import type { FacilityPlan, PackingState } from './packing-state.ts';

/** A slot to be taken, with the crews that are free and the slots of other facilities that it needs closed. */
export interface SlotOffer {
  readonly slot: number;
  readonly crewShifts: readonly CrewShift[];
  readonly supports: readonly number[];
}

/** Slots picked so far for one facility, and the work laid into them. */
export class Chosen {
  readonly state: PackingState;
  readonly facility: number;
  slots: number[] = [];
  supports = new Set<number>();
  private crewShifts: CrewShift[] = [];
  private laid: LaidWork | null = null;

  /** @param kept crew-shifts of the facility that stay; they are not counted in the state */
  constructor(state: PackingState, facility: number, kept: readonly CrewShift[] = []) {
    this.state = state;
    this.facility = facility;
    this.crewShifts = [...kept];
    this.slots = [...new Set(kept.map(({ shift }) => state.index.shifts[shift].slot))];
  }

  has(slot: number): boolean {
    return this.slots.includes(slot);
  }

  conflicts(slot: number): boolean {
    const { conflicts } = this.state.index;
    const hit = (other: number) => conflicts[slot].includes(other);
    return this.slots.some(hit) || [...this.supports].some(hit);
  }

  crewsIn(shift: number, group: number): number {
    return this.crewShifts.filter((c) => c.shift === shift && c.group === group).length;
  }

  add(candidate: SlotOffer): void {
    const { index } = this.state;
    const known = this.has(candidate.slot);
    if (!known && this.conflicts(candidate.slot)) return;
    if (candidate.supports.some((s) => !this.supports.has(s) && this.conflicts(s))) return;
    if (!known) this.slots.push(candidate.slot);
    for (const support of candidate.supports) this.supports.add(support);
    if (!known) this.crewShifts.push(...this.restedCrews(candidate.crewShifts));
    const { shifts } = index;
    this.crewShifts.sort(
      (a, b) => shifts[a.shift].startMinute - shifts[b.shift].startMinute || a.shift - b.shift || a.group - b.group,
    );
    this.laid = null;
  }

  /** Crew-shifts that are still free beside those chosen: two windows may be too close for a crew to rest. */
  private restedCrews(wanted: readonly CrewShift[]): CrewShift[] {
    const { shifts } = this.state.index;
    const kept: CrewShift[] = [];
    for (const crew of wanted) {
      const { pointFrom, pointTo } = shifts[crew.shift];
      const rival = (other: CrewShift) =>
        other.group === crew.group &&
        shifts[other.shift].pointFrom < pointTo &&
        pointFrom < shifts[other.shift].pointTo;
      const used = this.crewShifts.filter(rival).length + kept.filter(rival).length;
      if (used < this.state.crewsFree(crew.group, crew.shift)) kept.push(crew);
    }
    return kept;
  }

  private lay() {
    this.laid ??= this.laidIn(this.crewShifts, this.supports);
    return this.laid;
  }

  private laidIn(crewShifts: readonly CrewShift[], supports: ReadonlySet<number>) {
    const { state, facility } = this;
    return layBest(state.index, facility, crewShifts, (shift, f) => state.coverOf(shift, f, supports) !== null);
  }

  weight(): number {
    return this.crewShifts.length === 0 ? 0 : this.lay().weight;
  }

  /** Metres of some blocks still to do, each counted once for each pass. */
  metresLeft(blocks: readonly number[]): number {
    const { index } = this.state;
    const done = this.crewShifts.length === 0 ? null : this.lay().done;
    return index.blocksOf[this.facility].reduce((sum, b, i) => {
      if (!blocks.includes(b)) return sum;
      const { block, metresBefore } = index.blocks[b];
      return sum + block.passes.length * (metresBefore[block.pieces.length] - metresBefore[done?.[i] ?? 0]);
    }, 0);
  }

  /** Drops slots, dearest first, and supports while as much work stays placed. */
  prune(): void {
    const { index } = this.state;
    this.dropIdle();
    const dearest = [...this.slots, ...this.supports].sort(
      (a, b) => index.slots[b].cost - index.slots[a].cost || b - a,
    );
    for (const slot of dearest) this.tryWithout(slot);
  }

  private dropIdle(): void {
    const busy = new Set(this.lay().tasks.map(({ crewShift }) => crewShift));
    this.crewShifts = this.crewShifts.filter((_, i) => busy.has(i));
    const used = new Set(this.crewShifts.map(({ shift }) => this.state.index.shifts[shift].slot));
    this.slots = this.slots.filter((slot) => used.has(slot));
    this.laid = null;
  }

  private tryWithout(slot: number): void {
    const { index } = this.state;
    const isSupport = this.supports.has(slot);
    if (!isSupport && !this.hasSlack(slot)) return;
    const crewShifts = isSupport
      ? this.crewShifts
      : this.crewShifts.filter(({ shift }) => index.shifts[shift].slot !== slot);
    const supports = isSupport ? new Set([...this.supports].filter((s) => s !== slot)) : this.supports;
    const laid = this.laidIn(crewShifts, supports);
    if (laid.weight < this.lay().weight - 1e-9 * (1 + this.lay().weight)) return;
    this.crewShifts = [...crewShifts];
    this.supports = supports;
    this.laid = laid;
    this.dropIdle();
  }

  /** Whether the other slots could hold the work by their minutes. */
  private hasSlack(slot: number): boolean {
    const { index } = this.state;
    const net = ({ shift }: CrewShift) =>
      index.shifts[shift].items.reduce((most, { netMinutes }) => Math.max(most, netMinutes), 0);
    const others = this.crewShifts.filter(({ shift }) => index.shifts[shift].slot !== slot);
    const free = others.reduce((sum, crewShift) => sum + net(crewShift), 0);
    return this.lay().tasks.reduce((sum, { minutes }) => sum + minutes, 0) <= free + 1e-6;
  }

  plan(): FacilityPlan {
    const { state, facility } = this;
    this.dropIdle();
    const laid = this.lay();
    const supports = new Set<number>();
    for (const { crewShift, block } of laid.tasks)
      for (const required of state.index.blocks[block].requires) {
        const cover = state.coverOf(this.crewShifts[crewShift].shift, required, this.supports);
        if (cover !== null && cover >= 0) supports.add(cover);
      }
    return {
      facility,
      crewShifts: this.crewShifts,
      laid,
      slots: [...this.slots].sort((a, b) => a - b),
      supports: [...supports].sort((a, b) => a - b),
    };
  }
}
