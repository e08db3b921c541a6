import { type Static, Type } from 'typebox';
import { COVARIATES } from '../../analytics/survival/covariate-table.ts';
import { PoolingSettingSchema } from './pooling.ts';
import { PriorsSchema } from './priors.ts';
import { FamilySchema, InspectionMethodSchema, oneOf } from './words.ts';

export const CovariateNameSchema = oneOf(
  COVARIATES.map(({ name }) => name),
  'A covariate of the service-life model',
);
export const ConditionModelSchema = oneOf(
  ['auto', 'off'],
  'auto: damaged shares below the failure threshold sharpen lives where there are enough of them; off: never',
);

export const SettingsSchema = Type.Object(
  {
    agencyName: Type.String({ minLength: 1, maxLength: 200 }),
    agencyInvented: Type.Boolean({
      description: 'True for the demo agency: every screen says so',
    }),
    currency: Type.String({ pattern: '^[A-Z]{3}$', description: 'ISO 4217' }),
    failureThresholdShare: Type.Number({
      minimum: 0.01,
      maximum: 1,
      default: 0.1,
      description:
        'A seal has failed at this damaged share of length. Default 0.10: ASTM D5340 / D6433, high severity (replace now) from 10 %',
    }),
    inspectionMethod: InspectionMethodSchema,
    family: FamilySchema,
    conditionModel: { ...ConditionModelSchema, default: 'auto' },
    pooling: { ...PoolingSettingSchema, default: 'auto' },
    leftOutCovariates: Type.Array(CovariateNameSchema, {
      default: [],
      maxItems: 20,
      uniqueItems: true,
      description: 'Covariates that the model does without',
    }),
    priors: Type.Union([PriorsSchema, Type.Null()], {
      default: null,
      description: 'What is believed of lives before any inspection; null: as published',
    }),
    stationLimitKm: Type.Number({ minimum: 1, maximum: 1000, default: 150 }),
    escalationPerYear: Type.Number({
      minimum: -0.1,
      maximum: 0.3,
      default: 0.03,
    }),
    discountRatePerYear: Type.Number({
      minimum: 0,
      maximum: 0.3,
      default: 0.04,
      description: 'Real rate, for constant prices. Default 4 %: FHWA-SA-98-079',
    }),
    openJointCostPerMYear: Type.Number({
      minimum: 0,
      maximum: 10_000,
      default: 6,
      description:
        "Yearly cost of leaving a failed joint open, agency's currency per metre; multiplied by the consequence weight",
    }),
    planningDate: Type.Union([Type.String({ pattern: '^[0-9]{4}-[0-9]{2}-[0-9]{2}$', format: 'date' }), Type.Null()], {
      description: 'Forecasts start here; null: the day of the run',
    }),
    baseMapUrl: Type.Union([Type.String({ maxLength: 500, pattern: '^(https?://|/).+' }), Type.Null()], {
      description: 'Raster tile address with {z}/{x}/{y}; null: the built-in outline, no network',
    }),
  },
  { additionalProperties: false },
);
export type Settings = Static<typeof SettingsSchema>;
