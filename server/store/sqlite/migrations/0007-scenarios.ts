/**
 * Scenarios with what changed in them, and the program of each. The works of a program stand in a table of their own,
 * `work` and the program's number (see `work-table.ts`).
 */
export const scenarios = `
CREATE TABLE scenario (
  row INTEGER PRIMARY KEY,
  id TEXT NOT NULL UNIQUE,
  name TEXT NOT NULL,
  note TEXT NOT NULL,
  locked INTEGER NOT NULL,
  revision INTEGER NOT NULL,
  inputsRevision INTEGER NOT NULL,
  createdAt TEXT NOT NULL,
  changedAt TEXT NOT NULL,
  inputs TEXT NOT NULL
) STRICT;

CREATE TABLE scenarioChange (
  scenarioRow INTEGER NOT NULL REFERENCES scenario (row) ON DELETE CASCADE,
  revision INTEGER NOT NULL,
  changedAt TEXT NOT NULL,
  fields TEXT NOT NULL,
  PRIMARY KEY (scenarioRow, revision)
) STRICT, WITHOUT ROWID;

CREATE TABLE program (
  scenarioRow INTEGER PRIMARY KEY REFERENCES scenario (row) ON DELETE CASCADE,
  number INTEGER NOT NULL UNIQUE,
  revision INTEGER NOT NULL,
  modelVersion INTEGER NOT NULL,
  dataVersion INTEGER NOT NULL,
  madeAt TEXT NOT NULL,
  planningDate TEXT NOT NULL,
  madeFrom TEXT NOT NULL,
  freeKey TEXT NOT NULL,
  freeObjective REAL,
  report TEXT NOT NULL,
  draws BLOB NOT NULL
) STRICT;
CREATE INDEX programByFreeKey ON program (freeKey);
`;
