import type { ProgramWork, WorkFilter, WorkSort } from '../../server/schemas/program.ts';

/** Filter and order of the work list, as the server takes them; lists are comma-separated. */
export interface WorkQuery
  extends Pick<WorkFilter, 'year' | 'district' | 'facility' | 'sealantClass' | 'segmentIds' | 'why'> {
  readonly sort: WorkSort;
  readonly descending: boolean;
}

/** The compiler keeps both lists in step with the schema. */
const SORTS = {
  year: true,
  segmentId: true,
  facilityId: true,
  district: true,
  sealantClass: true,
  lengthM: true,
  cost: true,
  failedChance: true,
  savedByNotWaiting: true,
} as const satisfies Record<WorkSort, true>;
const WHY = { due: true, neighbour: true, committed: true, chosen: true, target: true } as const satisfies Record<
  ProgramWork['why'],
  true
>;
export const WORK_REASONS = Object.keys(WHY) as ProgramWork['why'][];

/** The filter's fields, as the address names them; those that other screens have too are named alike. */
const TEXT_FIELDS = ['district', 'facility', 'sealantClass', 'segmentIds'] as const;
export type WorkFilterField = (typeof TEXT_FIELDS)[number] | 'why' | 'year';

const isSort = (text: string): text is WorkSort => Object.hasOwn(SORTS, text);

/** Reads `order=-cost` and the filter of an address; what is not known is left out. */
export function readWorkQuery(params: URLSearchParams): WorkQuery {
  const order = params.get('order') ?? 'year';
  const name = order.replace(/^-/, '');
  const year = params.get('year');
  const texts = TEXT_FIELDS.flatMap((field) => {
    const text = params.get(field)?.trim();
    return text ? [[field, text] as const] : [];
  });
  const why = params.get('why')?.trim();
  return {
    ...Object.fromEntries(texts),
    ...(why && Object.hasOwn(WHY, why) && { why }),
    ...(year !== null && /^\d{4}$/.test(year) && { year: Number(year) }),
    sort: isSort(name) ? name : 'year',
    descending: isSort(name) && order.startsWith('-'),
  };
}

/** The same address with one field of the filter set; null takes it out. */
export function withWorkField(params: URLSearchParams, field: WorkFilterField, text: string | null): URLSearchParams {
  const next = new URLSearchParams(params);
  if (text === null || text === '') next.delete(field);
  else next.set(field, text);
  return next;
}

/** The same address in another order. The usual one, by year, leaves no trace. */
export function withWorkOrder(params: URLSearchParams, { sort, descending }: Pick<WorkQuery, 'sort' | 'descending'>) {
  const next = new URLSearchParams(params);
  if (sort === 'year' && !descending) next.delete('order');
  else next.set('order', `${descending ? '-' : ''}${sort}`);
  return next;
}

/** How many questions the filter asks. */
export const countWorkFilters = (query: WorkQuery): number =>
  [query.year, query.district, query.facility, query.sealantClass, query.segmentIds, query.why].filter(
    (value) => value !== undefined,
  ).length;

/** The same address without any field of the filter. */
export function withoutWorkFilter(params: URLSearchParams): URLSearchParams {
  const next = new URLSearchParams(params);
  for (const field of [...TEXT_FIELDS, 'why', 'year']) next.delete(field);
  return next;
}

/** Lists are comma-separated, so a comma inside a word is written %2C, as the server reads it. */
export const encodedWord = (word: string): string => word.replace(/[%,]/g, encodeURIComponent);
