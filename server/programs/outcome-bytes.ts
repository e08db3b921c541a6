import type { OutcomeDraws } from '../../analytics/program/program-outcome.ts';

interface StoredForm extends Pick<OutcomeDraws, 'draws' | 'years' | 'sealedLengthM' | 'discountRatePerYear'> {
  modelVersion: number;
}

const ARRAYS = ['failedM', 'cost', 'openCost'] as const;

/** Draws of what a program comes to, as bytes: a line of JSON, then the numbers bit for bit, each draw's before expectations. */
export function encodeOutcome(outcome: OutcomeDraws, modelVersion: number): Uint8Array {
  const { draws, years, sealedLengthM, discountRatePerYear } = outcome;
  const form: StoredForm = { draws, years, sealedLengthM, discountRatePerYear, modelVersion };
  const arrays = [...ARRAYS.map((name) => outcome[name]), ...ARRAYS.map((name) => outcome.expected[name])];
  return Buffer.concat([
    Buffer.from(`${JSON.stringify(form)}\n`),
    ...arrays.map((floats) => Buffer.from(floats.buffer, floats.byteOffset, floats.byteLength)),
  ]);
}

/** @returns the draws, and the model that they come from: draws of two models have nothing in common */
export function decodeOutcome(bytes: Uint8Array): { outcome: OutcomeDraws; modelVersion: number } {
  const header = bytes.indexOf(10);
  const { modelVersion, ...form } = JSON.parse(Buffer.from(bytes.subarray(0, header)).toString()) as StoredForm;
  let at = header + 1;
  const floats = (count: number) => {
    const from = at;
    at += 8 * count;
    return new Float64Array(Uint8Array.from(bytes.subarray(from, at)).buffer);
  };
  const [failedM, cost, openCost] = ARRAYS.map(() => floats(form.draws * form.years.length));
  const [failedMean, costMean, openMean] = ARRAYS.map(() => floats(form.years.length));
  const expected = { failedM: failedMean, cost: costMean, openCost: openMean };
  return { outcome: { ...form, failedM, cost, openCost, expected }, modelVersion };
}
