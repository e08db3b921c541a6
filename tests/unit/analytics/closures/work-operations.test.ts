import { describe, expect, test } from 'vitest';
import { type CrewMakeUp, crewPace, labourHours, USUAL_TEAMS } from '../../../../analytics/closures/crew-pace.ts';
import { OPERATION_RATES } from '../../../../analytics/closures/operation-rates.ts';
import { type ResealTreatment, resealOperations } from '../../../../analytics/closures/work-operations.ts';

const treatment = (oldClass: string | null, newClass: string): ResealTreatment => ({
  oldClass,
  newClass,
  washAfterSawing: true,
  withRod: true,
});
const kinds = (oldClass: string | null, newClass: string) =>
  resealOperations(treatment(oldClass, newClass)).map(({ kind }) => kind);
const SILICONE = 'silicone-self-levelling';
const AFTER_SAW = ['wash', 'dry', 'abrasive-blast', 'blow-out', 'place-rod', 'seal', 'inspect', 'open'];

describe('operations by the seal that is there (common practice in sealing joints with silicone)', () => {
  test('hot-applied and cold-applied sealant: cut out, saw the faces, wash, dry, blast, blow, rod, seal', () => {
    expect(kinds('hot-applied-type-2', SILICONE)).toEqual(['remove-old-seal', 'saw-faces', ...AFTER_SAW]);
    expect(kinds('polysulfide', SILICONE)).toEqual(['remove-old-seal', 'saw-faces', ...AFTER_SAW]);
  });

  test('a preformed seal: pull out, blast off the adhesive, blow; no saw and no water', () => {
    expect(kinds('preformed-compression', SILICONE)).toEqual(['remove-old-seal', ...AFTER_SAW.slice(2)]);
  });

  test('silicone under silicone: cut and clean; under anything else its faces are sawn', () => {
    expect(kinds(SILICONE, 'silicone-non-sag')).toEqual(['remove-old-seal', ...AFTER_SAW.slice(2)]);
    expect(kinds(SILICONE, 'hot-applied-type-4')).toContain('saw-faces');
  });

  test('a joint without a seal has nothing to remove; a preformed seal takes no rod', () => {
    expect(kinds(null, SILICONE)[0]).toBe('saw-faces');
    expect(kinds('hot-applied', 'preformed-compression')).not.toContain('place-rod');
  });

  test('sawn dry there is no wash and no wait', () => {
    const dry = resealOperations({ ...treatment('hot-applied', SILICONE), washAfterSawing: false });
    expect(dry.map(({ kind }) => kind)).not.toContain('dry');
  });
});

describe('production rates', () => {
  test('rates read for the same machines on cracks: middle of FHWA-RD-99-147 table 8, m/min to m/h', () => {
    // Table 8: diamond saw 1.0-2.5 m/min, compressed air 3.0-4.5, abrasive blast 1.0-1.5, melter 4.5-8.0, backer rod
    // 2.5-4.5, silicone pump 1.5-3.5. By hand: (1.0 + 2.5) / 2 x 60 = 105 and so on.
    const perHour = (key: keyof typeof OPERATION_RATES) => OPERATION_RATES[key].metresPerHour;
    expect([perHour('saw-faces'), perHour('blow-out'), perHour('abrasive-blast')]).toEqual([105, 225, 75]);
    expect([perHour('seal/hot-applied'), perHour('place-rod'), perHour('seal/silicone')]).toEqual([375, 210, 150]);
    expect(OPERATION_RATES['abrasive-blast'].bracket).toEqual([60, 90]);
  });

  test('each default lies in its bracket and says where it is from', () => {
    for (const { metresPerHour, bracket, mark, source } of Object.values(OPERATION_RATES)) {
      expect(metresPerHour).toBeGreaterThanOrEqual(bracket[0]);
      expect(metresPerHour).toBeLessThanOrEqual(bracket[1]);
      expect(source).toContain(mark === 'common practice' ? 'common practice' : 'FHWA-RD-99-147');
    }
  });
});

describe('pace of a crew', () => {
  const crew: CrewMakeUp = { id: 'a', name: 'Crew A', teams: USUAL_TEAMS, families: ['silicone'], paceFactor: 1 };
  const seal = treatment('hot-applied', SILICONE);

  test('the slowest team governs: one blaster at 75 m/h and a blower at 225 m/h behind it', () => {
    // By hand: 60/75 + 60/225 = 0.8 + 0.2667 min/m; saw team (60/120 + 60/105 + 60/300)/2 = 0.636; seal team
    // 60/210 + 60/150 + 60/300 = 0.886.
    const pace = crewPace(
      crew,
      resealOperations(seal).map(({ kind }) => kind),
      seal,
      OPERATION_RATES,
    );
    // Both brackets are 1 to 1.5: eight in ten shifts within ln 1.5, 2 x 1.281552 standard deviations.
    expect(pace).toEqual({
      minutesPerM: expect.closeTo(0.8 + 60 / 225, 12),
      spread: expect.closeTo(Math.log(1.5) / 2.563103, 6),
    });
  });

  test('two blasters halve the blast, and the seal team governs', () => {
    const teams = USUAL_TEAMS.map((team, i) => (i === 1 ? { ...team, machines: 2 } : team));
    const kindsOf = resealOperations(seal).map(({ kind }) => kind);
    // By hand, weighted by time: rod ln 1.8, silicone ln 7/3, check ln 2; 0.7288 / 2.5631 = 0.28433.
    expect(crewPace({ ...crew, teams }, kindsOf, seal, OPERATION_RATES)).toEqual({
      minutesPerM: expect.closeTo(60 / 210 + 60 / 150 + 60 / 300, 12),
      spread: expect.closeTo(0.28433, 4),
    });
  });

  test('blasting 4 net hours gives the 240 to 360 m of the bracket', () => {
    // published: abrasive blast 60-90 m/h; a 6 h window with 4 h of net blasting gives 240-360 m per blasting crew.
    const [low, high] = OPERATION_RATES['abrasive-blast'].bracket;
    expect([4 * low, 4 * high]).toEqual([240, 360]);
  });

  test('a crew without the machine or the team says so', () => {
    const hot = treatment('hot-applied', 'hot-applied-type-4');
    expect(crewPace(crew, ['seal'], hot, OPERATION_RATES)).toEqual({
      cannot: 'Crew A has no machine for hot applied sealant',
    });
    const noSaw = { ...crew, teams: USUAL_TEAMS.slice(1) };
    expect(crewPace(noSaw, ['saw-faces'], seal, OPERATION_RATES)).toEqual({
      cannot: 'Crew A has no team to saw faces',
    });
  });

  test('labour: blasting 150 m at 75 m/h with three people is six hours', () => {
    expect(labourHours(150, ['abrasive-blast', 'open'], seal, OPERATION_RATES)).toBe(6);
  });
});
