const MS_PER_DAY = 86_400_000;

/** Whole days from 1970-01-01 to an ISO day. */
export const dayNumber = (isoDay: string): number => Math.round(Date.parse(`${isoDay}T00:00:00Z`) / MS_PER_DAY);

/** The ISO day of a day number. */
export const isoDay = (number: number): string => new Date(number * MS_PER_DAY).toISOString().slice(0, 10);
