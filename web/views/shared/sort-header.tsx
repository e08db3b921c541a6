export interface TableOrder<Sort extends string> {
  readonly sort: Sort;
  readonly descending: boolean;
}

interface Props<Sort extends string> {
  readonly column: {
    readonly head: string;
    /** The server can order by it. */ readonly sort?: Sort;
    readonly numeric?: boolean;
    /** The first press orders from the highest down, since that is what one looks for. */ readonly highFirst?: boolean;
  };
  readonly order: TableOrder<Sort>;
  readonly onOrder: (order: TableOrder<Sort>) => void;
}

/** A column head that orders the table: a second press turns the order round. */
export function SortHeader<Sort extends string>({ column, order, onOrder }: Props<Sort>) {
  const { sort, head, numeric, highFirst = false } = column;
  const kind = numeric ? 'number' : undefined;
  if (!sort) {
    return (
      <th scope="col" className={kind}>
        {head}
      </th>
    );
  }
  const active = order.sort === sort;
  const direction = active ? (order.descending ? 'descending' : 'ascending') : 'none';
  return (
    <th scope="col" className={kind} aria-sort={direction}>
      <button
        type="button"
        className="sort-button"
        onClick={() => onOrder({ sort, descending: active ? !order.descending : highFirst })}
      >
        {head}
        <svg width="9" height="12" viewBox="0 0 9 12" aria-hidden="true" className={direction}>
          <path d="M4.500 0 8 4.500H1z" className="up" />
          <path d="M4.500 12 1 7.500h7z" className="down" />
        </svg>
      </button>
    </th>
  );
}
