import { climateNormals } from '../analytics/climate/climate-normals.ts';
import { isoOf } from './days.ts';
import type { WeatherDay } from './weather.ts';

/** Climate of one station under the names of the true model's covariates. */
export interface StationNormals {
  readonly freezingIndexCDays: number;
  readonly freezeThawDays: number;
  readonly temperatureRangeC: number;
  readonly precipitationMm: number;
}

/** Normals of a series, computed as the forecast computes them, so that the truth and a fit speak of the same figures. */
export function stationNormals(series: readonly WeatherDay[]): StationNormals {
  const normals = climateNormals(series.map((weather) => ({ ...weather, day: isoOf(weather.day) })));
  if (!normals) throw new RangeError(`series has ${series.length} days; expected at least one whole year`);
  return {
    freezingIndexCDays: normals.freezingIndexCDays,
    freezeThawDays: normals.freezeThawDaysPerYear,
    temperatureRangeC: normals.temperatureRangeC,
    precipitationMm: normals.precipitationMmPerYear,
  };
}
