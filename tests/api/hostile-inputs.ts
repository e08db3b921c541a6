import fc from 'fast-check';

/** Words that have broken programs before: prototypes, numbers at the edge, paths, signs, broken encodings. */
export const NASTY_WORDS = [
  '',
  ' ',
  '0',
  '-0',
  '-1',
  '1e999',
  '9007199254740993',
  'NaN',
  'Infinity',
  '0x10',
  '1_000',
  '１２',
  'null',
  'undefined',
  'true',
  '[object Object]',
  '__proto__',
  'constructor',
  'toString',
  '../../../../etc/passwd',
  '..\\..\\secret',
  'C:\\con',
  '%',
  '%00',
  '%2e%2e%2f',
  '\u0000',
  'a\u0000b',
  '\uFEFF',
  '\uFFFD',
  '\u202Egnp.exe',
  '👩‍👩‍👧‍👦',
  'İstanbul',
  "'; DROP TABLE segment; --",
  '" OR 1=1',
  '%_\\',
  '$(id)',
  '`id`',
  '{{7*7}}',
  '<script>alert(1)</script>',
  '=cmd|calc',
  '\r\nSet-Cookie: a=b',
  '*',
  'a'.repeat(65),
  'a'.repeat(5_000),
  ','.repeat(2_000),
  '(a+)+$',
  '2026-02-30',
] as const;

const nastyWord = fc.oneof(fc.constantFrom(...NASTY_WORDS), fc.string({ unit: 'binary', maxLength: 40 }));

/** Part of an address: sometimes encoded as it must be, sometimes as it stands. */
export const addressPart = fc.oneof(
  { weight: 5, arbitrary: nastyWord.map((word) => encodeURIComponent(word.replace(/[\ud800-\udfff]/gu, '\ufffd'))) },
  { weight: 1, arbitrary: fc.constantFrom('%zz', '%', '%c3%28', '%ff', '%ed%a0%80', '..', '.', '%2f', '%5c', '+') },
);

const number = fc.oneof(
  fc.constantFrom(0, -0, -1, 0.5, 1e-320, 1e300, -1e300, 2 ** 31, 2 ** 53, 4e9, 1900, 2300),
  fc.double(),
  fc.integer(),
);

/** Any JSON value, with the words and numbers above more often than chance would have them. */
export const json: fc.Arbitrary<unknown> = fc.letrec((tie) => ({
  value: fc.oneof(
    { maxDepth: 3 },
    nastyWord,
    number,
    fc.boolean(),
    fc.constant(null),
    fc.array(tie('value'), { maxLength: 4 }),
    fc.dictionary(nastyWord, tie('value'), { maxKeys: 4 }),
  ),
})).value;

/** A sound object with one to three of its members replaced, taken out or added. */
export const damaged = (sound: object): fc.Arbitrary<unknown> =>
  fc
    .array(fc.tuple(fc.oneof(fc.constantFrom(...Object.keys(sound)), nastyWord), fc.option(json)), {
      minLength: 1,
      maxLength: 3,
    })
    .map((changes) => {
      const members = new Map<string, unknown>(Object.entries(sound));
      for (const [name, value] of changes) {
        if (value === null && members.size > 1) members.delete(name);
        else members.set(name, value);
      }
      return Object.fromEntries(members);
    });

/** Bodies that are not JSON, or are JSON of a shape that tires a parser. */
export const BROKEN_BODIES: readonly (string | Buffer)[] = [
  '',
  ' ',
  '{',
  '[',
  '"',
  '{"a"',
  '{"a":}',
  '{"a":1,}',
  "{'a':1}",
  '{a:1}',
  'NaN',
  'undefined',
  '{"a":NaN}',
  '[1e999]',
  '{"__proto__":{"polluted":true}}',
  '{"constructor":{"prototype":{"polluted":true}}}',
  '\u0000',
  '{"a":"\u0000"}',
  '{"a":"\\ud800"}',
  '{}{}',
  '// comment\n{}',
  '['.repeat(200_000),
  '['.repeat(100_000) + ']'.repeat(100_000),
  `${'{"a":'.repeat(50_000)}1${'}'.repeat(50_000)}`,
  `{"choices":${'['.repeat(20_000)}${']'.repeat(20_000)}}`,
  `{"a":"${'x'.repeat(500_000)}"}`,
  `[${'{},'.repeat(100_000)}{}]`,
  `{${Array.from({ length: 20_000 }, (_, i) => `"k${i}":0`).join(',')}}`,
  'x'.repeat(2 * 2 ** 20 + 1),
  Buffer.from([0xff, 0xfe, 0x7b, 0x00, 0x7d, 0x00]),
  Buffer.from([0xc3, 0x28]),
  Buffer.from([0x7b, 0x22, 0xed, 0xa0, 0x80, 0x22, 0x3a, 0x31, 0x7d]),
  Buffer.from([0x1f, 0x8b, 0x08, 0x00]),
];

export const CONTENT_TYPES = [
  'application/json',
  'application/json; charset=utf-8',
  'application/json; charset=utf-16',
  'application/problem+json',
  'application/x-www-form-urlencoded',
  'multipart/form-data; boundary=----x',
  'text/plain',
  'application/octet-stream',
  'application/json, text/plain',
  'a',
  '/',
  '*/*',
  'application/json;',
] as const;
