import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach } from 'vitest';
import { type ImportFile, loadFiles, previewFiles } from '../../../../server/import/load-files.ts';
import { describeProblem } from '../../../../server/import/row-problem.ts';
import type { FileChoice, FilePreview } from '../../../../server/schemas/load.ts';
import { MemoryStore } from './memory-store.ts';

const folders: string[] = [];
afterEach(() => {
  for (const folder of folders.splice(0)) rmSync(folder, { recursive: true, force: true });
});

/** Names and contents of files, as an agency would hand them over. */
export type Contents = Record<string, string | Uint8Array>;
export type Choices = Record<string, Omit<FileChoice, 'uploadId'>>;

export function writeFiles(contents: Contents, choices: Choices = {}): ImportFile[] {
  const folder = mkdtempSync(join(tmpdir(), 'kerfcast-import-'));
  folders.push(folder);
  return Object.entries(contents).map(([name, content], i) => {
    const path = join(folder, `${i}.upload`);
    writeFileSync(path, content);
    return { choice: { uploadId: name, ...choices[name] }, path, name, refusedPath: `${path}.refused` };
  });
}

/** Previews of the files by name. */
export async function preview(
  contents: Contents,
  choices: Choices = {},
  store = new MemoryStore(),
): Promise<Record<string, FilePreview>> {
  const previews = await previewFiles(writeFiles(contents, choices), store.run());
  return Object.fromEntries(previews.map((each) => [each.file, each]));
}

export async function load(contents: Contents, choices: Choices = {}, store = new MemoryStore()) {
  const files = writeFiles(contents, choices);
  const { result, previews } = await loadFiles(files, store.run());
  const refusedCsv = (name: string) => {
    const file = files.find((each) => each.name === name) as ImportFile;
    return readFileSync(file.refusedPath as string, 'utf8');
  };
  return { store, result, previews: Object.fromEntries(previews.map((each) => [each.file, each])), refusedCsv };
}

/** Every problem of a file as the one sentence that a person reads. */
export const sentences = (filePreview: FilePreview): string[] => filePreview.problems.map(describeProblem);

export const FACILITIES = `id,kind,name,route,district,recordsFrom
H1,highway,North Road,SR 1,North,2005-01-01
R1,runway,Runway 09/27,,Airport,
`;

/** About 80 m of road at 40 N, 100 W. */
export const LINE = [
  [-100, 40],
  [-99.999, 40],
];

export const segmentProperties = {
  id: 'S1',
  facilityId: 'H1',
  jointType: 'transverse-contraction',
  widthMm: 12,
  jointCount: 18,
  sealedLengthM: 64.8,
};

export const feature = (properties: object = {}, coordinates: unknown = LINE, type = 'LineString') => ({
  type: 'Feature',
  properties: { ...segmentProperties, ...properties },
  geometry: { type, coordinates },
});

export const collection = (...features: unknown[]): string => JSON.stringify({ type: 'FeatureCollection', features });

export const SEALS = `segmentId,sealantClass,installed,removedOn,removalReason
S1,hot-applied,2001,2010-06-01,failed
S1,silicone-self-levelling,2010-06,,
`;

export const INSPECTIONS = `segmentId,inspectedOn,method,damagedShare,adhesive-failure
S1,2012-05-01,joint-length,0,0
S1,2016-05-01,joint-length,0.05,0.04
`;

export const AGENCY: Contents = {
  'facilities.csv': FACILITIES,
  'segments.geojson': collection(feature()),
  'seals.csv': SEALS,
  'inspections.csv': INSPECTIONS,
  'stations.csv': 'STATION,NAME,LATITUDE,LONGITUDE,ELEVATION\nW1,Field (invented),40.1,-100.1,700\n',
  'climate.csv': 'STATION,DATE,TMAX,TMIN,PRCP\nW1,2020-01-01,3.5,-4,0\nW1,2020-01-02,5,-1,2.5\n',
  'unit-costs.csv': 'sealantClass,jointType,costPerM\nhot-applied,any,9.5\nsilicone SL,longitudinal,14\n',
};
