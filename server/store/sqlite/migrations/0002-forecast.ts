/** What is computed from the records: the state of each segment with its forecast, models and the budget. */
export const forecast = `
CREATE TABLE state (
  segmentRow INTEGER PRIMARY KEY REFERENCES segment (row) ON DELETE CASCADE,
  sealId TEXT,
  sealantClass TEXT,
  installedFrom TEXT,
  installedTo TEXT,
  ageYears REAL,
  lastInspectedOn TEXT,
  damagedShare REAL,
  modelVersion INTEGER,
  planningYear INTEGER,
  failedNowProbability REAL,
  knownFailed INTEGER,
  medianFailureYear REAL,
  lowerFailureYear REAL,
  upperFailureYear REAL,
  dueYear INTEGER,
  dueReason TEXT,
  dataShare REAL,
  failedByYearEnd BLOB
) STRICT;
INSERT INTO state (segmentRow) SELECT row FROM segment;
CREATE INDEX stateByClass ON state (sealantClass);
CREATE INDEX stateByAge ON state (ageYears);
CREATE INDEX stateByDamage ON state (damagedShare);
CREATE INDEX stateByFailedNow ON state (failedNowProbability);
CREATE INDEX stateByDueYear ON state (dueYear);
CREATE INDEX stateByMedian ON state (medianFailureYear);

CREATE TABLE model (
  version INTEGER PRIMARY KEY,
  report TEXT NOT NULL,
  draws BLOB NOT NULL
) STRICT;

CREATE TABLE budget (
  one INTEGER PRIMARY KEY CHECK (one = 1),
  json TEXT NOT NULL
) STRICT;
`;
