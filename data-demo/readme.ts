import { AGENCY_NAME } from './agency.ts';
import type { RefusedRow } from './flaws.ts';
import type { DemoTruth } from './truth.ts';

export const readmeText = ({ seed, counts }: DemoTruth): string => `${AGENCY_NAME}

Everything in this folder is invented: the authority, its districts, roads, bridges, airport, stations, weather,
prices, inspectors and records. The lines lie over real ground in the United States only so that a map looks right.
A seeded program wrote it (seed ${seed}): the same seed and size give the same bytes.

  facilities.csv     ${counts.facilities} highway sections, bridges, runways, taxiways and aprons
  segments.geojson   ${counts.segments} joint segments, WGS 84
  seals.csv          ${counts.sealsRecorded} seals on record
  inspections.csv    ${counts.inspections} inspections
  stations.csv       12 climate stations
  climate.csv        30 years of daily weather at them, degrees C and mm
  unit-costs.csv     prices, USD per metre
  truth.json         the model that made the lives, and the list of flaws. Not a record: do not load it
  truth-lives.csv    when every seal truly failed, on record or not. Do not load it
  flawed/            a few rows of each file, one refused for each kind of mistake

The records have the flaws of real ones: vague and missing dates, contradictory inspections, an old word for a sealant
class, missing widths, failures before records began, and rows that must be refused. truth.json lists them.
`;

export const flawedReadmeText = (rows: readonly RefusedRow[]): string => `${AGENCY_NAME}: rows to be refused

All invented. Each file holds a sound row or two, then these. Rows count as a spreadsheet shows them, the header being
row 1; in GeoJSON, features count from 1.

${rows.map(({ file, row, kind, field, found }) => `${file} row ${row}: ${kind} (${field} is ${found})`).join('\n')}
`;
