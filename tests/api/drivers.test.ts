import { Compile } from 'typebox/compile';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { segmentDrivers } from '../../server/forecasting/segment-drivers.ts';
import { whatIf } from '../../server/forecasting/what-if.ts';
import type { SegmentCard } from '../../server/schemas/card.ts';
import { type Drivers, DriversSchema, type WhatIf, WhatIfSchema } from '../../server/schemas/drivers.ts';
import type { SegmentPage } from '../../server/schemas/forecast.ts';
import type { UnitCost } from '../../server/schemas/unit-cost.ts';
import { getJson, startDemo } from './demo-app.ts';
import { LOOPBACK } from './load-over-http.ts';
import { startApp, type TestApp } from './start-app.ts';

let server: TestApp;
let cards: SegmentCard[];
beforeAll(async () => {
  server = await startDemo();
  const { items } = await getJson<SegmentPage>(server, '/api/segments?limit=1000');
  const read = items.filter(({ failedNowProbability }) => failedNowProbability !== null);
  cards = await Promise.all(read.slice(0, 60).map(({ id }) => getJson<SegmentCard>(server, `/api/segments/${id}`)));
});
afterAll(() => server.close());

const drivers = (id: string) => getJson<Drivers>(server, `/api/segments/${id}/drivers`);
const ask = (id: string, payload: object) =>
  server.app.inject({ method: 'POST', url: `/api/segments/${id}/what-if`, headers: LOOPBACK, payload });

describe('what drives a forecast', () => {
  test('is a ladder of four steps whose shares add up to one, ending at the forecast itself', async () => {
    const schema = Compile(DriversSchema);
    for (const { segment, forecast } of cards.slice(0, 25)) {
      const found = await segmentDrivers(server.store, segment.id);
      expect([...schema.Errors(found)]).toEqual([]);
      expect(found.steps.map(({ step }) => step)).toEqual(['prior', 'class', 'covariates', 'inspections']);
      expect(found.steps.reduce((sum, { informationShare }) => sum + informationShare, 0)).toBeCloseTo(1, 9);
      expect(found.steps[3].failureYear).toEqual({
        median: forecast?.medianFailureYear,
        lower: forecast?.lowerFailureYear,
        upper: forecast?.upperFailureYear,
      });
      for (const { failureYear } of found.steps.slice(0, 3)) {
        const { lower, median, upper } = failureYear;
        expect(lower ?? 0).toBeLessThan(median ?? Number.POSITIVE_INFINITY);
        expect(median ?? 0).toBeLessThan(upper ?? Number.POSITIVE_INFINITY);
      }
    }
  });

  test('starts from the published life of the class', async () => {
    const { seal, found } = await withClass('silicone-self-levelling');
    const [{ failureYear }] = found.steps;
    // 8 to 15 years for silicone: the prior's median is 12 years after installation.
    expect((failureYear.median ?? 0) - found.installed).toBeGreaterThan(11);
    expect((failureYear.median ?? 0) - found.installed).toBeLessThan(13);
    expect(Math.abs(found.installed - Number(seal.installedFrom.slice(0, 4)))).toBeLessThan(1.5);
  });

  test('says how each covariate of the place pushes life, and all together', async () => {
    const [{ segment }] = cards;
    const { effects, together } = await drivers(segment.id);
    expect(effects.length).toBeGreaterThan(5);
    const strength = effects.map(({ lifeRatio }) => Math.abs(Math.log(lifeRatio.median)));
    expect(strength).toEqual(strength.toSorted((a, b) => b - a));
    for (const { value, lifeRatio } of effects) {
      if (value === null) expect(lifeRatio).toEqual({ median: 1, lower: 1, upper: 1 });
    }
    // Medians of products are near products of medians where effects are small.
    const product = effects.reduce((total, { lifeRatio }) => total * lifeRatio.median, 1);
    expect(together.median / product).toBeGreaterThan(0.85);
    expect(together.median / product).toBeLessThan(1.15);
  });

  test('inspections of a seal with damage on record tell more than those of one never looked at', async () => {
    const share = async (pick: (card: SegmentCard) => boolean) => {
      const found = await Promise.all(cards.filter(pick).map(({ segment }) => drivers(segment.id)));
      return found.reduce((sum, { steps }) => sum + steps[3].informationShare, 0) / found.length;
    };
    const looks = ({ inspections, seals }: SegmentCard) =>
      inspections.filter(({ inspectedOn }) => inspectedOn > (seals.at(-1)?.installedTo ?? '')).length;
    const inspected = await share((card) => looks(card) >= 3);
    expect(inspected).toBeGreaterThan(0.3);
    const seldom = cards.filter((card) => looks(card) === 0);
    if (seldom.length > 0) expect(await share((card) => looks(card) === 0)).toBeLessThan(inspected);
  });

  async function withClass(sealantClass: string) {
    const card = cards.find(({ seals }) => seals.at(-1)?.sealantClass === sealantClass);
    const seal = card?.seals.at(-1);
    if (!card || !seal) throw new Error(`no ${sealantClass} in the demo`);
    return { card, seal, found: await drivers(card.segment.id) };
  }
});

describe('what another seal would do', () => {
  const dry = () => cards.find(({ segment }) => !segment.fuelExposure) ?? cards[0];

  test('stands beside resealing like with like, with life, chances and yearly cost', async () => {
    const { segment } = dry();
    const found = await whatIf(server.store, segment.id, { sealantClass: 'preformed-compression' });
    expect([...Compile(WhatIfSchema).Errors(found)]).toEqual([]);
    const { option, likeWithLike } = found;
    for (const { lasts, medianLifeYears, lifeYears } of [option, likeWithLike]) {
      expect(lasts.map(({ years }) => years)).toEqual([5, 10, 15]);
      const chances = lasts.map(({ chance }) => chance);
      expect(chances).toEqual(chances.toSorted((a, b) => b - a));
      // One seal varies more than what is known of the median of many.
      expect(lifeYears.upper - lifeYears.lower).toBeGreaterThan(medianLifeYears.upper - medianLifeYears.lower);
    }
    const prices = await getJson<UnitCost[]>(server, '/api/unit-costs');
    expect(prices.map(({ costPerM }) => costPerM)).toContain(option.costPerM);
    // i (1 + i)^n / ((1 + i)^n - 1) at 4 % and the median life: FHWA-SA-98-079.
    const growth = 1.04 ** option.medianLifeYears.median;
    const annual = ((option.costPerM ?? 0) * 0.04 * growth) / (growth - 1);
    expect(found.discountRatePerYear).toBe(0.04);
    expect(option.annualCostPerM?.median).toBeCloseTo(annual, 2);
  });

  test('the same seal again is no change', async () => {
    const { segment, seals } = dry();
    const last = seals.at(-1);
    const { option, likeWithLike, lifeRatio } = (
      await ask(segment.id, { sealantClass: last?.sealantClass })
    ).json() as WhatIf;
    expect(option).toEqual(likeWithLike);
    expect(lifeRatio).toEqual({ median: 1, lower: 1, upper: 1 });
  });

  test('blasted faces and another year change what they should', async () => {
    const { segment, seals } = dry();
    const sealantClass = seals.at(-1)?.sealantClass;
    const of = async (more: object) => (await ask(segment.id, { sealantClass, ...more })).json() as WhatIf;
    const [blasted, blown] = [await of({ preparation: 'blasted' }), await of({ preparation: 'air-blown' })];
    // Blasting lengthens life in the demo's true model.
    expect(blasted.option.medianLifeYears.median).toBeGreaterThan(blown.option.medianLifeYears.median);
    const [now, later] = [await of({ year: 2026 }), await of({ year: 2031 })];
    expect(later.option.failureYear.median).toBeCloseTo((now.option.failureYear.median ?? 0) + 5, 9);
    expect(later.option.medianLifeYears).toEqual(now.option.medianLifeYears);
  });

  test('hot-applied and silicone are refused where fuel is spilt (scopes of ASTM D6690 and D5893)', async () => {
    const card = cards[cards.length - 1];
    const exposed = { ...card.segment, fuelExposure: true };
    const load = await server.store.beginLoad();
    load.write({ kind: 'segments', rows: [exposed] });
    load.commit();
    for (const sealantClass of ['silicone-self-levelling', 'silicone-non-sag', 'hot-applied', 'hot-applied-type-4']) {
      const answer = await ask(exposed.id, { sealantClass });
      expect([answer.statusCode, answer.json().type]).toEqual([422, '/api/docs#not-suitable']);
      expect(answer.json().detail).toMatch(/fuel/);
    }
    expect((await ask(exposed.id, { sealantClass: 'polysulfide' })).statusCode).toBe(200);
  });

  test('a class that nobody has used is known by published lives alone', async () => {
    const { segment } = dry();
    const { option } = (await ask(segment.id, { sealantClass: 'hot-applied-type-3' })).json() as WhatIf;
    expect(option.knownBy).toMatch(/No seal of this class is on record/);
    expect(option.costPerM === null).toBe(option.annualCostPerM === null);
  });

  test('a year gone by, a class that there is not and an unknown segment are refused', async () => {
    const { segment } = dry();
    const past = await ask(segment.id, { sealantClass: 'polysulfide', year: 2020 });
    expect([past.statusCode, past.json().errors[0].field]).toEqual([400, 'body.year']);
    expect((await ask(segment.id, { sealantClass: 'tar' })).statusCode).toBe(400);
    expect((await ask('nowhere', { sealantClass: 'polysulfide' })).statusCode).toBe(404);
    const missing = await server.app.inject({ url: '/api/segments/nowhere/drivers', headers: LOOPBACK });
    expect(missing.statusCode).toBe(404);
  });

  test('before the first forecast there is nothing to say', async () => {
    const empty = await startApp();
    const answer = await empty.app.inject({ url: '/api/segments/S1/drivers', headers: LOOPBACK });
    expect(answer.statusCode).toBe(404);
    await empty.close();
  });
});
