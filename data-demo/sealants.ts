import type { JointType, Preparation, SealantClass } from '../server/schemas/words.ts';
import { dayOf } from './days.ts';
import type { Draws } from './random.ts';

/** Joints that are sealed alike. */
export type JointUse = 'road' | 'shoulder' | 'deck' | 'airfield' | 'fuelling';

type Mix = readonly (readonly [SealantClass, number])[];

/** Hot-applied sealant was bought without its type on record up to here, and long called by older words. */
const TYPES_ON_RECORD_FROM = dayOf(2008, 1, 1);

const EARLY_MIX: Record<JointUse, Mix> = {
  road: [
    ['hot-applied-type-1', 30],
    ['hot-applied', 18],
    ['hot-applied-type-2', 16],
    ['silicone-self-levelling', 13],
    ['silicone-non-sag', 9],
    ['preformed-compression', 6],
    ['polyurethane-two-part', 4],
    ['polysulfide', 4],
  ],
  shoulder: [
    ['hot-applied-type-1', 40],
    ['hot-applied', 30],
    ['hot-applied-type-2', 25],
    ['silicone-self-levelling', 5],
  ],
  deck: [
    ['preformed-compression', 50],
    ['silicone-non-sag', 25],
    ['polyurethane-two-part', 25],
  ],
  airfield: [
    ['silicone-non-sag', 25],
    ['silicone-self-levelling', 15],
    ['preformed-compression', 25],
    ['polysulfide', 20],
    ['hot-applied-type-1', 15],
  ],
  fuelling: [
    ['polysulfide', 60],
    ['preformed-compression', 30],
    ['polyurethane-two-part', 10],
  ],
};

const LATER_MIX: Record<JointUse, Mix> = {
  ...EARLY_MIX,
  road: [
    ['hot-applied-type-1', 6],
    ['hot-applied-type-2', 24],
    ['hot-applied-type-4', 20],
    ['silicone-self-levelling', 26],
    ['silicone-non-sag', 10],
    ['preformed-compression', 6],
    ['polyurethane-two-part', 4],
    ['polysulfide', 4],
  ],
  shoulder: [
    ['hot-applied-type-2', 50],
    ['hot-applied-type-4', 35],
    ['silicone-self-levelling', 15],
  ],
  airfield: [
    ['silicone-non-sag', 25],
    ['silicone-self-levelling', 25],
    ['preformed-compression', 20],
    ['polysulfide', 20],
    ['hot-applied-type-4', 10],
  ],
};

export const jointUse = (jointType: JointType, airfield: boolean, fuelExposure: boolean): JointUse => {
  if (fuelExposure) return 'fuelling';
  if (jointType === 'bridge-deck') return 'deck';
  if (jointType === 'asphalt-shoulder') return 'shoulder';
  return airfield ? 'airfield' : 'road';
};

export const pickProjectClass = (draws: Draws, use: JointUse, day: number): SealantClass =>
  draws.weighted((day < TYPES_ON_RECORD_FROM ? EARLY_MIX : LATER_MIX)[use]);

export const PREPARATION_MIX: readonly (readonly [Exclude<Preparation, 'unknown'>, number])[] = [
  ['sawn-and-blasted', 45],
  ['blasted', 15],
  ['sawn', 15],
  ['air-blown', 25],
];

export const isBlasted = (preparation: Preparation): boolean =>
  preparation === 'sawn-and-blasted' || preparation === 'blasted';

/** Standards that a purchase would name; null where the agency's own text was used. */
export const SPECIFICATIONS: Partial<Record<SealantClass, string>> = {
  'silicone-self-levelling': 'ASTM D5893',
  'silicone-non-sag': 'ASTM D5893',
  'hot-applied-type-1': 'ASTM D6690',
  'hot-applied-type-2': 'ASTM D6690',
  'hot-applied-type-4': 'ASTM D6690',
  'polyurethane-two-part': 'ASTM C920',
  'preformed-compression': 'ASTM D2628',
};
