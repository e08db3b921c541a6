import { expect, test } from 'vitest';
import { draftAgency, problemsByField, readAgency } from '../../../../web/state/agency-edit.ts';

const saved = { agencyName: 'Our Agency', baseMapUrl: null, agencyInvented: false };
const messages = (part: Partial<ReturnType<typeof draftAgency>>) =>
  readAgency({ ...draftAgency(saved), ...part }).problems.map(({ field, message }) => `${field}: ${message}`);

test('what is untouched reads back as it was, an empty address as no base map', () => {
  expect(readAgency(draftAgency(saved))).toEqual({ fields: saved, problems: [] });
  const withMap = { ...saved, baseMapUrl: '/tiles/{z}/{x}/{y}.png' };
  expect(readAgency(draftAgency(withMap)).fields).toEqual(withMap);
});

test('blanks around a name and an address are dropped', () => {
  const { fields } = readAgency({ agencyName: ' A ', baseMapUrl: '  ', agencyInvented: true });
  expect(fields).toEqual({ agencyName: 'A', baseMapUrl: null, agencyInvented: true });
});

test('a name is needed, and may have 200 characters', () => {
  expect(messages({ agencyName: '  ' })).toEqual(['agencyName: Give a name; it heads every screen.']);
  expect(messages({ agencyName: 'a'.repeat(200) })).toEqual([]);
  expect(messages({ agencyName: 'a'.repeat(201) })[0]).toContain('at most 200 characters; these are 201');
});

test('an address must be one of the web or of this server, with zoom, column and row', () => {
  expect(messages({ baseMapUrl: 'tiles/{z}/{x}/{y}' })[0]).toContain('Begin with https://');
  expect(messages({ baseMapUrl: 'https://tiles.example/{z}/{y}.png' })[0]).toContain('Put in {x}:');
  expect(messages({ baseMapUrl: 'https://tiles.example/tiles' })[0]).toContain('Put in {z}, {x}, {y}:');
  expect(messages({ baseMapUrl: `https://t.example/{z}/{x}/{y}${'a'.repeat(500)}` })[0]).toContain('at most 500');
});

test('a refusal of the server stands at the field it is about', () => {
  expect(problemsByField([{ field: 'body.baseMapUrl', expected: 'an http(s) address' }])).toEqual([
    { key: 'baseMapUrl', field: 'baseMapUrl', message: 'Expected an http(s) address.' },
  ]);
});
