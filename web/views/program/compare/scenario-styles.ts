import type { LineStyle } from '../line-chart.ts';
import { baselineStyle, isBaseline } from '../line-styles.ts';

/** Hues stay apart for colour-blind readers (after the muted scheme of P. Tol, "Colour schemes", 2021); dashes repeat them. */
const DASHES = [undefined, '10 3', '2 3', '8 3 2 3', '5 2', '14 4'] as const;
/** Fans of more would lie over one another. */
const MOST_FANS = 2;

/** How the lines of a comparison are told apart: by place in the list. */
export function comparedStyles(
  rows: readonly { readonly key: string; readonly name: string; readonly rule: string | null }[],
): (key: string) => LineStyle {
  const programs = rows.filter(({ rule }) => rule === null);
  const styles = new Map(
    programs.map(({ key, name }, place): [string, LineStyle] => [
      key,
      {
        label: name,
        stroke: `var(--compared-${place + 1})`,
        dash: DASHES[place],
        width: place === 0 ? 3 : 2.25,
        fan: place < MOST_FANS && programs.length <= MOST_FANS,
      },
    ]),
  );
  return (key) => styles.get(key) ?? baselineStyle(isBaseline(key) ? key : 'nothing');
}
