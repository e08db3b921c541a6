/** Direction of traffic and lanes of a segment; null on what was recorded before. The index lists a network's directions. */
export const directions = `
ALTER TABLE segment ADD COLUMN direction TEXT;
ALTER TABLE segment ADD COLUMN firstLane INTEGER;
ALTER TABLE segment ADD COLUMN lastLane INTEGER;
CREATE INDEX segmentByDirection ON segment (facilityId, direction) WHERE direction IS NOT NULL AND direction <> 'both';
`;
