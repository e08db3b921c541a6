import type { Program, ProgramWork } from '../schemas/program.ts';
import type { LineGeometry } from '../schemas/segment.ts';
import type { Store } from '../store/store.ts';
import { answeredWorks } from './program-tables.ts';
import { rounded } from './units.ts';

/** A GeoJSON FeatureCollection (RFC 7946), one feature for each segment with work, in SI units; works by year. */
export async function* programGeoJson(store: Store, program: Program): AsyncGenerator<string> {
  yield '{"type":"FeatureCollection","features":[';
  const works = worksBySegment(store, program);
  let next = await works.next();
  let separator = '\n';
  for await (const batch of store.exportSegments({}, true)) {
    const features: string[] = [];
    for (const { id, geometry } of batch) {
      // Both lists are in the order of ids; what was taken from the records since then has no geometry.
      while (!next.done && stands(next.value[0].segmentId, id) < 0) next = await works.next();
      if (next.done || next.value[0].segmentId !== id) continue;
      features.push(JSON.stringify(feature(program, next.value, geometry ?? null)));
    }
    if (features.length === 0) continue;
    yield separator + features.join(',\n');
    separator = ',\n';
  }
  yield '\n]}\n';
}

/** The order of the store: by the bytes of UTF-8. */
const stands = (a: string, b: string): number => (a === b ? 0 : Buffer.compare(Buffer.from(a), Buffer.from(b)));

async function* worksBySegment(store: Store, program: Program): AsyncGenerator<ProgramWork[]> {
  let kept: ProgramWork[] = [];
  for await (const batch of store.readWorks(program.scenarioId, 'segment'))
    for (const work of answeredWorks(program, batch)) {
      if (kept.length > 0 && kept[0].segmentId !== work.segmentId) {
        yield kept;
        kept = [];
      }
      kept.push(work);
    }
  if (kept.length > 0) yield kept;
}

function feature(program: Program, works: readonly ProgramWork[], geometry: LineGeometry | null) {
  const [{ segmentId, facilityId, facilityName, district, jointType, lengthM, sealantClassInPlace }] = works;
  const { scenarioName, scenarioRevision, modelVersion, currency, priceYear } = program;
  return {
    ...{ type: 'Feature', id: segmentId, geometry },
    properties: {
      ...{ id: segmentId, facilityId, facilityName, district, jointType, lengthM, sealantClassInPlace },
      firstYear: works[0].year,
      works: works.map((work) => ({
        year: work.year,
        sealantClass: work.sealantClass,
        cost: rounded(work.cost, 2),
        constantCost: rounded(work.constantCost, 2),
        failedChance: rounded(work.failedChance, 6),
        savedByNotWaiting: work.savedByNotWaiting === null ? null : rounded(work.savedByNotWaiting, 2),
        neighbours: work.neighbours,
        why: work.why,
        reason: work.reason,
      })),
      ...{ currency, priceYear, scenario: scenarioName, scenarioRevision, modelVersion },
    },
  };
}
