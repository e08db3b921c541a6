/** What the model knows about one seal besides its class. null: not recorded. */
export interface SealCovariates {
  readonly sealantClass: string;
  readonly freezingIndexCDays: number | null;
  readonly freezeThawDaysPerYear: number | null;
  readonly temperatureRangeC: number | null;
  readonly precipitationMmPerYear: number | null;
  /** Seasonal opening over width, as a share of the class's capability (analytics/joint). */
  readonly movementOverCapability: number | null;
  /** Vehicles or aircraft a day, above 0. */ readonly trafficPerDay: number | null;
  readonly longitudinal: boolean | null;
  readonly widthMm: number | null;
  /** Faces abrasive-blasted before sealing. */ readonly blasted: boolean | null;
  readonly fuelExposure: boolean | null;
}

export interface Covariate {
  readonly name: string;
  readonly label: string;
  readonly unit: string;
  /** `switch` columns are 0 or 1 and stay so; `numeric` ones are centred and scaled over the network. */
  readonly kind: 'numeric' | 'switch';
  /** The change that a life ratio is reported for, in units of `valueOf`. */ readonly step: number;
  readonly stepLabel: string;
  /** Why it is in the model, with the source. */ readonly reason: string;
  /** Value on the model's scale; null where the record has none. */
  readonly valueOf: (seal: SealCovariates) => number | null;
}

const toSwitch = (value: boolean | null): number | null => (value === null ? null : Number(value));
const toLog = (value: number | null): number | null => (value !== null && value > 0 ? Math.log(value) : null);

/** The covariates of the service-life model, in column order: the one list that the fit, the screens and the docs read. */
export const COVARIATES: readonly Covariate[] = [
  {
    name: 'freezingIndex',
    label: 'Freezing index',
    unit: '°C-days',
    kind: 'numeric',
    step: 500,
    stepLabel: 'per 500 °C-days',
    reason:
      'Cold opens the joint widest while the sealant is stiffest; bond tests run at -18 to -29 °C for that reason (ASTM D6690), and resealing advice differs by freeze zone (FHWA-RD-99-146, from memory).',
    valueOf: (seal) => seal.freezingIndexCDays,
  },
  {
    name: 'freezeThawDays',
    label: 'Freeze-thaw days',
    unit: 'days a year',
    kind: 'numeric',
    step: 25,
    stepLabel: 'per 25 days a year',
    reason: 'Each crossing of 0 °C works water and ice against the bonded face (US Army ETL-0287, 1982, from memory).',
    valueOf: (seal) => seal.freezeThawDaysPerYear,
  },
  {
    name: 'temperatureRange',
    label: 'Yearly temperature range',
    unit: '°C',
    kind: 'numeric',
    step: 10,
    stepLabel: 'per 10 °C',
    reason: 'Opening of the joint grows in proportion to it (AASHTO Guide 1993, joint movement, from memory).',
    valueOf: (seal) => seal.temperatureRangeC,
  },
  {
    name: 'precipitation',
    label: 'Precipitation',
    unit: 'mm a year',
    kind: 'numeric',
    step: 300,
    stepLabel: 'per 300 mm a year',
    reason:
      'Water at the faces weakens the bond; advice on resealing differs by wet and dry zone (FHWA-RD-99-146, from memory).',
    valueOf: (seal) => seal.precipitationMmPerYear,
  },
  {
    name: 'movementDemand',
    label: 'Movement over capability',
    unit: 'share',
    kind: 'numeric',
    step: 0.25,
    stepLabel: 'per 25 % more of the capability used',
    reason: 'Sealants are classed by the movement they survive in cycling tests (ASTM C719, classes of ASTM C920).',
    valueOf: (seal) => seal.movementOverCapability,
  },
  {
    name: 'traffic',
    label: 'Traffic',
    unit: 'log of vehicles a day',
    kind: 'numeric',
    step: Math.LN2,
    stepLabel: 'when traffic doubles',
    reason:
      'Wheels pump slab edges and pull at the seal; resealing tables ask for traffic (FHWA-RD-99-146, from memory).',
    valueOf: (seal) => toLog(seal.trafficPerDay),
  },
  {
    name: 'longitudinal',
    label: 'Longitudinal joint',
    unit: '0 or 1',
    kind: 'switch',
    step: 1,
    stepLabel: 'longitudinal instead of transverse',
    reason:
      'Tied lanes open little; damage of longitudinal seals is surveyed apart (LTPP manual, FHWA-HRT-13-092, Table 2).',
    valueOf: (seal) => toSwitch(seal.longitudinal),
  },
  {
    name: 'width',
    label: 'Joint width',
    unit: 'mm',
    kind: 'numeric',
    step: 5,
    stepLabel: 'per 5 mm',
    reason:
      'The same opening strains a wide seal less: width = opening / allowable strain (AASHTO Guide 1993, from memory).',
    valueOf: (seal) => seal.widthMm,
  },
  {
    name: 'blasted',
    label: 'Faces blasted clean',
    unit: '0 or 1',
    kind: 'switch',
    step: 1,
    stepLabel: 'blasted instead of not',
    reason: 'Installation method was a factor of the 1,600-joint resealing experiment (FHWA-RD-99-137).',
    valueOf: (seal) => toSwitch(seal.blasted),
  },
  {
    name: 'fuelExposure',
    label: 'Fuel exposure',
    unit: '0 or 1',
    kind: 'switch',
    step: 1,
    stepLabel: 'with fuel spills instead of without',
    reason:
      'Hot-applied and silicone specifications exclude fuel-spill areas (scope of ASTM D6690 and D5893; ETL 02-8).',
    valueOf: (seal) => toSwitch(seal.fuelExposure),
  },
];
