const LONGEST_PLAIN = 80;

/**
 * The Content-Disposition of a file named after something that people name: plain letters, and the whole name for those who
 * read RFC 8187.
 * @param name as people wrote it @param ending with its dot @param otherwise the plain name where no letter of `name` is plain
 */
export function attachment(name: string, ending: string, otherwise: string): string {
  const plain = name
    .normalize('NFKD')
    .replaceAll(/[^\w.-]+/g, '-')
    .replaceAll(/^[-.]+|[-.]+$/g, '');
  // Through bytes and back: half of a surrogate pair cannot be written in an address.
  const readable = Buffer.from(name)
    .toString()
    .replaceAll(/[\\/:]/g, '-');
  const whole = encodeURIComponent(`${readable}${ending}`).replaceAll("'", '%27');
  return `attachment; filename="${(plain || otherwise).slice(0, LONGEST_PLAIN)}${ending}"; filename*=UTF-8''${whole}`;
}
