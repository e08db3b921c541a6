import { type Static, Type } from 'typebox';

/** One of a list of fixed words: schema and type from the same list, so that it is never written twice. */
export const oneOf = <const W extends readonly string[]>(words: W, description: string) =>
  Type.Unsafe<W[number]>({ type: 'string', enum: [...words], description });

export const FACILITY_KINDS = ['highway', 'bridge', 'runway', 'taxiway', 'apron'] as const;
export const JOINT_TYPES = [
  'transverse-contraction',
  'transverse-construction',
  'transverse-expansion',
  'longitudinal',
  'isolation',
  'asphalt-shoulder',
  'bridge-deck',
] as const;
/** Hot-applied types are those of ASTM D6690; `hot-applied` is one whose type was not recorded. */
export const SEALANT_CLASSES = [
  'silicone-self-levelling',
  'silicone-non-sag',
  'hot-applied',
  'hot-applied-type-1',
  'hot-applied-type-2',
  'hot-applied-type-3',
  'hot-applied-type-4',
  'polysulfide',
  'polyurethane-two-part',
  'preformed-compression',
  'unknown',
] as const;
export const BASE_TYPES = ['granular', 'stabilised', 'unknown'] as const;
export const AGGREGATES = ['quartz', 'sandstone', 'gravel', 'granite', 'basalt', 'limestone', 'unknown'] as const;
export const PREPARATIONS = ['sawn-and-blasted', 'blasted', 'sawn', 'air-blown', 'unknown'] as const;
export const REMOVAL_REASONS = ['failed', 'preventive', 'pavement-work', 'unknown'] as const;
/** `joint-length`: share of the joint's length (LTPP manual); `sample-unit`: share of the sealer in a sample unit
 * (ASTM D5340, D6433); `agency`: any other. Ratings by two methods are never merged. */
export const INSPECTION_METHODS = ['joint-length', 'sample-unit', 'agency'] as const;
export const SEVERITIES = ['low', 'moderate', 'high'] as const;
/** Kinds of joint seal damage of the LTPP Distress Identification Manual (FHWA-HRT-13-092). */
export const DAMAGE_KINDS = [
  'extrusion',
  'hardening',
  'adhesive-failure',
  'cohesive-failure',
  'complete-loss',
  'intrusion',
  'weeds',
] as const;
/** Of traffic, as signed or by the measure of the route; `both`: across, or between, the two. */
export const DIRECTIONS = [
  'northbound',
  'southbound',
  'eastbound',
  'westbound',
  'increasing',
  'decreasing',
  'clockwise',
  'anticlockwise',
  'both',
] as const;
export const FAMILIES = ['weibull', 'lognormal', 'loglogistic', 'exponential'] as const;
export const CLIMATE_ZONES = ['wet-freeze', 'wet-nonfreeze', 'dry-freeze', 'dry-nonfreeze'] as const;
export const RECORD_KINDS = [
  'facilities',
  'segments',
  'seals',
  'inspections',
  'stations',
  'climate',
  'unit-costs',
] as const;

export const FacilityKindSchema = oneOf(FACILITY_KINDS, 'What closes as a unit');
export const JointTypeSchema = oneOf(JOINT_TYPES, 'Kind of joint');
export const SealantClassSchema = oneOf(SEALANT_CLASSES, 'Sealant class; hot-applied types after ASTM D6690');
export const BaseTypeSchema = oneOf(BASE_TYPES, 'Base under the slab');
export const AggregateSchema = oneOf(AGGREGATES, 'Coarse aggregate of the concrete');
export const PreparationSchema = oneOf(PREPARATIONS, 'How the faces were prepared');
export const RemovalReasonSchema = oneOf(REMOVAL_REASONS, 'Why the seal was taken out');
export const InspectionMethodSchema = oneOf(INSPECTION_METHODS, 'What the damaged share is a share of');
export const SeveritySchema = oneOf(SEVERITIES, 'Severity level');
export const DamageKindSchema = oneOf(DAMAGE_KINDS, 'Kind of joint seal damage');
export const DirectionSchema = oneOf(DIRECTIONS, 'Direction of traffic; both: across, or between, the two');
export const FamilySchema = oneOf(FAMILIES, 'Family of the life distribution');
export const ClimateZoneSchema = oneOf(CLIMATE_ZONES, 'LTPP climate zone');
export const RecordKindSchema = oneOf(RECORD_KINDS, 'What the rows of a file are');

export type FacilityKind = Static<typeof FacilityKindSchema>;
export type JointType = Static<typeof JointTypeSchema>;
export type SealantClass = Static<typeof SealantClassSchema>;
export type BaseType = Static<typeof BaseTypeSchema>;
export type Aggregate = Static<typeof AggregateSchema>;
export type Preparation = Static<typeof PreparationSchema>;
export type RemovalReason = Static<typeof RemovalReasonSchema>;
export type InspectionMethod = Static<typeof InspectionMethodSchema>;
export type Severity = Static<typeof SeveritySchema>;
export type DamageKind = Static<typeof DamageKindSchema>;
export type Direction = Static<typeof DirectionSchema>;
export type Family = Static<typeof FamilySchema>;
export type ClimateZone = Static<typeof ClimateZoneSchema>;
export type RecordKind = Static<typeof RecordKindSchema>;
