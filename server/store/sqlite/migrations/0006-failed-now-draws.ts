/** Chance of having failed by now under a few draws of the model that all segments share: totals keep what moves together. */
export const failedNowDraws = `
ALTER TABLE state ADD COLUMN failedNowDraws BLOB;
`;
