/**
 * What agencies hand in. Columns are named as the fields of the schemas. `row` is the stable small number of a record;
 * `id` is the agency's key. `segmentBox` holds 32-bit numbers rounded outwards, so exact boxes are checked again.
 */
export const records = `
CREATE TABLE meta (
  key TEXT PRIMARY KEY,
  value INTEGER NOT NULL
) STRICT, WITHOUT ROWID;
INSERT INTO meta VALUES ('dataVersion', 0);

CREATE TABLE setting (
  one INTEGER PRIMARY KEY CHECK (one = 1),
  json TEXT NOT NULL
) STRICT;

CREATE TABLE facility (
  row INTEGER PRIMARY KEY,
  id TEXT NOT NULL UNIQUE,
  kind TEXT NOT NULL,
  name TEXT NOT NULL,
  route TEXT,
  district TEXT NOT NULL,
  lanes INTEGER,
  widthM REAL,
  aadt REAL,
  truckShare REAL,
  departuresPerYear REAL,
  yearBuilt INTEGER,
  recordsFrom TEXT,
  sourceFile TEXT,
  sourceRow INTEGER
) STRICT;

CREATE TABLE segment (
  row INTEGER PRIMARY KEY,
  id TEXT NOT NULL UNIQUE,
  facilityId TEXT NOT NULL REFERENCES facility (id),
  district TEXT NOT NULL,
  jointType TEXT NOT NULL,
  beginM REAL,
  endM REAL,
  slabLengthM REAL,
  slabThicknessMm REAL,
  baseType TEXT NOT NULL,
  coarseAggregate TEXT NOT NULL,
  widthMm REAL,
  widthAtC REAL,
  reservoirDepthMm REAL,
  jointCount INTEGER,
  sealedLengthM REAL NOT NULL,
  fuelExposure INTEGER NOT NULL,
  consequenceWeight REAL NOT NULL,
  unsealedByPolicy INTEGER NOT NULL,
  leftAloneReason TEXT,
  lon REAL NOT NULL,
  lat REAL NOT NULL,
  sourceFile TEXT,
  sourceRow INTEGER,
  geometry BLOB NOT NULL
) STRICT;
CREATE INDEX segmentByFacility ON segment (facilityId);
CREATE INDEX segmentByDistrict ON segment (district);
CREATE INDEX segmentByJointType ON segment (jointType);
CREATE INDEX segmentByLength ON segment (sealedLengthM);
CREATE VIRTUAL TABLE segmentBox USING rtree (row, west, east, south, north);

CREATE TABLE seal (
  row INTEGER PRIMARY KEY,
  id TEXT NOT NULL UNIQUE,
  segmentRow INTEGER NOT NULL REFERENCES segment (row),
  sealantClass TEXT NOT NULL,
  specification TEXT,
  installedFrom TEXT NOT NULL,
  installedTo TEXT NOT NULL,
  installedAtC REAL,
  widthMm REAL,
  recessMm REAL,
  beadDepthMm REAL,
  backerRodDiameterMm REAL,
  preparation TEXT NOT NULL,
  lot TEXT,
  removedOn TEXT,
  removalReason TEXT,
  sourceFile TEXT,
  sourceRow INTEGER
) STRICT;
CREATE INDEX sealBySegment ON seal (segmentRow, installedFrom);

CREATE TABLE inspection (
  row INTEGER PRIMARY KEY,
  id TEXT NOT NULL UNIQUE,
  segmentRow INTEGER NOT NULL REFERENCES segment (row),
  inspectedOn TEXT NOT NULL,
  method TEXT NOT NULL,
  inspector TEXT,
  damagedShare REAL NOT NULL,
  damageShares TEXT,
  severity TEXT,
  notes TEXT,
  photographs TEXT,
  sourceFile TEXT,
  sourceRow INTEGER
) STRICT;
CREATE INDEX inspectionBySegment ON inspection (segmentRow, inspectedOn);

CREATE TABLE station (
  row INTEGER PRIMARY KEY,
  id TEXT NOT NULL UNIQUE,
  name TEXT,
  lon REAL NOT NULL,
  lat REAL NOT NULL,
  elevationM REAL,
  sourceFile TEXT,
  sourceRow INTEGER
) STRICT;

CREATE TABLE climateDay (
  stationRow INTEGER NOT NULL REFERENCES station (row),
  dayNumber INTEGER NOT NULL,
  maxC REAL,
  minC REAL,
  precipitationMm REAL,
  PRIMARY KEY (stationRow, dayNumber)
) STRICT, WITHOUT ROWID;

CREATE TABLE unitCost (
  sealantClass TEXT NOT NULL,
  jointType TEXT NOT NULL,
  costPerM REAL NOT NULL,
  pricedOn TEXT,
  priceSource TEXT,
  sourceFile TEXT,
  sourceRow INTEGER,
  PRIMARY KEY (sealantClass, jointType)
) STRICT, WITHOUT ROWID;
`;
