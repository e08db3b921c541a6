const PLAIN = /^[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d{1,3})?$/;
const COMMA = /^[+-]?(?:\d+(?:,\d*)?|,\d+)(?:[eE][+-]?\d{1,3})?$/;

/** A number as a file writes it; null when the text is no finite number. With `decimalComma`, 3,5 is three and a half. */
export function parseNumber(text: string, decimalComma: boolean): number | null {
  if (text.length > 40) return null;
  if (PLAIN.test(text)) return finite(Number(text));
  if (decimalComma && COMMA.test(text)) return finite(Number(text.replace(',', '.')));
  return null;
}

const finite = (value: number): number | null => (Number.isFinite(value) ? value : null);

/** Why a text is no number, when the reason is a common one. */
export function numberHint(text: string): string | undefined {
  if (/^[+-]?\d{1,3}(,\d{3})+(\.\d+)?$/.test(text)) return 'Write it without a thousands separator.';
  if (/^[+-]?\d+,\d+$/.test(text)) return 'Write the decimal point as a full stop.';
  if (/^[+-]?\d[\d.]*\s*[^\d\s.,]+$/.test(text)) return 'Put the unit in the name of the column, not in the cell.';
  if (/^(n\/?a|nan|null|none|-|unknown|inf(inity)?)$/i.test(text))
    return 'Leave the cell empty when there is no value.';
  return undefined;
}

/**
 * Whether the numbers of a file are written with a decimal comma: some cells read as numbers only that way, and none
 * has a decimal point. Three digits after the comma could be thousands, so in a comma-delimited file one cell with
 * another count of digits must vouch for it.
 */
export function usesDecimalComma(cells: Iterable<string>, delimiter: string): boolean {
  let vouched = false;
  for (const cell of cells) {
    if (/^[+-]?\d+\.\d+$/.test(cell)) return false;
    const digits = /^[+-]?\d*,(\d+)$/.exec(cell);
    if (digits && (delimiter !== ',' || digits[1].length !== 3)) vouched = true;
  }
  return vouched;
}
