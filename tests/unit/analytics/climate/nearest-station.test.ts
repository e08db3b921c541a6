import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { greatCircleKm, joinStations } from '../../../../analytics/climate/nearest-station.ts';

describe('the nearest station', () => {
  test('a degree of a meridian is 111.195 km, half the Earth round 20,015 km', () => {
    // 2 pi 6371.0088 / 360 and pi 6371.0088.
    expect(greatCircleKm({ lon: 10, lat: 40 }, { lon: 10, lat: 41 })).toBeCloseTo(111.195, 3);
    expect(greatCircleKm({ lon: 0, lat: 0 }, { lon: 180, lat: 0 })).toBeCloseTo(20_015.115, 2);
  });

  test('across the date line the near side counts', () => {
    const join = joinStations(
      [{ lon: 179.9, lat: 50 }],
      [
        { lon: -179.9, lat: 50 },
        { lon: 170, lat: 50 },
      ],
      100,
    );
    expect(join.station[0]).toBe(0);
    expect(join.distanceKm[0]).toBeLessThan(20);
  });

  test('beyond the limit there is no station, and that is counted', () => {
    const join = joinStations(
      [
        { lon: 0, lat: 0 },
        { lon: 0, lat: 2 },
      ],
      [{ lon: 0, lat: 0.5 }],
      100,
    );
    expect([...join.station]).toEqual([0, -1]);
    expect(join.without).toBe(1);
    expect(joinStations([{ lon: 0, lat: 0 }], [], 100).without).toBe(1);
    expect(() => joinStations([], [], 0)).toThrow(/limitKm is 0/);
  });

  test('it is the one that haversine distances to all stations name', () => {
    const position = fc.record({
      lon: fc.double({ min: -180, max: 180, noNaN: true }),
      lat: fc.double({ min: -90, max: 90, noNaN: true }),
    });
    fc.assert(
      fc.property(position, fc.array(position, { minLength: 1, maxLength: 20 }), (here, stations) => {
        const join = joinStations([here], stations, 30_000);
        const shortest = Math.min(...stations.map((station) => greatCircleKm(here, station)));
        expect(join.distanceKm[0]).toBeLessThan(shortest + 1e-3);
      }),
      { seed: 6 },
    );
  });
});
