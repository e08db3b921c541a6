import { COAST, type District, DRY_PLAINS, NORTH_MORAINE } from './agency.ts';
import { type Position, toPosition } from './place.ts';

/** An invented station: where it is, and the weather that the generator gives it. */
export interface Station {
  readonly id: string;
  readonly name: string;
  readonly district: District;
  readonly position: Position;
  readonly elevationM: number;
  /** Mean of the year, °C. */ readonly meanC: number;
  /** Half of the difference between midsummer and midwinter, °C. */ readonly swingC: number;
  /** Usual difference between a day's highest and lowest, °C. */ readonly dailyRangeC: number;
  readonly wetDayShare: number;
  /** Mean precipitation of a wet day, mm. */ readonly wetDayMm: number;
}

type Row = [string, District, number, number, number, number, number, number, number, number];

/** name, district, km east, km north, elevation, mean, swing, daily range, wet days, mm of a wet day.
 * Within each district the columns are crossed on purpose, so that no covariate of climate is a stand-in for another. */
const ROWS: readonly Row[] = [
  ['Kettle Flats', NORTH_MORAINE, -46, 41, 412, 5.6, 17.6, 11.2, 0.26, 5.6],
  ['Long Esker', NORTH_MORAINE, 49, 38, 318, 7.0, 16.2, 10.2, 0.33, 7.4],
  ['Drumlin Rise', NORTH_MORAINE, -40, -47, 455, 7.6, 15.6, 13.4, 0.24, 6.0],
  ['Outwash Landing', NORTH_MORAINE, 44, -44, 290, 8.9, 15.2, 10.8, 0.32, 8.8],
  ['Dry Fork Bench', DRY_PLAINS, -48, 45, 1290, 11.6, 13.0, 16.4, 0.17, 5.2],
  ['Shortgrass', DRY_PLAINS, 46, 42, 890, 13.2, 12.8, 13.6, 0.19, 6.9],
  ['Mesa Wells', DRY_PLAINS, -43, -41, 1120, 14.8, 11.4, 17.0, 0.15, 5.6],
  ['Playa Crossing', DRY_PLAINS, 50, -46, 760, 16.0, 12.0, 14.0, 0.18, 8.2],
  ['Longleaf Hill', COAST, -44, 46, 120, 17.4, 10.4, 13.2, 0.27, 10.6],
  ['Cypress Bend', COAST, 42, 44, 38, 18.3, 9.4, 11.8, 0.31, 12.6],
  ['Bayhead', COAST, -47, -40, 22, 19.6, 8.8, 11.6, 0.26, 12.0],
  ['Saltgrass Point', COAST, 45, -45, 4, 20.4, 8.0, 8.6, 0.33, 13.4],
];

export const STATIONS: readonly Station[] = ROWS.map(
  ([name, district, eastKm, northKm, elevationM, meanC, swingC, dailyRangeC, wetDayShare, wetDayMm], i) => ({
    id: `TCT${String(i + 1).padStart(5, '0')}`,
    name: `${name} (invented)`,
    district,
    position: toPosition(district, { x: eastKm * 1000, y: northKm * 1000 }),
    elevationM,
    meanC,
    swingC,
    dailyRangeC,
    wetDayShare,
    wetDayMm,
  }),
);
