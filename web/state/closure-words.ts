import { formatDay } from './format.ts';

/** When something was changed, on the reader's own clock: "3 May 2024, 14:07". */
export function formatMoment(isoInstant: string): string {
  const at = new Date(isoInstant);
  if (Number.isNaN(at.getTime())) return isoInstant;
  const two = (value: number) => String(value).padStart(2, '0');
  const day = `${at.getFullYear()}-${two(at.getMonth() + 1)}-${two(at.getDate())}`;
  return `${formatDay(day)}, ${two(at.getHours())}:${two(at.getMinutes())}`;
}
