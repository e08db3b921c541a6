import { Compile } from 'typebox/compile';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { type SegmentCard, SegmentCardSchema } from '../../server/schemas/card.ts';
import type { SegmentPage, SegmentRow } from '../../server/schemas/forecast.ts';
import { getJson, startDemo } from './demo-app.ts';
import { LOOPBACK, load } from './load-over-http.ts';
import { FACILITIES_CSV, SEALS_CSV, SEGMENTS_GEOJSON } from './small-agency.ts';
import { startApp, type TestApp } from './start-app.ts';

const isCard = Compile(SegmentCardSchema);

describe('the card of a segment', () => {
  let server: TestApp;
  let rows: SegmentRow[];
  beforeAll(async () => {
    server = await startDemo();
    rows = (await getJson<SegmentPage>(server, '/api/segments?limit=1000')).items;
  });
  afterAll(() => server.close());

  const card = (id: string) => getJson<SegmentCard>(server, `/api/segments/${encodeURIComponent(id)}`);
  const first = (wanted: (row: SegmentRow) => boolean): string => {
    const row = rows.find(wanted);
    if (!row) throw new Error('the sample has no such segment');
    return row.id;
  };

  test('holds the records, and agrees with the list', async () => {
    for (const row of rows.slice(0, 40)) {
      const found = await card(row.id);
      expect([...isCard.Errors(found)]).toEqual([]);
      expect(found.segment).toMatchObject({ id: row.id, district: row.district, sealedLengthM: row.sealedLengthM });
      expect(found.facility).toMatchObject({ id: row.facilityId, name: row.facilityName, kind: row.facilityKind });
      expect(found.observationNotes).toHaveLength(found.seals.length);
      expect(found.forecast?.dueYear ?? null).toBe(row.dueYear);
      const days = found.inspections.map(({ inspectedOn }) => inspectedOn);
      expect(days).toEqual([...days].sort());
    }
  });

  test('the curve starts at one on the last sound day, never rises, and lies in its interval', async () => {
    const found = await card(first((row) => row.damagedShare !== null && row.damagedShare < 0.1));
    const { curve } = found;
    if (!curve) throw new Error('no curve');
    expect(curve.survival[0]).toBe(1);
    expect(curve.knownSoundOn).toBe(found.inspections.at(-1)?.inspectedOn);
    for (const [i, share] of curve.survival.entries()) {
      expect(share).toBeLessThanOrEqual(curve.survival[Math.max(0, i - 1)]);
      expect(curve.lower[i]).toBeLessThanOrEqual(share + 1e-9);
      expect(curve.upper[i]).toBeGreaterThanOrEqual(share - 1e-9);
    }
    expect(curve.years.at(-1)).toBeCloseTo(2026.496 + 20, 2); // 1 July 2026 and the horizon of 20 years
  });

  test('a segment found failed is due now and has no curve', async () => {
    const cards = await Promise.all(rows.map(({ id }) => card(id)));
    const failed = cards.filter(({ forecast }) => forecast?.knownFailed);
    expect(failed.length).toBeGreaterThan(0);
    for (const { curve, forecast, inspections } of failed) {
      expect(curve).toBeNull();
      expect(forecast?.failedNowProbability).toBe(1);
      expect(inspections.some(({ damagedShare }) => damagedShare >= 0.1)).toBe(true);
    }
  });

  test('movement is the seasonal opening over the installed width', async () => {
    const found = await card(first((row) => row.jointType === 'transverse-contraction' && row.widthMm !== null));
    const { movement } = found;
    if (!movement) throw new Error('no movement');
    expect(movement.seasonalOpeningMm).toBeGreaterThan(0);
    expect(movement.demandShare).toBeCloseTo(movement.seasonalOpeningMm / movement.widthMm, 9);
    // AASHTO 1993: dL = C L alpha dT; a slab of L m between -40 and 60 C opens less than 12e-6 x 100 x L.
    expect(movement.seasonalOpeningMm).toBeLessThan(12e-6 * 100 * 1000 * (found.segment.slabLengthM ?? 0));
  });

  test('one that is not there is 404, and says where the list is', async () => {
    const answer = await server.app.inject({ url: '/api/segments/none', headers: LOOPBACK });
    expect(answer.statusCode).toBe(404);
    expect(answer.json()).toMatchObject({
      status: 404,
      type: '/api/docs#not-found',
      detail: expect.stringMatching(/GET \/api\/segments/),
    });
  });
});

test('a key is kept verbatim, whatever its signs, and found by it', async () => {
  const server = await startApp();
  try {
    const id = 'A/7 é%2F#?–"1"';
    await load(server, {
      'facilities.csv': FACILITIES_CSV,
      'segments.geojson': SEGMENTS_GEOJSON.replaceAll('"S1"', JSON.stringify(id)),
      'seals.csv': SEALS_CSV.replace('S1,', `"${id.replaceAll('"', '""')}",`),
    });
    const found = await getJson<SegmentCard>(server, `/api/segments/${encodeURIComponent(id)}`);
    expect(found.segment.id).toBe(id);
    expect(found.seals).toHaveLength(1);
    expect([found.forecast, found.curve, found.modelVersion]).toEqual([null, null, null]);
    expect([...isCard.Errors(found)]).toEqual([]);
  } finally {
    await server.close();
  }
});
