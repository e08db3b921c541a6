import { expect, test } from 'vitest';
import { freeName } from '../../../../web/state/free-name.ts';

test('a copy gets a name that is free', () => {
  expect(freeName('Base budget', ['Base budget'])).toBe('Base budget 2');
  expect(freeName('Base budget 2', ['Base budget', 'Base budget 2'])).toBe('Base budget 3');
});
