import { type CsvCell, csvText } from '../../state/evidence-csv.ts';
import { saveFile } from './save-file.ts';

/** Saves numbers that are on the screen, head row first. */
export function CsvDownload({ name, rows }: { name: string; rows: () => readonly (readonly CsvCell[])[] }) {
  const save = () => saveFile(`${name}.csv`, csvText(rows()), 'text/csv');
  return (
    <button type="button" className="button" onClick={save}>
      Save numbers (CSV)
    </button>
  );
}
