import { type DragEvent, useRef, useState } from 'react';
import { describeBytes, type QueuedFile } from '../../state/upload-queue.ts';
import { Progress } from '../shared/controls.tsx';
import { Banner } from '../shared/states.tsx';
import { cancelFile, dismissFile, retryPreview, sendFiles, useSending } from './uploads.ts';

const ACCEPTED = '.csv,.txt,.tsv,.geojson,.json,.geojsonl,.geojsons,.ndjson';

/** Files on their way to the server, and those that did not arrive. */
export function UploadList() {
  const { queue, error } = useSending();
  if (queue.length === 0 && !error) return null;
  return (
    <div className="stack">
      <ul className="upload-list" aria-label="Files on their way">
        {queue.map((file) => (
          <UploadLine key={file.id} file={file} />
        ))}
      </ul>
      {error && (
        <Banner kind="fault">
          <span>The files arrived, but could not be previewed. {error}</span>
          <button type="button" className="button" onClick={retryPreview}>
            Try again
          </button>
        </Banner>
      )}
    </div>
  );
}

/** Where files are dropped or chosen. */
export function FilePicker() {
  const input = useRef<HTMLInputElement>(null);
  const [over, setOver] = useState(false);
  const drop = (event: DragEvent) => {
    event.preventDefault();
    setOver(false);
    const files = [...event.dataTransfer.files];
    if (files.length > 0) sendFiles(files);
  };
  return (
    <section
      className={`drop-zone${over ? ' over' : ''}`}
      aria-label="Drop files here"
      onDragOver={(event) => {
        event.preventDefault();
        setOver(true);
      }}
      onDragLeave={() => setOver(false)}
      onDrop={drop}
    >
      <p>
        <span className="only-wide">Drop files here, or </span>
        <button type="button" className="button primary" onClick={() => input.current?.click()}>
          Choose files
        </button>
      </p>
      <p className="small soft">
        GeoJSON or GeoJSON text sequence for segments; CSV for facilities, seals, inspections, climate and unit costs.
        Several at once if you like: rows may refer to one another.
      </p>
      <input
        ref={input}
        type="file"
        multiple
        hidden
        accept={ACCEPTED}
        onChange={({ target }) => {
          sendFiles([...(target.files ?? [])]);
          target.value = ''; // so that the same file can be chosen again once it is mended
        }}
      />
    </section>
  );
}

function UploadLine({ file }: { file: QueuedFile }) {
  const underWay = file.state === 'waiting' || file.state === 'sending';
  return (
    <li className="job-line">
      {underWay ? (
        <Progress
          label={`${file.name}, ${describeBytes(file.bytes)}: ${file.state === 'waiting' ? 'waiting' : `${Math.floor(file.share * 100)}\u00a0% sent`}`}
          share={file.state === 'waiting' ? 0 : file.share}
        />
      ) : (
        <p className="field" role={file.state === 'failed' ? 'alert' : undefined}>
          <span>
            {file.name} <span className={`badge ${file.state === 'failed' ? 'fault' : ''}`}>{file.state}</span>
          </span>
          {file.error && <span className="field-error">{file.error}</span>}
        </p>
      )}
      {underWay && (
        <button type="button" className="button" onClick={() => cancelFile(file.id)} aria-label={`Cancel ${file.name}`}>
          Cancel
        </button>
      )}
      {(file.state === 'failed' || file.state === 'cancelled') && (
        <button
          type="button"
          className="button quiet"
          onClick={() => dismissFile(file.id)}
          aria-label={`Dismiss ${file.name}`}
        >
          Dismiss
        </button>
      )}
    </li>
  );
}
