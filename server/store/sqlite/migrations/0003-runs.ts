/**
 * Lines for low zooms. `members` are the rows of the segments in a run, 32-bit little-endian: a table with one line for
 * each segment and level would be the largest of the file and the slowest to rebuild. The level is a dimension of the
 * tree, so a box of one level does not wade through the others.
 */
export const runs = `
CREATE TABLE run (
  row INTEGER PRIMARY KEY,
  level INTEGER NOT NULL,
  facilityId TEXT NOT NULL REFERENCES facility (id),
  geometry BLOB NOT NULL,
  members BLOB NOT NULL,
  segments INTEGER NOT NULL,
  sealedLengthM REAL NOT NULL,
  distressedM REAL NOT NULL,
  maxDamagedShare REAL,
  dueYear REAL,
  failedByYearEnd BLOB
) STRICT;
CREATE INDEX runByFacility ON run (facilityId);
CREATE VIRTUAL TABLE runBox USING rtree (row, west, east, south, north, levelFrom, levelTo);
`;
