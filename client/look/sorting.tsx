import { type ReactNode, useState } from 'react'

type Key<Row> = (row: Row) => number | string

export interface Sorting<Row> {
  readonly rows: readonly Row[]
  readonly by: string | null
  readonly falling: boolean
  readonly sort: (column: string) => void
}

/**
 * Rows in the order a reader asked for by a column's head: rising, falling, then as they came. `columns`: what a row is
 * sorted by, by name; numbers by size, words by the reader's language. Rows that are alike keep their order.
 */
export function useSorting<Row>(rows: readonly Row[], columns: Readonly<Record<string, Key<Row>>>): Sorting<Row> {
  const [order, setOrder] = useState<{ readonly by: string; readonly falling: boolean } | null>(null)
  const key = order && columns[order.by]
  return {
    rows: key ? sorted(rows, key, order.falling) : rows,
    by: order?.by ?? null,
    falling: order?.falling ?? false,
    sort: (by) => setOrder(order?.by !== by ? { by, falling: false } : order.falling ? null : { by, falling: true }),
  }
}

/** A sorted copy, stable. */
export function sorted<Row>(rows: readonly Row[], key: Key<Row>, falling: boolean): Row[] {
  const sign = falling ? -1 : 1
  return [...rows].sort((a, b) => {
    const [x, y] = [key(a), key(b)]
    return sign * (typeof x === 'number' && typeof y === 'number' ? x - y : String(x).localeCompare(String(y)))
  })
}

/** A column's head that sorts by it, by click and by key; a screen reader is told the order. */
export function SortHead<Row>({
  sorting,
  column,
  number = false,
  children,
}: {
  sorting: Sorting<Row>
  column: string
  number?: boolean
  children: ReactNode
}) {
  const here = sorting.by === column
  return (
    <th
      scope="col"
      className={number ? 'number' : undefined}
      aria-sort={here ? (sorting.falling ? 'descending' : 'ascending') : 'none'}
    >
      <button type="button" className="sort" onClick={() => sorting.sort(column)}>
        {children}
        <span aria-hidden="true">{here ? (sorting.falling ? ' ↓' : ' ↑') : ''}</span>
      </button>
    </th>
  )
}
