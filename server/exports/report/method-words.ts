import { gapWords, moneyWords } from '../../programs/program-words.ts';
import type { Program } from '../../schemas/program.ts';

/** How a program is made, for a reader who wants to check it. */
export function methodWords(program: Program): string[] {
  const { objective, bound, gapShare, currency, priceYear, question, method } = program;
  const money = (value: number) => `${moneyWords(value, currency)} (money of ${priceYear})`;
  const aim =
    question === 'least-cost'
      ? 'work, mobilisation, open joints and what follows the horizon'
      : 'work and mobilisation, with the targets kept';
  const found =
    gapShare === null
      ? 'No program was found that keeps every limit, so there is no gap to tell.'
      : `Here the program costs ${money(objective)} and the bound is ${money(bound)}: no program under these limits can cost less than the bound, so this one is within ${gapWords(gapShare)} of the best there is.`;
  return [
    'Each seal in place has a chance of having failed by the end of each year, from the service-life model and its own inspections. A reseal starts a new life, whose chances follow the class used and the place. So every list of years and classes for a segment has an expected failed length in each year, and an expected cost.',
    `The cost that is made least is that of ${aim}, discounted. Neighbours share mobilisation: it is paid once for a facility and year, however many of its segments are resealed then.`,
    'How good a program can be at best is found by putting a price on each limit: on a unit of each budget, of crew capacity, and of each target. At given prices every facility can choose its own cheapest years by itself. The sum of those free choices, less what the prices take in, can never be above the cost of any program that keeps the limits, whatever the prices: it is a bound. The search moves the prices so that the bound rises as high as it goes. From the choices at those prices a program is then made that keeps every limit, and improved by moving work between years for as long as that pays.',
    method === 'exact' ? `${found} For a network of this size a general solver also searched to the end.` : found,
  ];
}
