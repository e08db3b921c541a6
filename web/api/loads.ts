import type { Problem } from '../../server/schemas/common.ts';
import type { FileChoice, Load, Upload } from '../../server/schemas/load.ts';
import type { RecordKind } from '../../server/schemas/words.ts';
import { ApiProblem, apiUrl, requestJson } from './request.ts';

const loadPath = (id: string): string => `/loads/${encodeURIComponent(id)}`;

/** How many records of each kind are stored. */
export const fetchRecordCounts = (signal?: AbortSignal) =>
  requestJson<Record<RecordKind, number>>('/records', { signal });

/** All loads, newest first. */
export const fetchLoads = (signal?: AbortSignal) => requestJson<Load[]>('/loads', { signal });

export const fetchLoad = (id: string, signal?: AbortSignal) => requestJson<Load>(loadPath(id), { signal });

/** Starts a load with a preview of the uploaded files; nothing is stored until it is committed. */
export const createLoad = (choices: readonly FileChoice[]) =>
  requestJson<Load>('/loads', { method: 'POST', body: { choices } });

/** Changes what was said about the files and previews them again. */
export const changeLoad = (id: string, choices: readonly FileChoice[]) =>
  requestJson<Load>(loadPath(id), { method: 'PUT', body: { choices } });

/** Stores all accepted rows in one transaction, as a job. */
export const commitLoad = (id: string) => requestJson<Load>(`${loadPath(id)}/commit`, { method: 'POST' });

/** Forgets a load and its files. Records it has stored stay. */
export const deleteLoad = (id: string) => requestJson<unknown>(loadPath(id), { method: 'DELETE' });

/** Address of the refused rows of one file, as CSV with a reason column. */
export const refusedCsvUrl = (loadId: string, uploadId: string): string =>
  apiUrl(`${loadPath(loadId)}/refused/${encodeURIComponent(uploadId)}`);

export interface UploadProgress {
  /** Share sent, 0 to 1. */ onProgress: (share: number) => void;
  signal: AbortSignal;
}

/**
 * Sends one file. XMLHttpRequest, because fetch cannot tell how much of a body has been sent.
 * @throws ApiProblem with the server's reason; a DOMException named AbortError when cancelled
 */
export function uploadFile(file: File, { onProgress, signal }: UploadProgress): Promise<Upload> {
  return new Promise((resolve, reject) => {
    const request = new XMLHttpRequest();
    const cancelled = () => new DOMException(`The upload of ${file.name} was cancelled`, 'AbortError');
    if (signal.aborted) return reject(cancelled());
    request.open('POST', apiUrl('/uploads', { name: file.name }));
    request.setRequestHeader('content-type', 'application/octet-stream');
    request.setRequestHeader('accept', 'application/json');
    request.upload.addEventListener('progress', ({ loaded, total }) => onProgress(total > 0 ? loaded / total : 0));
    request.addEventListener('load', () => {
      if (request.status < 300) resolve(JSON.parse(request.responseText) as Upload);
      else reject(uploadProblem(file.name, request.status, request.responseText));
    });
    request.addEventListener('error', () => reject(new Error(`${file.name}: the connection broke. Send it again.`)));
    request.addEventListener('abort', () => reject(cancelled()));
    signal.addEventListener('abort', () => request.abort(), { once: true });
    request.send(file);
  });
}

/** The server's reason, with the file's name in front. */
function uploadProblem(name: string, status: number, text: string): ApiProblem {
  const fallback = status === 413 ? 'it is too large for this server' : `the server answered ${status}`;
  return new ApiProblem({
    title: 'Upload refused',
    status,
    detail: `${name}: ${readDetail(text) ?? fallback}`,
  });
}

function readDetail(text: string): string | null {
  try {
    const { title, detail } = JSON.parse(text) as Partial<Problem>;
    return detail || title || null;
  } catch {
    return null; // Not a problem answer, for example from a proxy in between; the status says what is known.
  }
}
