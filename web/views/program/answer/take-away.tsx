import type { Program } from '../../../../server/schemas/program.ts';
import { type ProgramFile, programFileUrl } from '../../../api/scenarios.ts';
import { useUnits } from '../../shared/preferences.ts';

const FILES: readonly { file: ProgramFile; label: string; what: string }[] = [
  { file: 'xlsx', label: 'Workbook (XLSX)', what: 'budget table, work list and assumptions, each on a sheet' },
  { file: 'pdf', label: 'Report (PDF)', what: 'two to ten pages to print' },
  { file: 'table-csv', label: 'Budget table (CSV)', what: 'year, district and class' },
  { file: 'work-csv', label: 'Work list (CSV)', what: 'one line for each reseal' },
  { file: 'geojson', label: 'Map (GeoJSON)', what: 'the work as lines' },
];

/** The program as files, in the units on screen. */
export function TakeAway({ program }: { program: Program }) {
  const units = useUnits();
  return (
    <section className="row take-away" aria-label="Take it away">
      <span className="small soft">Take it away:</span>
      {FILES.map(({ file, label, what }) => (
        <a key={file} className="button" href={programFileUrl(program.scenarioId, file, units)} title={what} download>
          {label}
        </a>
      ))}
    </section>
  );
}
