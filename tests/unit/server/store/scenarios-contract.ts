import fc from 'fast-check';
import { expect, test } from 'vitest';
import { WORK_REASONS, WORK_SORT_FIELDS, type WorkFilter, type WorkSort } from '../../../../server/schemas/program.ts';
import type { StoredWork } from '../../../../server/store/scenario-store.ts';
import type { Store } from '../../../../server/store/store.ts';
import type { OpenForTest } from './open-for-test.ts';
import { loadNetwork, sampleNetwork } from './sample-network.ts';
import { sampleInputs, sampleProgram, sampleWork, sampleWorks } from './sample-program.ts';

const AT = '2024-06-01T09:00:00.000Z';
const LATER = '2024-06-02T09:00:00.000Z';

const add = (store: Store, id: string) =>
  store.addScenario({ id, name: `Plan ${id}`, note: '', inputs: sampleInputs(), createdAt: AT });

const everyWork = async (store: Store, id: string, order: 'segment' | 'year' = 'segment'): Promise<StoredWork[]> => {
  const works: StoredWork[] = [];
  for await (const batch of store.readWorks(id, order)) works.push(...batch);
  return works;
};

/** Scenarios under revisions and locks. */
export function contractOfScenarios(open: OpenForTest): void {
  test('a scenario is kept as it was sent, in the order of making', async () => {
    const { store, reopen } = await open();
    const inputs = sampleInputs({ chosen: [{ segmentId: "S'1", year: null, sealantClass: null }] });
    await store.addScenario({ id: 'b', name: 'Adopted 2027–2031', note: 'by the board', inputs, createdAt: AT });
    await add(store, 'a');
    const again = await reopen();
    expect((await again.listScenarios()).map(({ id }) => id)).toEqual(['b', 'a']);
    expect(await again.findScenario('b')).toEqual({
      id: 'b',
      name: 'Adopted 2027–2031',
      note: 'by the board',
      locked: false,
      revision: 1,
      inputsRevision: 1,
      createdAt: AT,
      changedAt: AT,
      inputs,
      program: null,
    });
    expect(await again.findScenario('c')).toBeNull();
  });

  test('each change is a revision, and says what changed to whoever comes with an older one', async () => {
    const { store } = await open();
    await add(store, 'a');
    const renamed = await store.changeScenario('a', 1, { name: 'New' }, LATER);
    expect(renamed).toMatchObject({ kind: 'done', scenario: { revision: 2, inputsRevision: 1, changedAt: LATER } });
    const inputs = sampleInputs({ horizonYears: 5, minimumJobM: 300 });
    const changed = await store.changeScenario('a', 2, { inputs, note: 'why' }, LATER);
    expect(changed).toMatchObject({ kind: 'done', scenario: { name: 'New', revision: 3, inputsRevision: 3, inputs } });
    expect(await store.changeScenario('a', 1, { name: 'Other' }, LATER)).toMatchObject({
      kind: 'stale',
      scenario: { name: 'New', revision: 3 },
      since: [
        { revision: 2, changedAt: LATER, fields: ['name'] },
        { revision: 3, changedAt: LATER, fields: ['note', 'inputs.horizonYears', 'inputs.minimumJobM'] },
      ],
    });
    expect(await store.changeScenario('a', 9, {}, LATER)).toMatchObject({ kind: 'stale', since: [] });
    expect(await store.changeScenario('none', 1, {}, LATER)).toEqual({ kind: 'missing' });
    const same = await store.changeScenario('a', 3, { inputs: sampleInputs(inputs), name: 'New' }, AT);
    expect(same).toMatchObject({ kind: 'done', scenario: { revision: 3, changedAt: LATER } });
    expect(await store.changeScenario('a', null, { note: '' }, LATER)).toMatchObject({ scenario: { revision: 4 } });
  });

  test('of changes at the same time from the same revision, one is made', async () => {
    const { store, beside } = await open();
    await add(store, 'a');
    const other = await beside();
    const answers = await Promise.all(
      Array.from({ length: 8 }, (_, i) => (i % 2 ? store : other).changeScenario('a', 1, { name: `N${i}` }, LATER)),
    );
    expect(answers.map(({ kind }) => kind).sort()).toEqual(['done', ...Array.from({ length: 7 }, () => 'stale')]);
    expect((await store.findScenario('a'))?.revision).toBe(2);
  });

  test('a locked scenario takes nothing but its unlocking, and keeps its program', async () => {
    const { store } = await open();
    await add(store, 'a');
    await store.writeProgram('a', sampleProgram([sampleWork('S1')]));
    await store.changeScenario('a', 1, { locked: true }, LATER);
    expect(await store.changeScenario('a', 2, { name: 'New' }, LATER)).toMatchObject({ kind: 'locked' });
    expect(await store.changeScenario('a', 2, { name: 'New', locked: false }, LATER)).toMatchObject({ kind: 'locked' });
    expect(await store.removeScenario('a', 2)).toMatchObject({ kind: 'locked' });
    await expect(store.writeProgram('a', sampleProgram([]))).rejects.toMatchObject({ fault: 'gone' });
    expect(await everyWork(store, 'a')).toEqual([sampleWork('S1')]);
    expect(await store.changeScenario('a', 2, { locked: false }, LATER)).toMatchObject({ kind: 'done' });
  });

  test('a scenario goes with its program, if it is of the revision named', async () => {
    const { store } = await open();
    await add(store, 'a');
    await add(store, 'b');
    await store.writeProgram('a', sampleProgram([sampleWork('S1')]));
    await store.writeProgram('b', sampleProgram([sampleWork('S2')]));
    expect(await store.removeScenario('a', 2)).toMatchObject({ kind: 'stale' });
    expect(await store.removeScenario('a', 1)).toMatchObject({ kind: 'done' });
    expect(await store.removeScenario('a', 1)).toEqual({ kind: 'missing' });
    expect([await store.readProgram('a'), await store.readProgramDraws('a')]).toEqual([null, null]);
    expect(await everyWork(store, 'a')).toEqual([]);
    expect(await everyWork(store, 'b')).toEqual([sampleWork('S2')]);
    await expect(store.writeProgram('a', sampleProgram([]))).rejects.toMatchObject({ fault: 'gone' });
    await store.checkIntegrity();
  });
}

const some = (words: readonly string[]) =>
  fc.subarray([...words], { minLength: 1, maxLength: 2 }).map((chosen) => chosen.map(encodeURIComponent).join(','));

const CONDITIONS: Record<keyof WorkFilter, fc.Arbitrary<string | number>> = {
  year: fc.integer({ min: 2025, max: 2047 }),
  minYear: fc.integer({ min: 2025, max: 2047 }),
  maxYear: fc.integer({ min: 2025, max: 2047 }),
  district: some(['North', 'South', 'East, upper', '100% West', 'nowhere']),
  facility: some(['F0', 'F3', "F'; DROP"]),
  segmentIds: some(['S0', 'S7', 'S99', 'nowhere']),
  sealantClass: some(['polysulfide', 'hot-applied', 'silicone-non-sag']),
  why: some(WORK_REASONS),
};
const filters: fc.Arbitrary<WorkFilter> = fc
  .subarray(Object.keys(CONDITIONS) as (keyof WorkFilter)[], { maxLength: 3 })
  .chain((fields) => fc.record(Object.fromEntries(fields.map((field) => [field, CONDITIONS[field]]))))
  .map((filter) => filter as WorkFilter);

const listed = (list: string | undefined, value: string): boolean =>
  list === undefined || list.split(',').map(decodeURIComponent).includes(value);

/** The filter as a reader would say it: what the SQL must agree with. */
const keeps = (filter: WorkFilter, work: StoredWork): boolean =>
  (filter.year ?? work.year) === work.year &&
  work.year >= (filter.minYear ?? 0) &&
  work.year <= (filter.maxYear ?? 9999) &&
  listed(filter.district, work.district) &&
  listed(filter.facility, work.facilityId) &&
  listed(filter.segmentIds, work.segmentId) &&
  listed(filter.sealantClass, work.sealantClass) &&
  listed(filter.why, work.why);

const compareBy = (sort: WorkSort, descending: boolean) => (a: StoredWork, b: StoredWork) => {
  const [x, y] = [a[sort], b[sort]];
  if (x === y) return 0;
  if (x === null || y === null) return x === null ? 1 : -1;
  return x < y === descending ? 1 : -1;
};

const bySegmentAndYear = (a: StoredWork, b: StoredWork): number =>
  a.segmentId < b.segmentId ? -1 : a.segmentId > b.segmentId ? 1 : a.year - b.year;

/** Programs and their works. */
export function contractOfPrograms(open: OpenForTest): void {
  test('a program comes back as it was written, and the next one takes its place whole', async () => {
    const { store, reopen } = await open();
    await add(store, 'a');
    expect(await store.programVersion('a')).toBeNull();
    expect(await store.listWorks('a', query({}))).toEqual({ items: [], numberMatched: 0, next: null });
    const works = sampleWorks(['S3', 'S1', 'S2'], 1);
    const first = sampleProgram(works);
    await store.writeProgram('a', first);
    const version = await store.programVersion('a');
    const again = await reopen();
    const { works: _works, draws, report, freeKey: _key, freeObjective: _objective, ...head } = first;
    expect(await again.readProgram('a')).toEqual({ ...head, report });
    expect(Array.from((await again.readProgramDraws('a')) ?? [])).toEqual([...draws]);
    expect((await again.findScenario('a'))?.program).toEqual(head);
    expect(await everyWork(again, 'a')).toEqual(works.toSorted(bySegmentAndYear));
    expect(await everyWork(again, 'a', 'year')).toEqual(works);
    await again.writeProgram('a', sampleProgram([sampleWork('S9')], { report: { sentence: 'next' }, revision: 4 }));
    expect(await again.programVersion('a')).not.toBe(version);
    expect(await again.readProgram('a')).toMatchObject({ revision: 4, report: { sentence: 'next' } });
    expect(await everyWork(again, 'a')).toEqual([sampleWork('S9')]);
    await again.checkIntegrity();
  });

  test('a program without choices by hand is found by what was asked, whatever the scenario', async () => {
    const { store } = await open();
    await add(store, 'a');
    await add(store, 'b');
    await store.writeProgram('a', sampleProgram([], { freeKey: 'x', freeObjective: null }));
    expect(await store.findFreeProgram('x')).toBeNull();
    await store.writeProgram('b', sampleProgram([], { freeKey: 'x', freeObjective: 12.5 }));
    expect([await store.findFreeProgram('x'), await store.findFreeProgram('y')]).toEqual(['b', null]);
  });

  test('a program that fails halfway leaves the earlier one', async () => {
    const { store } = await open();
    await add(store, 'a');
    await store.writeProgram('a', sampleProgram([sampleWork('S1')]));
    const version = await store.programVersion('a');
    function* broken() {
      yield [sampleWork('S2')];
      throw new Error('no more');
    }
    await expect(store.writeProgram('a', sampleProgram([], { works: broken() }))).rejects.toThrow(/no more/);
    expect(await store.programVersion('a')).toBe(version);
    expect(await everyWork(store, 'a')).toEqual([sampleWork('S1')]);
    await store.writeProgram('a', sampleProgram([sampleWork('S3')]));
    expect(await everyWork(store, 'a')).toEqual([sampleWork('S3')]);
  });

  const query = (filter: WorkFilter, change: { sort?: WorkSort; descending?: boolean; limit?: number } = {}) => ({
    ...{ filter, sort: 'segmentId' as WorkSort, descending: false, limit: 1000, after: null, ...change },
  });
  const ids = Array.from({ length: 130 }, (_, i) => `S${i}`);

  test('a filter keeps exactly what it says, in list and count', async () => {
    const { store } = await open();
    await add(store, 'a');
    const works = sampleWorks(ids, 2);
    await store.writeProgram('a', sampleProgram(works));
    let kept = 0;
    await fc.assert(
      fc.asyncProperty(filters, async (filter) => {
        const wanted = works.filter((work) => keeps(filter, work)).sort(bySegmentAndYear);
        kept += wanted.length;
        const page = await store.listWorks('a', query(filter));
        expect(page.items.toSorted(bySegmentAndYear)).toEqual(wanted);
        expect([page.numberMatched, page.next]).toEqual([wanted.length, null]);
      }),
      { seed: 1, numRuns: 150 },
    );
    expect(kept).toBeGreaterThan(1000);
  });

  test.each(WORK_SORT_FIELDS)(
    'walking the pages by %s gives every work once, in order, unknown values last',
    async (sort) => {
      const { store } = await open();
      await add(store, 'a');
      const works = sampleWorks(ids, 3);
      await store.writeProgram('a', sampleProgram(works));
      for (const filter of [{}, { district: 'North,South' }]) {
        for (const descending of [false, true]) {
          const walked: StoredWork[] = [];
          for (let after: string | null = null; ; ) {
            const page = await store.listWorks('a', { ...query(filter, { sort, descending, limit: 17 }), after });
            walked.push(...page.items);
            after = page.next;
            if (after === null) break;
          }
          expect(walked.toSorted(bySegmentAndYear)).toEqual(
            works.filter((work) => keeps(filter, work)).sort(bySegmentAndYear),
          );
          const compare = compareBy(sort, descending);
          for (let i = 1; i < walked.length; i++) expect(compare(walked[i - 1], walked[i])).toBeLessThanOrEqual(0);
        }
      }
      await expect(store.listWorks('a', { ...query({}), after: 'bm8' })).rejects.toMatchObject({ fault: 'page-token' });
    },
  );

  test('segments and runs show where the program has work, by share of length and year', async () => {
    const { store } = await open();
    const network = sampleNetwork({ segments: 80, seed: 5 });
    await loadNetwork(store, network);
    await add(store, 'a');
    const worked = network.segments.filter((_, i) => i % 2 === 0);
    const works = worked.map(({ id }) => sampleWork(id, { year: 2028 }));
    await store.writeProgram('a', sampleProgram([...works, sampleWork('gone', { year: 2026 })]));
    const world = [-180, -85, 180, 85] as const;
    const set = new Set(worked.map(({ id }) => id));
    for (const segment of await store.segmentsInBox(world, {}, 1000, 'a')) {
      const expected = Array.from({ length: 20 }, (_, y) => (y === 2 && set.has(segment.id) ? 1 : 0));
      expect(Array.from(segment.workByYear ?? [])).toEqual(expected);
    }
    for (const filter of [{}, { facility: 'F1' }]) {
      for (const run of await store.runsInBox(0, world, filter, 'a')) {
        const members = network.segments.filter(({ facilityId }) => facilityId === run.facilityId);
        const lengthOf = (list: typeof members) => list.reduce((sum, { sealedLengthM }) => sum + sealedLengthM, 0);
        if (run.segments !== members.length) continue;
        const share = lengthOf(members.filter(({ id }) => set.has(id))) / lengthOf(members);
        expect(run.workByYear?.[2]).toBeCloseTo(share, 6);
        expect(run.workByYear?.[3]).toBe(0);
      }
    }
    expect((await store.segmentsInBox(world, {}, 1))[0].workByYear).toBeNull();
    await add(store, 'b');
    expect((await store.runsInBox(0, world, {}, 'b'))[0].workByYear).toBeNull();
  });

  test('facts of segments tell whether they can be resealed', async () => {
    const { store } = await open();
    const network = sampleNetwork({ segments: 80, seed: 5 });
    await loadNetwork(store, network);
    const sealed = new Set(
      network.batches.flatMap((batch) => (batch.kind === 'seals' ? batch.rows : [])).map((s) => s.segmentId),
    );
    const facts = await store.readSegmentFacts([...network.segments.map(({ id }) => id), 'nowhere']);
    expect(facts.size).toBe(80);
    for (const { id, unsealedByPolicy, facilityId, district, jointType } of network.segments) {
      const resealable = sealed.has(id) && !unsealedByPolicy;
      expect(facts.get(id)).toMatchObject({ id, facilityId, district, jointType, fuelExposure: false, resealable });
    }
  });
}
