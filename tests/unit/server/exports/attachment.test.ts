import { expect, test } from 'vitest';
import { attachment } from '../../../../server/exports/attachment.ts';

test('a name is given plain and whole (RFC 8187)', () => {
  expect(attachment('Nächte "Mai"/27', '.pdf', 'closures')).toBe(
    `attachment; filename="Na-chte-Mai-27.pdf"; filename*=UTF-8''N%C3%A4chte%20%22Mai%22-27.pdf`,
  );
});

test('a name without a plain letter has another; half of a surrogate pair is replaced, not refused', () => {
  expect(attachment('計画 \ud800', '.xlsx', 'program')).toBe(
    `attachment; filename="program.xlsx"; filename*=UTF-8''%E8%A8%88%E7%94%BB%20%EF%BF%BD.xlsx`,
  );
});
