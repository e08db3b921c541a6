import { type Static, Type } from 'typebox';
import { IntervalSchema } from './common.ts';

export const CalendarYearSchema = Type.Object({
  year: Type.Integer(),
  rateRatio: {
    ...IntervalSchema,
    description: 'Failure rate over that of an average year, drawn in to 1 where little is expected; 80 % interval',
  },
  expected: Type.Number({ description: 'Failures that an average year would have had' }),
  failures: Type.Number({ description: 'Failures that lie in it, each shared out between its bounds' }),
});
export type CalendarYear = Static<typeof CalendarYearSchema>;

/** How much calendar years differ for all seals alike. Absent from reports of older versions. */
export const YearsReportSchema = Type.Object({
  told: Type.Boolean({
    description: 'The records have years and failures enough; false: what is believed before any data',
  }),
  beyondChance: Type.Boolean({ description: 'Letting years differ gains more than chance would' }),
  factor: {
    ...IntervalSchema,
    description: "exp of the SD of the log of a year's failure rate: median and 80 % interval",
  },
  gain: Type.Number({ description: 'Twice the gain in log marginal likelihood from letting years differ' }),
  leastGain: Type.Number({ description: 'Years differ beyond chance from this gain up' }),
  failures: Type.Integer({ description: 'Failures within known bounds that years were compared by' }),
  sentence: Type.String({ description: 'How much years differ, from what' }),
  inIntervals: Type.String({ description: 'Which intervals have it in them' }),
  years: Type.Array(CalendarYearSchema, { description: 'Years in which an average year would have had a failure' }),
});
export type YearsReport = Static<typeof YearsReportSchema>;
