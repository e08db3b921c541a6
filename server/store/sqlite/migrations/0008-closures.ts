/** Plans of closures with what changed in them, and the closures of each schedule, one row for each calendar event. */
export const closures = `
CREATE TABLE closurePlan (
  row INTEGER PRIMARY KEY,
  id TEXT NOT NULL UNIQUE,
  name TEXT NOT NULL,
  note TEXT NOT NULL,
  revision INTEGER NOT NULL,
  rulesRevision INTEGER NOT NULL,
  createdAt TEXT NOT NULL,
  changedAt TEXT NOT NULL,
  rules TEXT NOT NULL,
  madeAt TEXT,
  madeOfRules INTEGER,
  madeFrom TEXT,
  schedule TEXT
) STRICT;

CREATE TABLE closurePlanChange (
  planRow INTEGER NOT NULL REFERENCES closurePlan (row) ON DELETE CASCADE,
  revision INTEGER NOT NULL,
  changedAt TEXT NOT NULL,
  sentence TEXT NOT NULL,
  closureId TEXT,
  PRIMARY KEY (planRow, revision)
) STRICT, WITHOUT ROWID;

CREATE TABLE closure (
  planRow INTEGER NOT NULL REFERENCES closurePlan (row) ON DELETE CASCADE,
  uid TEXT NOT NULL UNIQUE,
  startsAt TEXT NOT NULL,
  facilityId TEXT NOT NULL,
  cancelled INTEGER NOT NULL,
  changedAt TEXT NOT NULL,
  closure TEXT NOT NULL,
  PRIMARY KEY (planRow, uid)
) STRICT, WITHOUT ROWID;
`;
