import { sealantFamily } from './sealant-family.ts';

/** Weather in which sealant may be placed. Temperatures in °C; null: no such limit. */
export interface WeatherGate {
  readonly id: string;
  readonly leastAirC: number | null;
  readonly leastPavementC: number | null;
  /** The limit itself is not enough: the source says "above". */ readonly strictlyAbove: boolean;
  /** Temperature must be rising. */ readonly rising: boolean;
  /** No rain while at work. */ readonly noRain: boolean;
  readonly source: string;
}

/** Whose limits are followed. */
export type GateProfile =
  | 'federal-lands-40f'
  | 'state-40f'
  | 'state-45f-rising'
  | 'airfield-50f-rising'
  | 'airport-50f';

const inC = (fahrenheit: number): number => ((fahrenheit - 32) * 5) / 9;

/** Published limits, side by side: they differ, so the agency chooses. */
export const GATE_PROFILES: Readonly<Record<GateProfile, Omit<WeatherGate, 'id'>>> = {
  'federal-lands-40f': {
    leastAirC: inC(40),
    leastPavementC: null,
    strictlyAbove: true,
    rising: false,
    noRain: true,
    source: 'FP-96 section 501: air above 40 °F, faces surface-dry',
  },
  'state-40f': {
    leastAirC: inC(40),
    leastPavementC: inC(40),
    strictlyAbove: false,
    rising: false,
    noRain: true,
    source: 'an Iowa DOT specification: air and pavement 40 °F or more; dry longer near the limit',
  },
  'state-45f-rising': {
    leastAirC: inC(45),
    leastPavementC: inC(45),
    strictlyAbove: false,
    rising: true,
    noRain: true,
    source: 'Maryland SHA section 523: air and pavement 45 °F or more and rising',
  },
  'airfield-50f-rising': {
    leastAirC: null,
    leastPavementC: inC(50),
    strictlyAbove: false,
    rising: true,
    noRain: true,
    source: 'UFC 3-250-08FA (TM 5-822-11): pavement 50 °F or more and rising, dry',
  },
  'airport-50f': {
    leastAirC: null,
    leastPavementC: inC(50),
    strictlyAbove: true,
    rising: false,
    noRain: true,
    source: 'FAA P-605 as taught to inspectors: pavement above 50 °F, no rain or fog',
  },
};

/** Preformed compression seals have a limit of their own under every profile. */
const PREFORMED: Omit<WeatherGate, 'id'> = {
  leastAirC: 0,
  leastPavementC: 0,
  strictlyAbove: true,
  rising: false,
  noRain: true,
  source: 'federal chapter on compression seals: air and pavement above 32 °F, dry recommended',
};

/** The limits for a class under a profile: the profile's own, but those of compression seals for preformed ones. */
export function weatherGate(profile: GateProfile, sealantClass: string): WeatherGate {
  const preformed = sealantFamily(sealantClass) === 'preformed';
  return { id: preformed ? 'preformed' : profile, ...(preformed ? PREFORMED : GATE_PROFILES[profile]) };
}

/**
 * Whether a temperature passes. A daily record has no pavement temperature; air stands in for it, which is cautious by day
 * (sun warms the slab) and about even at night.
 */
export function passesTemperature(gate: WeatherGate, lowestC: number): boolean {
  for (const least of [gate.leastAirC, gate.leastPavementC])
    if (least !== null && (gate.strictlyAbove ? lowestC <= least : lowestC < least)) return false;
  return true;
}
