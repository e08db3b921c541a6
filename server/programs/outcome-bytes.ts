import type { OutcomeDraws } from '../../analytics/program/program-outcome.ts';

export interface StoredOutcome {
  readonly outcome: OutcomeDraws;
  /** Draws of two models have nothing in common. */ readonly modelVersion: number;
  /** Of the bounds of the problem, as `ProgramSolution.rowPrices`. */ readonly rowPrices: Float64Array;
}

interface StoredForm extends Pick<OutcomeDraws, 'draws' | 'years' | 'sealedLengthM' | 'discountRatePerYear'> {
  modelVersion: number;
  bounds: number;
}

const ARRAYS = ['failedM', 'cost', 'openCost'] as const;

/** Draws of what a program comes to, as bytes: a line of JSON, then the numbers bit for bit, each draw's before expectations. */
export function encodeOutcome({ outcome, modelVersion, rowPrices }: StoredOutcome): Uint8Array {
  const { draws, years, sealedLengthM, discountRatePerYear } = outcome;
  const bounds = rowPrices.length;
  const form: StoredForm = { draws, years, sealedLengthM, discountRatePerYear, modelVersion, bounds };
  const arrays = [...ARRAYS.map((name) => outcome[name]), ...ARRAYS.map((name) => outcome.expected[name]), rowPrices];
  return Buffer.concat([
    Buffer.from(`${JSON.stringify(form)}\n`),
    ...arrays.map((floats) => Buffer.from(floats.buffer, floats.byteOffset, floats.byteLength)),
  ]);
}

export function decodeOutcome(bytes: Uint8Array): StoredOutcome {
  const header = bytes.indexOf(10);
  const { modelVersion, bounds, ...form } = JSON.parse(Buffer.from(bytes.subarray(0, header)).toString()) as StoredForm;
  let at = header + 1;
  const floats = (count: number) => {
    const from = at;
    at += 8 * count;
    return new Float64Array(Uint8Array.from(bytes.subarray(from, at)).buffer);
  };
  const [failedM, cost, openCost] = ARRAYS.map(() => floats(form.draws * form.years.length));
  const [failedMean, costMean, openMean] = ARRAYS.map(() => floats(form.years.length));
  const expected = { failedM: failedMean, cost: costMean, openCost: openMean };
  return { outcome: { ...form, failedM, cost, openCost, expected }, modelVersion, rowPrices: floats(bounds) };
}
