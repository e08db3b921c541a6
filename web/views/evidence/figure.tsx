import type { PlotOptions } from '@observablehq/plot';
import { type ReactNode, useId } from 'react';
import { type CsvCell, csvText } from '../../state/evidence-csv.ts';
import { type Column, DataTable } from '../shared/data-table.tsx';
import { PlotPicture } from '../shared/plot-picture.tsx';
import { saveFile } from '../shared/save-file.ts';
import { SvgDownload } from '../shared/svg-download.tsx';

/** The numbers as a file: the address of the server's, or the rows to save, header first, in SI units and shares of 1. */
export type FigureFile = string | (() => readonly (readonly CsvCell[])[]);

interface FigureProps<Row> {
  readonly title: string;
  /** How to read the picture. */ readonly note: ReactNode;
  /** Name of the saved files. */ readonly name: string;
  readonly picture: { readonly options: PlotOptions; readonly label: string; readonly height: number };
  readonly columns: readonly Column<Row>[];
  readonly rows: readonly Row[];
  readonly file: FigureFile;
  readonly controls?: ReactNode;
  readonly caption?: string;
  /** Wide tables go below the picture. */ readonly tableBelow?: boolean;
}

/** A picture with the same numbers as a table beside it, and both as files. */
export function EvidenceFigure<Row>(props: FigureProps<Row>) {
  const { title, note, name, picture, columns, rows, file, controls, caption = title } = props;
  const id = useId();
  return (
    <figure className={`evidence-figure${props.tableBelow ? ' below' : ''}`} aria-labelledby={id}>
      <div className="evidence-figure-head">
        <h3 id={id}>{title}</h3>
        <div className="row push">
          <SvgDownload name={name} />
          <CsvDownload name={name} file={file} />
        </div>
        <p className="small soft">{note}</p>
        {controls && <div className="row">{controls}</div>}
      </div>
      <div className="evidence-figure-picture">
        <PlotPicture {...picture} />
      </div>
      <div className="evidence-figure-table">
        <DataTable
          caption={caption}
          captionUnseen
          maxHeight={`${Math.max(320, picture.height)}px`}
          rows={rows}
          rowKey={(_, index) => index}
          columns={columns}
        />
      </div>
    </figure>
  );
}

function CsvDownload({ name, file }: { name: string; file: FigureFile }) {
  if (typeof file === 'string')
    return (
      <a className="button" href={file} download>
        Numbers (CSV)
      </a>
    );
  const save = () => saveFile(`${name}.csv`, csvText(file()), 'text/csv');
  return (
    <button type="button" className="button" onClick={save}>
      Numbers (CSV)
    </button>
  );
}

export type KeyMark =
  | 'band'
  | 'found'
  | 'outside'
  | 'records'
  | 'fit'
  | 'prior'
  | 'estimate'
  | 'thin-line'
  | 'bar'
  | 'limit';

/** What the marks of a picture stand for. */
export const MarkKey = ({ marks }: { marks: readonly (readonly [KeyMark, string])[] }) => (
  <span className="mark-key">
    {marks.map(([mark, words]) => (
      <span key={mark}>
        <span className={`key-mark ${mark}`} aria-hidden="true" /> {words}
      </span>
    ))}
  </span>
);
