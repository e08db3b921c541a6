import type { WeatherGate } from '../../analytics/closures/weather-gates.ts';

/** Weather limits in plain words, with where they are from. */
export function gateWords(gate: WeatherGate): { words: string; source: string } {
  const { leastAirC, leastPavementC, strictlyAbove, rising, noRain, source } = gate;
  const bound = (what: string, leastC: number) =>
    strictlyAbove ? `${what} above ${degrees(leastC)}` : `${what} ${degrees(leastC)} or more`;
  const limits = [
    leastAirC === null ? null : bound('air', leastAirC),
    leastPavementC === null ? null : bound('pavement', leastPavementC),
    rising ? 'temperature rising' : null,
    noRain ? 'no rain' : null,
  ].filter((limit) => limit !== null);
  const words = limits.join(', ');
  return { words: words.charAt(0).toUpperCase() + words.slice(1), source };
}

const degrees = (celsius: number): string => `${+celsius.toFixed(1)} °C (${Math.round((celsius * 9) / 5 + 32)} °F)`;
