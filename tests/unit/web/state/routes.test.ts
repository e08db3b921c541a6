import { expect, test } from 'vitest';
import { matchScreen, SCREENS, screenAddress } from '../../../../web/state/routes.ts';
import { readThemeChoice, resolveTheme } from '../../../../web/state/theme.ts';

test('the bare address is the map, and a trailing slash changes nothing', () => {
  expect(matchScreen('/')?.name).toBe('map');
  expect(matchScreen('/joints/')?.name).toBe('joints');
});

test('every screen is found at its own path, and nothing at another', () => {
  for (const screen of SCREENS) expect(matchScreen(screen.path)).toBe(screen);
  expect(matchScreen('/maps')).toBeNull();
  expect(matchScreen('/map/more')).toBeNull();
});

test('an address can be read by a person and by the browser alike', () => {
  const params = new URLSearchParams({ district: 'North,South & West', at: '-93,44,9' });
  const address = screenAddress('/map', params);
  expect(address).toBe('/map?district=North,South+%26+West&at=-93,44,9');
  expect([...new URL(address, 'http://127.0.0.1').searchParams]).toEqual([...params]);
  expect(screenAddress('/data', new URLSearchParams())).toBe('/data');
});

test('the theme is the reader’s choice, else the system’s', () => {
  expect(readThemeChoice('dark')).toBe('dark');
  expect(readThemeChoice('blue')).toBe('system');
  expect(resolveTheme('system', true)).toBe('dark');
  expect(resolveTheme('light', true)).toBe('light');
});
