import { expect, test } from 'vitest';
import { crewPace } from '../../../../analytics/closures/crew-pace.ts';
import { OPERATION_RATES } from '../../../../analytics/closures/operation-rates.ts';
import { passOperations, treatmentOf } from '../../../../server/closures/closure-hours.ts';
import { closureAssumptions } from '../../../../server/closures/closure-words.ts';
import { workSettings } from '../../../../server/closures/work-settings.ts';
import { sampleClosure, sampleRules } from '../store/sample-closures.ts';

test('an allowance plans crews slower by its share, so that a full shift leaves as much of its time free', () => {
  const rules = sampleRules({ paceAllowance: 0.2 });
  const [work] = sampleClosure().works;
  const paceOf = (crew: (typeof rules.crews)[number]) => {
    const pace = crewPace(crew, passOperations(work, rules), treatmentOf(work, rules), OPERATION_RATES);
    return 'minutesPerM' in pace ? pace.minutesPerM : Number.NaN;
  };
  const [planned] = workSettings(rules, 360).crews;
  // By hand: 240 m in 256 min at 1.0667 min/m (one blaster at 75 m/h, a blower at 225 m/h); planned 1.3333 min/m, 320 min.
  expect(240 * paceOf(rules.crews[0])).toBeCloseTo(256, 6);
  expect(240 * paceOf({ ...rules.crews[0], paceFactor: planned.paceFactor })).toBeCloseTo(320, 6);
  expect(workSettings(sampleRules(), 360).crews[0].paceFactor).toBe(1);
  expect(closureAssumptions(rules, '2027-01-01').join(' ')).toContain('20 % of their working time left free');
  expect(closureAssumptions(sampleRules(), '2027-01-01').join(' ')).not.toContain('left free');
});
