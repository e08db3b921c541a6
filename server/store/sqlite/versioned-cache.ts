/** Answers that hold for one version of the data; a new version empties it. */
export class VersionedCache<T> {
  readonly #most: number;
  readonly #kept = new Map<string, T>();
  #version = '';

  constructor(most: number) {
    this.#most = most;
  }

  get(version: string, key: string, make: () => T): T {
    if (version !== this.#version) {
      this.#kept.clear();
      this.#version = version;
    }
    const known = this.#kept.get(key);
    if (known !== undefined) return known;
    const made = make();
    this.#kept.set(key, made);
    if (this.#kept.size > this.#most) {
      const [oldest] = this.#kept.keys();
      this.#kept.delete(oldest);
    }
    return made;
  }
}
