/**
 * `damaged`: the file is not readable as a database. `newer`: a later version of the program wrote it.
 * `foreign`: a database of something else. `busy`: another write did not end in time. `page-token`: an `after` that
 * this list did not give. `reference`: a row points at a record that is not stored. `gone`: what was to be written to has
 * been deleted or locked meanwhile.
 */
export type StoreFault = 'damaged' | 'newer' | 'foreign' | 'busy' | 'page-token' | 'reference' | 'gone';

/** A refusal of the store that a caller can act on. The message says what was found and the next step. */
export class StoreError extends Error {
  readonly fault: StoreFault;

  constructor(fault: StoreFault, message: string, options?: ErrorOptions) {
    super(message, options);
    this.name = 'StoreError';
    this.fault = fault;
  }
}
