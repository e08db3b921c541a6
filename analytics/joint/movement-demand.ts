import { requirePositive } from './check-numbers.ts';
import { resealOpeningMm } from './movement.ts';
import { type Aggregate, type BaseType, expansionPerC, RESTRAINT } from './movement-tables.ts';

/** Movement that a sealant class is designed for, as a share of the installed width. */
export interface MovementCapability {
  readonly extensionShare: number;
  readonly compressionShare: number;
  /** `recalled`: from memory and not safe enough for anything but an editable default. */
  readonly mark: 'standard class' | 'common practice' | 'recalled';
  readonly source: string;
}

const C920 = 'movement classes of ASTM C920 by cycling after ASTM C719, from memory';
const MANUAL = 'range of FHWA-RD-99-146, from memory; middle taken';

/** Defaults by sealant class, to be replaced by the maker's class of the seal at hand. */
export const MOVEMENT_CAPABILITY: Readonly<Record<string, MovementCapability>> = {
  'silicone-self-levelling': capability(
    1,
    0.5,
    'common practice',
    `+100 / -50 %: common practice; class 100/50 of ${C920}`,
  ),
  'silicone-non-sag': capability(1, 0.5, 'standard class', `class 100/50 of ${C920}`),
  'hot-applied': capability(0.175, 0.175, 'recalled', `15 to 20 %: ${MANUAL}`),
  'hot-applied-type-1': capability(0.175, 0.175, 'recalled', `15 to 20 %: ${MANUAL}`),
  'hot-applied-type-2': capability(0.175, 0.175, 'recalled', `15 to 20 %: ${MANUAL}`),
  'hot-applied-type-3': capability(0.175, 0.175, 'recalled', `15 to 20 %: ${MANUAL}`),
  'hot-applied-type-4': capability(0.35, 0.35, 'recalled', `30 to 40 % for low-modulus: ${MANUAL}`),
  polysulfide: capability(0.25, 0.25, 'standard class', `class 25 of ${C920}`),
  'polyurethane-two-part': capability(0.25, 0.25, 'standard class', `class 25 of ${C920}`),
  // Works between 20 and 50 % compression: half of that span, either way from its middle.
  'preformed-compression': capability(
    0.3,
    0.3,
    'recalled',
    'working range 20 to 50 % compression (FP-96), the narrowest',
  ),
  unknown: capability(0.25, 0.25, 'recalled', 'cautious allowable strain of AASHTO Guide (1993), from memory'),
};

function capability(
  extensionShare: number,
  compressionShare: number,
  mark: MovementCapability['mark'],
  source: string,
): MovementCapability {
  return { extensionShare, compressionShare, mark, source };
}

export interface DemandInput {
  readonly sealantClass: string;
  readonly slabLengthM: number;
  readonly widthMm: number;
  readonly baseType: BaseType;
  readonly coarseAggregate: Aggregate;
  /** Yearly temperature range at the place, °C, 0 or more. */ readonly rangeC: number;
}

export interface MovementDemand {
  readonly seasonalOpeningMm: number;
  /** Opening over installed width. */ readonly demandShare: number;
  /** Extension capability of the class, share of width. */ readonly capabilityShare: number;
  /** Above 1 the seal is asked for more than it is made for. */ readonly demandOverCapability: number;
  /** The capability with its source, in shares only, so that it reads the same in any unit. */ readonly note: string;
}

/**
 * How much of a seal's movement capability one season uses. Resealing: shrinkage is spent, so Z is 0. The whole seasonal
 * opening is set against extension, as if the joint was sealed when hottest: the cautious case.
 * @throws RangeError naming the field that is out of range
 */
export function movementDemand(input: DemandInput, capabilities = MOVEMENT_CAPABILITY): MovementDemand {
  const { widthMm } = input;
  const openingMm = seasonalOpening(input);
  const { extensionShare, source } = capabilityOf(input.sealantClass, capabilities);
  const demandShare = openingMm / widthMm;
  const percent = (share: number) => `${(100 * share).toFixed(0)} %`;
  return {
    seasonalOpeningMm: openingMm,
    demandShare,
    capabilityShare: extensionShare,
    demandOverCapability: demandShare / extensionShare,
    note:
      `The class takes an opening of ${percent(extensionShare)} of its width (${source}). ` +
      'Measured openings are often larger than this estimate.',
  };
}

/** The one number of `movementDemand` that the service-life model uses, for networks: no sentence is made. */
export function demandOverCapability(input: DemandInput, capabilities = MOVEMENT_CAPABILITY): number {
  return seasonalOpening(input) / input.widthMm / capabilityOf(input.sealantClass, capabilities).extensionShare;
}

/** How much more of its extension capability a seal of one class uses than one of another class in the same joint. */
export const demandRatio = (from: string, to: string, capabilities = MOVEMENT_CAPABILITY): number =>
  capabilityOf(from, capabilities).extensionShare / capabilityOf(to, capabilities).extensionShare;

const capabilityOf = (sealantClass: string, capabilities: typeof MOVEMENT_CAPABILITY): MovementCapability =>
  capabilities[sealantClass] ?? MOVEMENT_CAPABILITY.unknown;

function seasonalOpening({ slabLengthM, widthMm, rangeC, baseType, coarseAggregate }: DemandInput): number {
  requirePositive({ widthMm });
  return resealOpeningMm({
    slabLengthM,
    rangeC,
    restraint: RESTRAINT[baseType],
    expansionPerC: expansionPerC(coarseAggregate),
  });
}
