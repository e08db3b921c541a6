import { tzlib_get_ical_block, tzlib_get_timezones } from 'timezones-ical-library';

/** The library tells standard error of a name that it does not know, so it is asked for known ones only. */
const KNOWN: ReadonlySet<string> = new Set(tzlib_get_timezones(false));

/** VTIMEZONE (RFC 5545, section 3.6.5) of an IANA zone under its canonical name; null: none is known. */
export function zoneBlock(timeZone: string): { readonly tzid: string; readonly block: string } | null {
  if (!KNOWN.has(timeZone)) return null;
  const found = tzlib_get_ical_block(timeZone, false);
  if (!Array.isArray(found) || found.length < 2 || !found[0].startsWith('BEGIN:VTIMEZONE')) return null;
  return { tzid: found[1].replace(/^TZID=/, ''), block: found[0] };
}

/** Whether clocks of that zone can be reckoned with, and calendars told of it. */
export function isTimeZone(timeZone: string): boolean {
  try {
    new Intl.DateTimeFormat('en-US', { timeZone });
  } catch {
    return false;
  }
  return zoneBlock(timeZone) !== null;
}

/** Meridians that part the zones of the contiguous United States, from the east, roughly. */
const ZONES_BY_LON: readonly (readonly [number, string])[] = [
  [-85, 'America/New_York'],
  [-101, 'America/Chicago'],
  [-114, 'America/Denver'],
  [-126, 'America/Los_Angeles'],
];

/** A first guess where nobody has said: by longitude in the contiguous United States, else this computer's own zone. */
export function likelyTimeZone(place: { readonly lon: number; readonly lat: number } | null): string {
  const inStates = place !== null && place.lat > 24.5 && place.lat < 49.5 && place.lon < -66 && place.lon > -126;
  const byLon = inStates ? ZONES_BY_LON.find(([west]) => place.lon >= west)?.[1] : undefined;
  const own = new Intl.DateTimeFormat().resolvedOptions().timeZone;
  return byLon ?? (isTimeZone(own) ? own : 'Etc/UTC');
}
