import { randomUUID } from 'node:crypto';
import { createWriteStream } from 'node:fs';
import { mkdir, readFile, rm, writeFile } from 'node:fs/promises';
import path from 'node:path';
import { type Readable, Transform } from 'node:stream';
import { pipeline } from 'node:stream/promises';
import { ProblemError } from './problems.ts';
import type { Upload } from './schemas/load.ts';

const UPLOAD_ID = /^[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}$/;

/** Files sent by people, each in a folder named by us: the name they gave is only ever shown, never a path. */
export class Uploads {
  readonly #folder: string;
  readonly #maxBytes: number;

  constructor(dataFolder: string, maxBytes: number) {
    this.#folder = path.join(dataFolder, 'uploads');
    this.#maxBytes = maxBytes;
  }

  /** Keeps the stream as a file. A stream that is too large, empty or broken off leaves nothing behind. */
  async receive(name: string, stream: Readable): Promise<Upload> {
    const id = randomUUID();
    await mkdir(this.#pathOf(id), { recursive: true });
    try {
      const bytes = await this.#write(stream, this.filePath(id));
      if (bytes === 0) throw new ProblemError('invalid-request', `${name} is empty (0 bytes). Choose another file.`);
      const upload: Upload = { id, name, bytes };
      await writeFile(path.join(this.#pathOf(id), 'upload.json'), JSON.stringify(upload));
      return upload;
    } catch (error) {
      await this.remove(id);
      throw error;
    }
  }

  async find(id: string): Promise<Upload | null> {
    if (!UPLOAD_ID.test(id)) return null;
    try {
      return JSON.parse(await readFile(path.join(this.#pathOf(id), 'upload.json'), 'utf8')) as Upload;
    } catch {
      return null;
    }
  }

  filePath = (id: string): string => path.join(this.#pathOf(id), 'content');
  /** Where the importer writes the refused rows of this upload. */
  refusedPath = (id: string): string => path.join(this.#pathOf(id), 'refused.csv');
  remove = (id: string): Promise<void> => rm(this.#pathOf(id), { recursive: true, force: true });

  #pathOf(id: string): string {
    if (!UPLOAD_ID.test(id)) throw new ProblemError('not-found', `No upload ${id}.`);
    return path.join(this.#folder, id);
  }

  async #write(stream: Readable, file: string): Promise<number> {
    let bytes = 0;
    const count = new Transform({
      transform: (chunk: Buffer, _encoding, done) => {
        bytes += chunk.length;
        done(bytes > this.#maxBytes ? this.#tooLarge() : null, chunk);
      },
    });
    await pipeline(stream, count, createWriteStream(file));
    return bytes;
  }

  #tooLarge(): ProblemError {
    const limit = `${Math.floor(this.#maxBytes / 2 ** 20)} MiB`;
    return new ProblemError(
      'too-large',
      `The file is over the limit of ${limit}. Split it, or load it with kerfcast load.`,
    );
  }
}
