import type { ScenarioInputs } from '../../server/schemas/scenario.ts';
import { sampleInputs, sampleProgram, sampleWork } from '../unit/server/store/sample-program.ts';
import { startDemo } from './demo-app.ts';
import { LOOPBACK } from './load-over-http.ts';
import type { TestApp } from './start-app.ts';

export const CLOSURE_YEAR = 2027;

/** The demo agency with a scenario whose program reseals some segments of two runways and a highway in one year. */
export async function startWithProgram(inputs: ScenarioInputs = sampleInputs()) {
  const server = await startDemo(1200);
  const { store } = server;
  const facilities = await store.listFacilities();
  const chosen = [
    ...facilities.filter(({ kind }) => kind === 'runway').slice(0, 2),
    ...facilities.filter(({ kind }) => kind === 'highway').slice(0, 1),
  ];
  await store.addScenario({ id: 'plan', name: 'Adopted', note: '', inputs, createdAt: '2026-07-01T09:00:00.000Z' });
  const works = [];
  for (const { id, name } of chosen) {
    const page = await store.listSegments({
      ...{ filter: { facility: id }, sort: 'id', descending: false, limit: 6, after: null },
    });
    for (const { id: segmentId, district, jointType, sealantClass, sealedLengthM } of page.items)
      works.push(
        sampleWork(segmentId, {
          ...{ facilityId: id, facilityName: name, district, jointType, year: CLOSURE_YEAR, lengthM: sealedLengthM },
          ...{ sealantClass: 'polysulfide', sealantClassInPlace: sealantClass },
        }),
      );
  }
  await store.writeProgram('plan', sampleProgram(works, { planningDate: '2026-07-01' }));
  return { server, facilities: chosen, works };
}

export const sender =
  (server: TestApp) => (method: 'GET' | 'POST' | 'PATCH' | 'DELETE', url: string, payload?: object, ifMatch?: string) =>
    server.app.inject({ method, url, payload, headers: { ...LOOPBACK, ...(ifMatch ? { 'if-match': ifMatch } : {}) } });
