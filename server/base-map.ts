/** Any other character could end a directive of the content security policy that the host is written into. */
const PLAIN_ORIGIN = /^https?:\/\/([a-z0-9_.-]+|\[[0-9a-f:.]+\])(:\d+)?$/;
const OTHER_SERVER = /^https?:\/\/[^/?#{}\\]+\//i;
const THIS_SERVER = /^\/[^/\\]/;
const PARTS = ['{z}', '{x}', '{y}'];

/** What a base map address must be, in words. */
export const BASE_MAP_EXPECTED = 'an http(s) address, or a path of this server, with {z}, {x} and {y} after the host';

/** True for a raster tile address that a page may fetch from, and whose host can be named to the browser. */
export function isBaseMapAddress(url: string): boolean {
  if (!PARTS.every((part) => url.includes(part))) return false;
  return THIS_SERVER.test(url) || baseMapOrigin(url) !== null;
}

/** The other server that the base map comes from, as a content security policy names it; null when there is none. */
export function baseMapOrigin(url: string | null): string | null {
  if (url === null || !OTHER_SERVER.test(url)) return null;
  const address = url.replaceAll(/[{}]/g, '');
  const origin = URL.canParse(address) ? new URL(address).origin : '';
  return PLAIN_ORIGIN.test(origin) ? origin : null;
}
