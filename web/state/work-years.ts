/** Calendar years in which a line of the map is worked on, read from a tile's text: one character a year, 0 for none. */
export function workYears(text: string | null, firstYear: number): number[] {
  if (text === null) return [];
  return [...text].flatMap((level, offset) => (level === '0' ? [] : [firstYear + offset]));
}
