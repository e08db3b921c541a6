/** A name for a copy that nothing has yet: "Base budget 2". */
export function freeName(name: string, taken: readonly string[]): string {
  const plain = name.replace(/ \d+$/, '');
  for (let n = 2; ; n++) {
    const candidate = `${plain} ${n}`;
    if (!taken.includes(candidate)) return candidate;
  }
}
