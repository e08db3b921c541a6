import fc from 'fast-check';
import { expect, test } from 'vitest';
import type { ModelHistory, SegmentHistory, Store } from '../../../../server/store/store.ts';
import type { OpenForTest } from './open-for-test.ts';
import { loadNetwork, sampleNetwork } from './sample-network.ts';
import { facility, inspection, loadAll, seal, segment } from './sample-records.ts';

/** More than two batches, so that there are bounds between them. */
const NETWORK = { segments: 260, seed: 11 };

async function everyHistory(store: Store): Promise<ModelHistory[]> {
  const histories: ModelHistory[] = [];
  for await (const batch of store.readHistories()) histories.push(...batch);
  return histories;
}

/** What the model reads of a whole history. */
const modelPart = ({ segment, facility, seals, inspections }: SegmentHistory): ModelHistory => ({
  segment: {
    id: segment.id,
    facilityId: segment.facilityId,
    district: segment.district,
    jointType: segment.jointType,
    slabLengthM: segment.slabLengthM,
    baseType: segment.baseType,
    coarseAggregate: segment.coarseAggregate,
    widthMm: segment.widthMm,
    sealedLengthM: segment.sealedLengthM,
    fuelExposure: segment.fuelExposure,
    consequenceWeight: segment.consequenceWeight,
    unsealedByPolicy: segment.unsealedByPolicy,
    leftAloneReason: segment.leftAloneReason,
    lon: segment.lon,
    lat: segment.lat,
  },
  facility,
  seals: seals.map(
    ({ id, sealantClass, installedFrom, installedTo, widthMm, preparation, lot, removedOn, removalReason }) => ({
      id,
      sealantClass,
      installedFrom,
      installedTo,
      widthMm,
      preparation,
      lot,
      removedOn,
      removalReason,
    }),
  ),
  inspections: inspections.map(({ inspectedOn, method, inspector, damagedShare }) => ({
    inspectedOn,
    method,
    inspector,
    damagedShare,
  })),
});

async function everyCard(store: Store, ids: readonly string[]): Promise<ModelHistory[]> {
  const cards: ModelHistory[] = [];
  for (const id of ids) {
    const card = await store.findSegment(id);
    if (!card) throw new Error(`no segment ${id}`);
    cards.push(modelPart(card));
  }
  return cards;
}

/** What the model reads of a whole network. */
export function contractOfHistories(open: OpenForTest): void {
  test('histories come once each in id order, and say what the card of each segment says', async () => {
    const { store } = await open();
    const network = sampleNetwork(NETWORK);
    await loadNetwork(store, network);
    const histories = await everyHistory(store);
    const ids = network.segments.map(({ id }) => id).sort();
    expect(histories.map(({ segment }) => segment.id)).toEqual(ids);
    expect(histories).toEqual(await everyCard(store, ids));
  });

  test('any text and any number comes back as it was written, to the last bit', async () => {
    const { store } = await open();
    const texts = ['"', "O'Brien\\", 'a\tb\nc', '\u0001', '雪', '🛣', '\u2028', '﻿x', '</script>', '5', 'null'];
    const numbers = fc.sample(fc.double({ min: Number.MIN_VALUE, max: 1e300, noNaN: true }), { seed: 1, numRuns: 150 });
    const rows = [...numbers, 0.1 + 0.2, 1 / 3, 5e-324, 2 ** 53 - 1].map((value, i) =>
      segment(`${texts[i % texts.length]} ${i}`, {
        sealedLengthM: value,
        widthMm: value,
        leftAloneReason: texts[i % 7],
      }),
    );
    await loadAll(store, [
      { kind: 'facilities', rows: [facility('A')] },
      { kind: 'segments', rows },
      { kind: 'inspections', rows: rows.map(({ id }, i) => inspection(`i${i}`, { segmentId: id, inspector: id })) },
    ]);
    const histories = await everyHistory(store);
    expect(histories.length).toBe(rows.length);
    const byId = new Map(histories.map((history) => [history.segment.id, history]));
    for (const { id, sealedLengthM, widthMm, leftAloneReason } of rows) {
      const history = byId.get(id);
      expect(history?.segment).toMatchObject({ id, leftAloneReason });
      expect(history?.segment.sealedLengthM).toBe(sealedLengthM);
      expect(history?.segment.widthMm).toBe(widthMm);
      expect(history?.inspections.map(({ inspector }) => inspector)).toEqual([id]);
    }
  });

  test('what stands on one day keeps the order of its keys', async () => {
    const { store } = await open();
    const keys = ['k10', 'K2', 'k2', 'ä', '🛣', '\uffee'];
    await loadAll(store, [
      { kind: 'facilities', rows: [facility('A')] },
      { kind: 'segments', rows: [segment('S1'), segment('S2')] },
      { kind: 'seals', rows: keys.map((key) => seal(key, { lot: key })) },
      { kind: 'inspections', rows: keys.map((key) => inspection(key, { inspector: key, segmentId: 'S2' })) },
    ]);
    expect(await everyHistory(store)).toEqual(await everyCard(store, ['S1', 'S2']));
  });

  test('all histories are of one moment, and the next reading sees what was loaded meanwhile', async () => {
    const { store, beside } = await open();
    await loadNetwork(store, sampleNetwork(NETWORK));
    const before = await everyHistory(store);
    const other = await beside();
    const seen: ModelHistory[] = [];
    for await (const batch of store.readHistories()) {
      if (seen.length === 0)
        await loadAll(other, [{ kind: 'inspections', rows: before.map(lookOf).filter((row) => row !== null) }]);
      seen.push(...batch);
    }
    expect(seen).toEqual(before);
    expect(await everyHistory(store)).not.toEqual(before);
  });

  test('a reader that stops early, by leaving or by throwing, holds nothing back', async () => {
    const { store, reopen } = await open();
    await loadNetwork(store, sampleNetwork(NETWORK));
    for await (const batch of store.readHistories()) {
      expect(batch.length).toBeLessThan(NETWORK.segments);
      break;
    }
    const failing = async () => {
      for await (const _ of store.readHistories()) throw new Error('enough');
    };
    await expect(failing()).rejects.toThrow('enough');
    await loadAll(store, [{ kind: 'facilities', rows: [facility('late')] }]);
    expect((await everyHistory(await reopen())).length).toBe(NETWORK.segments);
  });

  test('a store without segments has no histories', async () => {
    const { store } = await open();
    expect(await everyHistory(store)).toEqual([]);
  });
}

/** One more look at a segment. */
const lookOf = ({ segment, seals }: ModelHistory) =>
  seals.length > 0 ? inspection(`${segment.id}/late`, { segmentId: segment.id, inspectedOn: '2023-09-09' }) : null;
