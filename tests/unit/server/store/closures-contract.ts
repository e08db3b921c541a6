import { expect, test } from 'vitest';
import type { Store } from '../../../../server/store/store.ts';
import type { OpenForTest } from './open-for-test.ts';
import { sampleRules, sampleSchedule, storedClosure } from './sample-closures.ts';
import { loadNetwork, sampleNetwork } from './sample-network.ts';

const AT = '2026-11-26T09:00:00.000Z';
const LATER = '2026-11-27T09:00:00.000Z';
const note = (sentence: string, closureId: string | null = null) => ({ sentence, closureId, changedAt: LATER });

const add = ({ closures }: Store, id: string) =>
  closures.addClosurePlan({ id, name: `Plan ${id}`, note: '', rules: sampleRules(), createdAt: AT });

/** Plans of closures under revisions, their schedules and events. */
export function contractOfClosures(open: OpenForTest): void {
  test('a plan is kept as it was sent, in the order of making', async () => {
    const { store, reopen } = await open();
    const rules = sampleRules({ facilityIds: ["R'1"] });
    await store.closures.addClosurePlan({ id: 'b', name: 'Nights 2027', note: 'agreed', rules, createdAt: AT });
    await add(store, 'a');
    const again = await reopen();
    expect((await again.closures.listClosurePlans()).map(({ id }) => id)).toEqual(['b', 'a']);
    expect(await again.closures.findClosurePlan('b')).toEqual({
      ...{ id: 'b', name: 'Nights 2027', note: 'agreed', revision: 1, rulesRevision: 1 },
      ...{ createdAt: AT, changedAt: AT, rules, schedule: null },
    });
    expect(await again.closures.findClosurePlan('c')).toBeNull();
    expect(await again.closures.readSchedule('b')).toBeNull();
  });

  test('each change is a revision, and says what changed to whoever comes with an older one', async () => {
    const { closures } = (await open()).store;
    await closures.addClosurePlan({ id: 'a', name: 'Plan', note: '', rules: sampleRules(), createdAt: AT });
    const rules = sampleRules({ noticeDays: 14 });
    expect(await closures.changeClosurePlan('a', 1, { name: 'New' }, LATER)).toMatchObject({
      ...{ kind: 'done', plan: { revision: 2, rulesRevision: 1, changedAt: LATER } },
    });
    expect(await closures.changeClosurePlan('a', 2, { rules }, LATER)).toMatchObject({
      ...{ kind: 'done', plan: { name: 'New', revision: 3, rulesRevision: 3, rules } },
    });
    expect(await closures.changeClosurePlan('a', 1, { name: 'Other' }, LATER)).toMatchObject({
      ...{ kind: 'stale', plan: { name: 'New', revision: 3 } },
      since: [
        { revision: 2, changedAt: LATER, sentence: 'Changed name.', closureId: null },
        { revision: 3, changedAt: LATER, sentence: 'Changed rules.noticeDays.', closureId: null },
      ],
    });
    expect(await closures.changeClosurePlan('a', 3, { rules, name: 'New' }, AT)).toMatchObject({
      plan: { revision: 3 },
    });
    expect(await closures.changeClosurePlan('none', 1, {}, LATER)).toEqual({ kind: 'missing' });
  });

  test('a schedule keeps its closures and the cancelled ones, and a closure changes by its event', async () => {
    const { store, reopen } = await open();
    await add(store, 'a');
    const first = storedClosure();
    const gone = storedClosure({ id: 'F0@2027-05-01T2300+360', uid: 'uid-0', startsAt: '2027-05-01T23:00' }, true);
    const schedule = sampleSchedule('a', [gone, first]);
    expect(await store.closures.writeSchedule('a', 1, schedule, note('Scheduled.'))).toMatchObject({
      ...{ kind: 'done', plan: { revision: 2, schedule: { rulesRevision: 1, madeFrom: 'as it was' } } },
    });
    const moved = storedClosure({ id: 'F0@2027-05-05T2300+360', startsAt: '2027-05-05T23:00', sequence: 1 });
    const change = await store.closures.writeClosures('a', 2, [moved], note('Moved.', moved.closure.id));
    expect(change).toMatchObject({ kind: 'done', plan: { revision: 3 } });
    const again = await reopen();
    expect((await again.closures.readSchedule('a'))?.closures).toEqual([gone, moved]);
    expect((await again.closures.readSchedule('a'))?.head).toEqual(schedule.head);
    const late = await again.closures.writeClosures('a', 2, [first], note('Late.'));
    expect(late).toMatchObject({ kind: 'stale', since: [{ sentence: 'Moved.', closureId: moved.closure.id }] });
    expect((await again.closures.readSchedule('a'))?.closures).toEqual([gone, moved]);
    await again.checkIntegrity();
  });

  test('of two who change the same revision at the same time, one does and the other is told', async () => {
    const { store, beside } = await open();
    await add(store, 'a');
    await store.closures.writeSchedule('a', 1, sampleSchedule('a', [storedClosure()]), note('Scheduled.'));
    const other = await beside();
    const answers = await Promise.all(
      Array.from({ length: 6 }, (_, i) =>
        (i % 2 ? store : other).closures.writeClosures('a', 2, [storedClosure({ note: `N${i}` })], note(`N${i}`)),
      ),
    );
    expect(answers.map(({ kind }) => kind).sort()).toEqual(['done', ...Array.from({ length: 5 }, () => 'stale')]);
    const done = answers.findIndex(({ kind }) => kind === 'done');
    expect((await store.closures.readSchedule('a'))?.closures[0].closure.note).toBe(`N${done}`);
  });

  test('a plan goes with all that hangs on it, under its revision', async () => {
    const { store } = await open();
    await add(store, 'a');
    await store.closures.writeSchedule('a', null, sampleSchedule('a', [storedClosure()]), note('Scheduled.'));
    expect(await store.closures.removeClosurePlan('a', 1)).toMatchObject({ kind: 'stale' });
    expect(await store.closures.removeClosurePlan('a', 2)).toMatchObject({ kind: 'done' });
    expect(await store.closures.removeClosurePlan('a', null)).toEqual({ kind: 'missing' });
    await add(store, 'a');
    expect(await store.closures.readSchedule('a')).toBeNull();
    await store.checkIntegrity();
  });

  test('segments are found by id with their lines, and facilities have a place', async () => {
    const { store } = await open();
    const network = sampleNetwork({ segments: 40, seed: 3 });
    await loadNetwork(store, network);
    const ids = network.segments.slice(0, 5).map(({ id }) => id);
    const found = await store.closures.findSegments([...ids, 'nowhere']);
    expect(found.map(({ segment }) => segment.id).sort()).toEqual([...ids].sort());
    for (const each of found) expect(each).toEqual(await store.findSegment(each.segment.id));
    const directions = await store.closures.readDirections();
    expect([...directions.values()]).toEqual([...directions.keys()].map(() => ['northbound']));
    expect(directions.size).toBe(new Set(network.segments.map(({ facilityId }) => facilityId)).size);
    const places = await store.closures.readFacilityPlaces();
    expect([...places.keys()].sort()).toEqual(
      [...new Set(network.segments.map(({ facilityId }) => facilityId))].sort(),
    );
  });
}
