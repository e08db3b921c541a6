/**
 * Scale on which a damaged share grows in a straight line with log age. `cloglog`: unit lengths have Weibull lives; `logit`:
 * log-logistic ones; `power`: the share itself is a power of age, s = h (t / T)^m. All three are near log s for small s
 * and part where much is damaged, so the records can tell them apart.
 */
export const SHARE_LINKS = ['cloglog', 'logit', 'power'] as const;
export type ShareLink = (typeof SHARE_LINKS)[number];

/** The link g of a share above 0 and below 1. */
export function linkOf(link: ShareLink, share: number): number {
  switch (link) {
    case 'cloglog':
      return Math.log(-Math.log1p(-share));
    case 'logit':
      return Math.log(share) - Math.log1p(-share);
    case 'power':
      return Math.log(share);
    default:
      return link satisfies never;
  }
}

/** log g'(s): turns a density of g(s) into one of s, so that fits on different links compare. */
export function logLinkSlope(link: ShareLink, share: number): number {
  switch (link) {
    case 'cloglog':
      return -Math.log1p(-share) - linkOf(link, share);
    case 'logit':
      return -Math.log(share) - Math.log1p(-share);
    case 'power':
      return -Math.log(share);
    default:
      return link satisfies never;
  }
}

/** The share, 0 to 1, with a given value of the link. */
export function shareOf(link: ShareLink, value: number): number {
  switch (link) {
    case 'cloglog':
      return -Math.expm1(-Math.exp(value));
    case 'logit':
      return 1 / (1 + Math.exp(-value));
    case 'power':
      return Math.min(1, Math.exp(value));
    default:
      return link satisfies never;
  }
}
