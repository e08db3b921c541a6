/** Direction of traffic and lanes of a segment; null on what was recorded before. */
export const directions = `
ALTER TABLE segment ADD COLUMN direction TEXT;
ALTER TABLE segment ADD COLUMN firstLane INTEGER;
ALTER TABLE segment ADD COLUMN lastLane INTEGER;
`;
