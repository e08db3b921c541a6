import type { SegmentCard } from '../../../server/schemas/card.ts';
import { labelOf, REMOVAL_REASON_LABELS, SEALANT_CLASS_LABELS } from '../../state/words.ts';

/** One line of the history table. `from` and `to` are the ends of what is known of the day. */
export interface HistoryEvent {
  readonly key: string;
  readonly from: string;
  readonly to: string;
  readonly what: string;
  readonly damagedShare: number | null;
}

/** Everything that happened to a segment, oldest first. */
export function historyEvents({ seals, inspections }: Pick<SegmentCard, 'seals' | 'inspections'>): HistoryEvent[] {
  const installed = seals.map((seal) => ({
    key: `installed ${seal.id}`,
    from: seal.installedFrom,
    to: seal.installedTo,
    what: `Sealed: ${labelOf(SEALANT_CLASS_LABELS, seal.sealantClass)}`,
    damagedShare: null,
  }));
  const removed = seals.flatMap((seal) =>
    seal.removedOn === null
      ? []
      : {
          key: `removed ${seal.id}`,
          from: seal.removedOn,
          to: seal.removedOn,
          what: `Removed: ${labelOf(REMOVAL_REASON_LABELS, seal.removalReason).toLowerCase()}`,
          damagedShare: null,
        },
  );
  const seen = inspections.map((inspection) => ({
    key: `seen ${inspection.id}`,
    from: inspection.inspectedOn,
    to: inspection.inspectedOn,
    what: 'Inspected',
    damagedShare: inspection.damagedShare,
  }));
  return [...installed, ...removed, ...seen].sort((a, b) => (a.from < b.from ? -1 : a.from > b.from ? 1 : 0));
}

export interface Sight {
  readonly on: Date;
  readonly share: number;
  readonly method: string;
  readonly symbol: 'circle' | 'square';
  /** Inspections of one seal by one method: only these may be joined by a line. */ readonly string: string;
}

export interface Install {
  readonly from: Date;
  readonly to: Date;
  readonly middle: Date;
  readonly year: string;
}

/** What the history picture draws. The method used most is drawn with circles. */
export function historyMarks({ seals, inspections }: Pick<SegmentCard, 'seals' | 'inspections'>) {
  const counts = new Map<string, number>();
  for (const { method } of inspections) counts.set(method, (counts.get(method) ?? 0) + 1);
  const usual = [...counts].sort((a, b) => b[1] - a[1])[0]?.[0];
  const installs: Install[] = seals.map(({ installedFrom, installedTo }) => {
    const [from, to] = [new Date(installedFrom), new Date(installedTo)];
    return { from, to, middle: new Date((+from + +to) / 2), year: installedFrom.slice(0, 4) };
  });
  const sights: Sight[] = inspections.map(({ inspectedOn, damagedShare, method }) => ({
    on: new Date(inspectedOn),
    share: damagedShare,
    method,
    symbol: method === usual ? 'circle' : 'square',
    string: `${method} ${seals.filter(({ installedFrom }) => installedFrom <= inspectedOn).length}`,
  }));
  return { installs, sights, strings: [...sights].sort((a, b) => +a.on - +b.on) };
}
