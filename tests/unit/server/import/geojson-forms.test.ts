import { describe, expect, test } from 'vitest';
import { CollectionSplitter, type Piece } from '../../../../server/import/feature-splitter.ts';
import type { Segment } from '../../../../server/schemas/segment.ts';
import { AGENCY, collection, feature, load, preview, sentences } from './agency-files.ts';

const A = feature({ id: 'A' });
const B = feature({ id: 'B', leftAloneReason: 'a comma, "quotes" and }]' });
const idsOf = async (text: string) => {
  const { store, previews } = await load({ ...AGENCY, 'segments.geojson': text });
  return { ids: store.rows<Segment>('segments').map((segment) => segment.id), ...previews['segments.geojson'] };
};

describe('forms of GeoJSON', () => {
  test.each([
    ['collection', collection(A, B)],
    ['pretty-printed collection', JSON.stringify({ type: 'FeatureCollection', features: [A, B] }, null, 2)],
    [
      'collection with members before and after, and "features" as a value and a deeper name',
      `{"name":"features","crs":{"features":[1]},"features":[${JSON.stringify(A)} , ${JSON.stringify(B)}],"type":"FeatureCollection","x":{"y":[1,"]"]}}`,
    ],
    [
      'text sequence with record separators (RFC 8142)',
      `\u001e${JSON.stringify(A)}\n\u001e${JSON.stringify(B, null, 1)}\n`,
    ],
    ['one feature a line', `${JSON.stringify(A)}\n${JSON.stringify(B)}\n`],
    ['one feature a line, Windows ends and an empty line', `${JSON.stringify(A)}\r\n\r\n${JSON.stringify(B)}`],
    ['features one after another', `${JSON.stringify(A, null, 2)}\n${JSON.stringify(B, null, 2)}`],
    ['with a byte order mark', `\uFEFF${collection(A, B)}`],
  ])('%s', async (_, text) => {
    const read = await idsOf(text);
    expect(sentences(read)).toEqual([]);
    expect(read.ids).toEqual(['A', 'B']);
  });

  test('an empty collection has no rows', async () => {
    expect(await idsOf(collection())).toMatchObject({ ids: [], rowsRead: 0, problems: [] });
  });

  test('a single feature', async () => {
    expect((await idsOf(JSON.stringify(A))).ids).toEqual(['A']);
  });

  test("a feature's own id is its key when its properties have none", async () => {
    const { id, ...properties } = A.properties as Record<string, unknown>;
    expect((await idsOf(collection({ ...A, id, properties }))).ids).toEqual(['A']);
  });

  test('a property that only a late feature has is read', async () => {
    const { store } = await load({ ...AGENCY, 'segments.geojson': collection(A, B) });
    expect(store.rows<Segment>('segments').map((segment) => segment.leftAloneReason)).toEqual([
      null,
      'a comma, "quotes" and }]',
    ]);
  });
});

describe('damaged GeoJSON loses only what is damaged', () => {
  test('a broken feature in a sequence', async () => {
    const read = await idsOf(
      `\u001e${JSON.stringify(A)}\n\u001e{"type":"Feature","geom\n\u001e${JSON.stringify(feature({ id: 'C' }))}\n`,
    );
    expect(read.ids).toEqual(['A', 'C']);
    expect(sentences(read)).toEqual([
      'segments.geojson row 2, feature is no valid JSON: {"type":"Feature","geom; expected a GeoJSON Feature (RFC 7946).',
    ]);
  });

  test('a collection cut short', async () => {
    const whole = collection(A, feature({ id: 'C' }));
    const read = await idsOf(whole.slice(0, -40));
    expect(read.ids).toEqual(['A']);
    expect(sentences(read)).toEqual([
      'segments.geojson row 2, feature is cut short: the file ends inside it; expected a GeoJSON Feature (RFC 7946). ' +
        'Write the file again, or in smaller parts.',
    ]);
    expect(read).toMatchObject({ rowsRead: 2, rowsAccepted: 1, rowsRefused: 1 });
  });

  test('a closing brace too many is not passed over in silence', async () => {
    const text = `{"type":"FeatureCollection","features":[${JSON.stringify(A)}},${JSON.stringify(B)}]}`;
    const read = await idsOf(text);
    expect(read.ids).toEqual(['A']);
    expect(read.problems[0].found).toBe('a closing brace too many; what follows was not read');
  });

  test('text after the end', async () => {
    const read = await idsOf(`${collection(A)} and so on`);
    expect(read.ids).toEqual(['A']);
    expect(read.problems[0].found).toBe('no valid JSON: and so on');
  });

  test('a bare list is refused with the way out', async () => {
    const { 'segments.geojson': read } = await preview({ ...AGENCY, 'segments.geojson': JSON.stringify([A]) });
    expect(sentences(read)).toEqual([
      'segments.geojson row 1, file is a bare JSON list; expected a GeoJSON FeatureCollection or text sequence. ' +
        'Wrap it: {"type": "FeatureCollection", "features": [...]}.',
    ]);
  });
});

test('the cutting does not depend on where the pieces of the file end', () => {
  const bytes = Buffer.from(collection(A, feature({ id: 'ß€😀"\\' }), B));
  const cutAt = (size: number): string[] => {
    const splitter = new CollectionSplitter();
    const pieces: Piece[] = [];
    for (let at = 0; at < bytes.length; at += size) pieces.push(...splitter.push(bytes.subarray(at, at + size)));
    pieces.push(...splitter.end());
    return pieces.map((piece) => ('text' in piece ? piece.text.toString() : piece.broken));
  };
  const whole = cutAt(bytes.length);
  expect(whole).toHaveLength(3);
  for (let size = 1; size < 40; size++) expect(cutAt(size)).toEqual(whole);
});
