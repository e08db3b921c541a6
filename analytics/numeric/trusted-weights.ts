/** Above it draws can be relied on only with care (Vehtari et al., JMLR 25, 2024). */
export const LARGEST_TRUSTED_K = 0.7;
const LEAST_SHARE = 0.5;
const NEARLY_EQUAL_SHARE = 0.8;

/**
 * Whether importance weights of normal proposals are so even that the proposals may stand without them.
 * With a share of 0.8 the weights vary by half of their mean; a tail index made from a hundred such weights is noise.
 * @param share effective sample size over the number of weights
 */
export const mayStandUnweighted = (share: number, k: number): boolean =>
  share > NEARLY_EQUAL_SHARE || (share > LEAST_SHARE && k < LARGEST_TRUSTED_K);
