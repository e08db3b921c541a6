import { LAST_DAY } from './agency.ts';
import { dayInYear, dayOf, yearOf } from './days.ts';
import { openDraws } from './random.ts';
import type { Station } from './stations.ts';

export const WEATHER_YEARS = 30;
export const FIRST_WEATHER_DAY = dayOf(yearOf(LAST_DAY) - WEATHER_YEARS, 7, 1);

/** One day at one station; null where nobody read the instrument. */
export interface WeatherDay {
  readonly day: number;
  readonly maxC: number | null;
  readonly minC: number | null;
  readonly precipitationMm: number | null;
}

/** Part of today's departure from the season that tomorrow keeps. */
const PERSISTENCE = 0.72;
const COLDEST_DAY = 18;
const roundTenth = (value: number) => Math.round(value * 10) / 10;

/**
 * Daily series of one station: a seasonal cycle, a year's own warmth, a first-order autoregression that neighbours of
 * a district mostly share, and rain as a two-state chain with exponential amounts. Days are in order, none left out.
 */
export function* generateWeather(seed: number, station: Station): Generator<WeatherDay> {
  const shared = openDraws(seed, 'weather', station.district.name);
  const own = openDraws(seed, 'weather', station.id);
  const gaps = openDraws(seed, 'weather-gaps', station.id);
  const longGapFrom = FIRST_WEATHER_DAY + gaps.integer(400, 10_000);
  const longGapDays = gaps.integer(8, 25);
  // Rain keeps on: a wet day makes the next one wetter, with the long-run share of wet days unchanged.
  const wetAfterWet = station.wetDayShare + 0.25 * (1 - station.wetDayShare);
  const wetAfterDry = (station.wetDayShare * (1 - wetAfterWet)) / (1 - station.wetDayShare);
  let departure = 0;
  let wet = false;
  let yearDeparture = 0;
  for (let day = FIRST_WEATHER_DAY; day <= LAST_DAY; day++) {
    const inYear = dayInYear(day);
    if (inYear === 0) yearDeparture = 0.9 * shared.normal();
    const winter = Math.cos((2 * Math.PI * (inYear - COLDEST_DAY)) / 365.25);
    const spreadC = (2.3 + station.swingC / 8) * (1 + 0.35 * winter);
    const shock = 0.92 * shared.normal() + 0.39 * own.normal();
    departure = PERSISTENCE * departure + Math.sqrt(1 - PERSISTENCE ** 2) * shock;
    wet = own.chance(wet ? wetAfterWet : wetAfterDry);
    const meanC = station.meanC - station.swingC * winter + yearDeparture + spreadC * departure;
    const halfRangeC = (station.dailyRangeC / 2) * (wet ? 0.75 : 1.08) * Math.max(0.25, 1 + 0.22 * own.normal());
    const rainMm = wet ? Math.max(0.3, station.wetDayMm * (1 - 0.2 * winter) * own.exponential()) : 0;
    const lost = (day >= longGapFrom && day < longGapFrom + longGapDays) || gaps.chance(0.003);
    const rainLost = gaps.chance(0.002);
    yield {
      day,
      maxC: lost ? null : roundTenth(meanC + halfRangeC),
      minC: lost ? null : roundTenth(meanC - halfRangeC),
      precipitationMm: rainLost ? null : roundTenth(rainMm),
    };
  }
}
