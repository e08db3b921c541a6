/** @throws RangeError naming the field unless every value is above 0 */
export function requirePositive(values: Readonly<Record<string, number>>): void {
  for (const [field, value] of Object.entries(values))
    if (!(value > 0 && Number.isFinite(value))) throw new RangeError(`${field} is ${value}; expected above 0`);
}

/** @throws RangeError naming the field unless every value is 0 or more */
export function requireNotNegative(values: Readonly<Record<string, number>>): void {
  for (const [field, value] of Object.entries(values))
    if (!(value >= 0 && Number.isFinite(value))) throw new RangeError(`${field} is ${value}; expected 0 or more`);
}
