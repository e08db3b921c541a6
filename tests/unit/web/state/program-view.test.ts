import { describe, expect, test } from 'vitest';
import { chosenScenario, partFor } from '../../../../web/state/program-open.ts';
import { readProgramView, writeProgramView } from '../../../../web/state/program-view.ts';
import {
  countWorkFilters,
  readWorkQuery,
  withoutWorkFilter,
  withWorkField,
  withWorkOrder,
} from '../../../../web/state/work-query.ts';
import { workYears } from '../../../../web/state/work-years.ts';

describe('the Program screen in the address', () => {
  test('what is written is read again, and what is not said leaves no trace', () => {
    const view = { scenarioId: 's 1', part: 'work', year: 2031, beside: ['b', 'c'], trialId: 't' } as const;
    const params = writeProgramView(new URLSearchParams('district=North'), view);
    expect(readProgramView(params)).toEqual(view);
    expect(params.get('district')).toBe('North');
    const plain = writeProgramView(params, { scenarioId: null, part: null, year: null, beside: [], trialId: null });
    expect(plain.toString()).toBe('district=North');
  });

  test('another scenario starts without the year and the trial of the one before', () => {
    const params = new URLSearchParams('scenario=a&year=2031&trial=t&part=work');
    expect(writeProgramView(params, { scenarioId: 'b' }).toString()).toBe('scenario=b&part=work');
    expect(writeProgramView(params, { scenarioId: 'a' }).get('trial')).toBe('t');
  });

  test('nonsense reads as nothing, and at most five stand beside one', () => {
    expect(readProgramView(new URLSearchParams('part=everything&year=soon'))).toMatchObject({ part: null, year: null });
    expect(readProgramView(new URLSearchParams('with=a,b,a,c,d,e,f,g')).beside).toEqual(['a', 'b', 'c', 'd', 'e']);
  });

  test('without a choice the scenario changed last that has a program is opened at its answer', () => {
    const program = { revision: 1 } as NonNullable<Parameters<typeof partFor>[1]>['program'];
    const scenarios = [
      { id: 'old', changedAt: '2026-01-01', program },
      { id: 'new', changedAt: '2026-03-01', program: null },
      { id: 'middle', changedAt: '2026-02-01', program },
    ];
    const chosen = chosenScenario(scenarios, { scenarioId: null });
    expect(chosen?.id).toBe('middle');
    expect(partFor({ part: null }, chosen)).toBe('answer');
    expect(partFor({ part: null }, scenarios[1])).toBe('setup');
    expect(chosenScenario(scenarios, { scenarioId: 'gone' })).toBeNull();
    expect(partFor({ part: 'work' }, null)).toBe('scenarios');
  });
});

describe('the work list in the address', () => {
  test('filter and order are read, and what is not known is left out', () => {
    const params = new URLSearchParams('year=2028&district=North&why=due&order=-cost&sort=ageYears&segment=x');
    expect(readWorkQuery(params)).toEqual({
      year: 2028,
      district: 'North',
      why: 'due',
      sort: 'cost',
      descending: true,
    });
    expect(readWorkQuery(new URLSearchParams('why=whim&order=-mood&year=x'))).toEqual({
      sort: 'year',
      descending: false,
    });
  });

  test('setting and clearing', () => {
    const params = withWorkOrder(withWorkField(new URLSearchParams('part=work'), 'facility', 'F-1'), {
      sort: 'lengthM',
      descending: true,
    });
    expect(params.toString()).toBe('part=work&facility=F-1&order=-lengthM');
    expect(countWorkFilters(readWorkQuery(params))).toBe(1);
    expect(withoutWorkFilter(params).toString()).toBe('part=work&order=-lengthM');
    expect(withWorkOrder(params, { sort: 'year', descending: false }).get('order')).toBeNull();
  });
});

test('the years of a line are read from its text: one character a year, 0 for none', () => {
  expect(workYears('0z01', 2026)).toEqual([2027, 2029]);
  expect(workYears(null, 2026)).toEqual([]);
});
