/** The screens, in the order of the menu. Paths never change: people keep links. */
export const SCREENS = [
  { path: '/map', name: 'map', label: 'Map', filtered: true },
  { path: '/joints', name: 'joints', label: 'Joints', filtered: true },
  { path: '/service-life', name: 'service-life', label: 'Service life', filtered: false },
  { path: '/evidence', name: 'evidence', label: 'Evidence', filtered: false },
  { path: '/odd-ones', name: 'odd-ones', label: 'Odd ones', filtered: false },
  { path: '/budget', name: 'budget', label: 'Budget', filtered: false },
  { path: '/program', name: 'program', label: 'Program', filtered: false },
  { path: '/closures', name: 'closures', label: 'Closures', filtered: false },
  { path: '/data', name: 'data', label: 'Data', filtered: false },
] as const;

export type Screen = (typeof SCREENS)[number];
export type ScreenName = Screen['name'];

/** The screen at a path; the bare address is the map. null: no such screen. */
export function matchScreen(path: string): Screen | null {
  const trimmed = path.replace(/\/+$/, '');
  if (trimmed === '') return SCREENS[0];
  return SCREENS.find((screen) => screen.path === trimmed) ?? null;
}

/** Address of a screen with the given parameters. */
export function screenAddress(path: string, params: URLSearchParams): string {
  // Commas, colons and blanks stay legible: the address is meant to be read and sent.
  const query = params.toString().replaceAll('%2C', ',').replaceAll('%3A', ':');
  return query === '' ? path : `${path}?${query}`;
}
