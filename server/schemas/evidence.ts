import { type Static, Type } from 'typebox';
import { IsoDateSchema, Nullable } from './common.ts';
import { BacktestEvidenceSchema } from './evidence-backtest.ts';
import { DiagnosticsSchema } from './evidence-diagnostics.ts';
import { OddOnesSchema } from './evidence-odd.ts';
import { FamilySchema, oneOf } from './words.ts';

/** How far one model version can be trusted: what it would have forecast, how it fits, and what stands out. */
export const EvidenceReportSchema = Type.Object(
  {
    modelVersion: Type.Integer({ description: 'The model that was judged' }),
    dataVersion: Type.Integer(),
    madeAt: Type.String(),
    planningDate: IsoDateSchema,
    settingsUsed: Type.Object({
      family: FamilySchema,
      failureThresholdShare: Type.Number(),
      inspectionMethod: Type.String(),
      cutoffs: Type.Array(IsoDateSchema),
      horizonYears: Type.Number(),
      draws: Type.Integer(),
      seed: Type.Integer(),
    }),
    backtest: Nullable(BacktestEvidenceSchema),
    diagnostics: Nullable(DiagnosticsSchema),
    odd: OddOnesSchema,
    notes: Type.Array(Type.String(), { description: 'What was left out or sampled, and why, one sentence each' }),
  },
  { $id: 'EvidenceReport' },
);
export type EvidenceReport = Static<typeof EvidenceReportSchema>;

export const EVIDENCE_EXPORTS = ['calibration', 'observed-expected', 'probability-plot', 'odd'] as const;
export const EvidenceExportSchema = oneOf(EVIDENCE_EXPORTS, 'Which part of the evidence');
export type EvidenceExport = (typeof EVIDENCE_EXPORTS)[number];
