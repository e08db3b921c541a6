import { seededRandom } from '../../analytics/numeric/seeded-normals.ts';
import { runForecast } from '../../server/forecasting/run-forecast.ts';
import type { RecordBatch } from '../../server/store/store.ts';
import { facility, inspection, loadAll, seal, segment } from '../unit/server/store/sample-records.ts';
import { quietly } from './demo-app.ts';
import { startApp, type TestApp } from './start-app.ts';

const FACILITIES = 12;
const LOTS = 30;
const SIGMA = 0.35;
const MEDIAN_YEARS = 11;
export const FACILITY_SD = 0.3;
export const LOT_SD = 0.2;

export interface DifferingAgency {
  readonly server: TestApp;
  /** True effect on log life of each facility. */ readonly facilityEffects: ReadonlyMap<string, number>;
}

/** An agency whose facilities and lots differ, and whose districts do not; every fifth seal is of a lot not recorded. */
export async function startDiffering({
  segments = 600,
  facilitySd = FACILITY_SD,
  lotSd = LOT_SD,
} = {}): Promise<DifferingAgency> {
  const { normal, uniform } = seededRandom(42);
  const ofFacility = Array.from({ length: FACILITIES }, () => facilitySd * normal());
  const ofLot = Array.from({ length: LOTS }, () => lotSd * normal());
  const facilities = ofFacility.map((_, f) => facility(`F${f}`, { district: districtOf(f), recordsFrom: null }));
  const rows = { segments: [], seals: [], inspections: [] } as Record<'segments' | 'seals' | 'inspections', object[]>;
  for (let i = 0; i < segments; i++) {
    const [id, f, lot] = [`S${i}`, i % FACILITIES, Math.floor(uniform() * LOTS)];
    const year = 2008 + Math.floor(10 * uniform());
    rows.segments.push(segment(id, { facilityId: `F${f}`, district: districtOf(f), consequenceWeight: 1 }));
    rows.seals.push(
      seal(`${id}/1`, {
        ...{ segmentId: id, sealantClass: 'polysulfide', lot: i % 5 === 0 ? null : `L${lot}` },
        ...{ installedFrom: `${year}-07-01`, installedTo: `${year}-07-01` },
      }),
    );
    const shift = ofFacility[f] + ofLot[lot] + SIGMA * (Math.log(-Math.log(1 - uniform())) - Math.log(Math.LN2));
    const life = MEDIAN_YEARS * Math.exp(shift);
    for (let look = year + 1 + Math.floor(2 * uniform()); look <= 2026; look += 2)
      rows.inspections.push(
        inspection(`${id}/${look}`, {
          ...{ segmentId: id, inspectedOn: `${look}-06-01`, inspector: `inspector ${look % 3}` },
          damagedShare: readShare(look - year - 1 / 12, life, normal()),
          damageShares: {},
        }),
      );
  }
  const server = await startApp();
  await loadAll(server.store, [
    { kind: 'facilities', rows: facilities },
    ...Object.entries(rows).map(([kind, list]) => ({ kind, rows: list }) as unknown as RecordBatch),
    {
      kind: 'unit-costs',
      rows: [{ sealantClass: 'polysulfide', jointType: 'any', costPerM: 10, pricedOn: null, priceSource: null }],
    },
  ]);
  await runForecast(quietly(server));
  return { server, facilityEffects: new Map(facilities.map(({ name }, f) => [name, ofFacility[f]])) };
}

const districtOf = (facility_: number): string => ['East', 'North', 'South', 'West'][facility_ % 4];

/** A tenth at the end of life, growing as age to the power 2.5, read to the thousandth and never across the threshold. */
function readShare(ageYears: number, life: number, error: number): number {
  const share = 0.1 * (ageYears / life) ** 2.5 * Math.exp(0.25 * error);
  const read = Math.round(1000 * Math.min(1, share)) / 1000;
  return ageYears < life ? Math.min(0.099, read) : Math.max(0.1, read);
}
