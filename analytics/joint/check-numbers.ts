/** @throws RangeError naming the field unless every value is above 0 */
export function requirePositive(values: Readonly<Record<string, number>>): void {
  for (const field in values) {
    const value = values[field];
    if (!(value > 0 && value < Infinity)) throw new RangeError(`${field} is ${value}; expected above 0`);
  }
}

/** @throws RangeError naming the field unless every value is 0 or more */
export function requireNotNegative(values: Readonly<Record<string, number>>): void {
  for (const field in values) {
    const value = values[field];
    if (!(value >= 0 && value < Infinity)) throw new RangeError(`${field} is ${value}; expected 0 or more`);
  }
}
