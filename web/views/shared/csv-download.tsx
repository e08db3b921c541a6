import { type CsvCell, csvText } from '../../state/evidence-csv.ts';

/** Saves numbers that are on the screen, head row first. */
export function CsvDownload({ name, rows }: { name: string; rows: () => readonly (readonly CsvCell[])[] }) {
  const save = () => {
    const address = URL.createObjectURL(new Blob([csvText(rows())], { type: 'text/csv' }));
    const link = document.createElement('a');
    link.href = address;
    link.download = `${name}.csv`;
    link.click();
    URL.revokeObjectURL(address);
  };
  return (
    <button type="button" className="button" onClick={save}>
      Save numbers (CSV)
    </button>
  );
}
