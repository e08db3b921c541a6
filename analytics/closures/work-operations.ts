import { type SealantFamily, sealantFamily } from './sealant-family.ts';

/** Operations of a reseal in the order of work. `dry` and `open` are waits: no crew is busy with them. */
export const OPERATION_KINDS = [
  'remove-old-seal',
  'saw-faces',
  'wash',
  'dry',
  'abrasive-blast',
  'blow-out',
  'place-rod',
  'seal',
  'inspect',
  'open',
] as const;
export type OperationKind = (typeof OPERATION_KINDS)[number];
/** An operation that keeps a crew busy, and so has a production rate. */
export type WorkOperation = Exclude<OperationKind, 'dry' | 'open'>;

export const isWorkOperation = (kind: OperationKind): kind is WorkOperation => kind !== 'dry' && kind !== 'open';

/** How one kind of joint is resealed. */
export interface ResealTreatment {
  /** Class of the seal that is there; null: none. */ readonly oldClass: string | null;
  /** Class of the seal to be made. */ readonly newClass: string;
  /** Water after sawing, and so a wait until the joint is dry. */ readonly washAfterSawing: boolean;
  /** A backer rod (or bond breaker) goes under a poured seal. */ readonly withRod: boolean;
}

export interface Operation {
  readonly kind: OperationKind;
  /** What is done here, as the seal that is there makes it. */ readonly how: string;
}

const REMOVAL: Readonly<Record<SealantFamily, string | null>> = {
  silicone: 'Cut the silicone along both faces and pull it out',
  'hot-applied': 'Cut the hot-applied sealant out',
  'cold-poured': 'Cut the cold-applied sealant out',
  preformed: 'Pull the preformed seal out',
  unknown: 'Take the old seal out; find out what it is on the first joint',
  none: null,
};

/**
 * Operations of a reseal, in order. Common practice: old hot- or cold-applied sealant is cut out and the faces sawn back to
 * clean concrete, washed, dried, blasted and blown; a preformed seal is pulled out and its adhesive blasted off; silicone is
 * cut out and the faces cleaned. Silicone leaves a film to which no other sealant bonds, so under any other new class its
 * faces are sawn too. A preformed seal is wedged between sawn faces: no rod, no abrasive blast unless adhesive must go.
 */
export function resealOperations(treatment: ResealTreatment): Operation[] {
  const { oldClass, newClass, washAfterSawing, withRod } = treatment;
  const [from, to] = [sealantFamily(oldClass), sealantFamily(newClass)];
  const sawn = from === 'preformed' ? false : from !== 'silicone' || to !== 'silicone';
  const blasted = to !== 'preformed' || from === 'preformed';
  const removal = REMOVAL[from];
  const operations: (Operation | false | null)[] = [
    removal !== null && { kind: 'remove-old-seal', how: removal },
    sawn && {
      kind: 'saw-faces',
      how: 'Saw both faces back to clean concrete, to the width and depth of the reservoir',
    },
    sawn && washAfterSawing && { kind: 'wash', how: 'Flush the slurry out at once, in one direction' },
    sawn && washAfterSawing && { kind: 'dry', how: 'Wait until the concrete is white and no water stands in the slot' },
    blasted && {
      kind: 'abrasive-blast',
      how: from === 'preformed' ? 'Blast the old adhesive off both faces' : 'Blast each face, one pass for each',
    },
    { kind: 'blow-out', how: 'Blow the joint out with dry, oil-free air; rub a finger along the face: no dust' },
    withRod && to !== 'preformed' && { kind: 'place-rod', how: 'Press the rod in to its depth, unstretched' },
    { kind: 'seal', how: SEALING[to] },
    { kind: 'inspect', how: 'Check depth, recess, bond and gaps; mark and mend faults' },
    { kind: 'open', how: 'Wait until the seal will not pick up, sweep, and open' },
  ];
  return operations.filter((operation): operation is Operation => Boolean(operation));
}

const SEALING: Readonly<Record<SealantFamily, string>> = {
  silicone: 'Pump the silicone in from the bottom up, to its recess',
  'hot-applied': 'Pour the hot-applied sealant from the bottom up, within its temperature range',
  'cold-poured': 'Mix and pump the sealant in from the bottom up',
  preformed: 'Press the lubricated seal in, stretched no more than its limit',
  unknown: 'Seal',
  none: 'Seal',
};
