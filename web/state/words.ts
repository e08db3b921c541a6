import type {
  Aggregate,
  BaseType,
  ClimateZone,
  DamageKind,
  Direction,
  FacilityKind,
  Family,
  InspectionMethod,
  JointType,
  Preparation,
  RecordKind,
  RemovalReason,
  SealantClass,
  Severity,
} from '../../server/schemas/words.ts';

/** The schema's words as the screens say them. The compiler refuses a word without a label. */
export const FACILITY_KIND_LABELS: Readonly<Record<FacilityKind, string>> = {
  highway: 'Highway',
  bridge: 'Bridge',
  runway: 'Runway',
  taxiway: 'Taxiway',
  apron: 'Apron',
};
export const JOINT_TYPE_LABELS: Readonly<Record<JointType, string>> = {
  'transverse-contraction': 'Transverse contraction',
  'transverse-construction': 'Transverse construction',
  'transverse-expansion': 'Transverse expansion',
  longitudinal: 'Longitudinal',
  isolation: 'Isolation',
  'asphalt-shoulder': 'Concrete to asphalt shoulder',
  'bridge-deck': 'Bridge deck',
};
export const DIRECTION_LABELS: Readonly<Record<Direction, string>> = {
  northbound: 'Northbound',
  southbound: 'Southbound',
  eastbound: 'Eastbound',
  westbound: 'Westbound',
  increasing: 'With increasing measure',
  decreasing: 'With decreasing measure',
  clockwise: 'Clockwise',
  anticlockwise: 'Anticlockwise',
  both: 'Both directions',
};
export const SEALANT_CLASS_LABELS: Readonly<Record<SealantClass, string>> = {
  'silicone-self-levelling': 'Silicone, self-levelling',
  'silicone-non-sag': 'Silicone, non-sag',
  'hot-applied': 'Hot-applied, type not recorded',
  'hot-applied-type-1': 'Hot-applied, type I',
  'hot-applied-type-2': 'Hot-applied, type II',
  'hot-applied-type-3': 'Hot-applied, type III',
  'hot-applied-type-4': 'Hot-applied, type IV',
  polysulfide: 'Polysulfide',
  'polyurethane-two-part': 'Polyurethane, two-part',
  'preformed-compression': 'Preformed compression seal',
  unknown: 'Class not recorded',
};
export const BASE_TYPE_LABELS: Readonly<Record<BaseType, string>> = {
  granular: 'Granular',
  stabilised: 'Stabilised',
  unknown: 'Not recorded',
};
export const AGGREGATE_LABELS: Readonly<Record<Aggregate, string>> = {
  quartz: 'Quartz',
  sandstone: 'Sandstone',
  gravel: 'Gravel',
  granite: 'Granite',
  basalt: 'Basalt',
  limestone: 'Limestone',
  unknown: 'Not recorded',
};
export const PREPARATION_LABELS: Readonly<Record<Preparation, string>> = {
  'sawn-and-blasted': 'Sawn and blasted',
  blasted: 'Blasted',
  sawn: 'Sawn',
  'air-blown': 'Air-blown',
  unknown: 'Not recorded',
};
export const REMOVAL_REASON_LABELS: Readonly<Record<RemovalReason, string>> = {
  failed: 'Failed',
  preventive: 'Preventive',
  'pavement-work': 'Pavement work',
  unknown: 'Not recorded',
};
export const INSPECTION_METHOD_LABELS: Readonly<Record<InspectionMethod, string>> = {
  'joint-length': 'Share of joint length (LTPP manual)',
  'sample-unit': 'Share of sealer in a sample unit (ASTM D5340, D6433)',
  agency: "Agency's own rating",
};
export const SEVERITY_LABELS: Readonly<Record<Severity, string>> = { low: 'Low', moderate: 'Moderate', high: 'High' };
export const DAMAGE_KIND_LABELS: Readonly<Record<DamageKind, string>> = {
  extrusion: 'Extrusion',
  hardening: 'Hardening',
  'adhesive-failure': 'Adhesive failure',
  'cohesive-failure': 'Cohesive failure',
  'complete-loss': 'Complete loss',
  intrusion: 'Intrusion of foreign material',
  weeds: 'Weeds',
};
export const FAMILY_LABELS: Readonly<Record<Family, string>> = {
  weibull: 'Weibull',
  lognormal: 'Log-normal',
  loglogistic: 'Log-logistic',
  exponential: 'Exponential',
};
export const CLIMATE_ZONE_LABELS: Readonly<Record<ClimateZone, string>> = {
  'wet-freeze': 'Wet, freeze',
  'wet-nonfreeze': 'Wet, no freeze',
  'dry-freeze': 'Dry, freeze',
  'dry-nonfreeze': 'Dry, no freeze',
};
export const RECORD_KIND_LABELS: Readonly<Record<RecordKind, string>> = {
  facilities: 'Facilities',
  segments: 'Segments',
  seals: 'Seals',
  inspections: 'Inspections',
  stations: 'Climate stations',
  climate: 'Daily climate',
  'unit-costs': 'Unit costs',
};

/** Label of a word that may come from data newer than this screen: then the word itself. */
export const labelOf = (labels: Readonly<Record<string, string>>, word: string | null | undefined): string =>
  word === null || word === undefined ? '–' : (labels[word] ?? word);
