/** Columns of text, each as wide as its widest cell; numbers on the right. Ends with a newline. */
export function table(heads: readonly string[], rows: readonly (readonly (string | number)[])[]): string {
  const cells = rows.map((row) => row.map(String))
  const widths = heads.map((head, i) => Math.max(head.length, ...cells.map((row) => row[i]?.length ?? 0)))
  const right = heads.map(
    (_, i) =>
      rows.length > 0 &&
      rows.every((row) => typeof row[i] === 'number' || /^[-–\d.:%]+( .{1,5})?$/.test(String(row[i]))),
  )
  const line = (row: readonly string[]) =>
    row
      .map((cell, i) => (right[i] ? cell.padStart(widths[i]!) : cell.padEnd(widths[i]!)))
      .join('  ')
      .trimEnd()
  return `${[line(heads), line(widths.map((width) => '─'.repeat(width))), ...cells.map(line)].join('\n')}\n`
}

/** m:ss.s, as stage times are written; a minus before the start. */
export function clock(seconds: number): string {
  const tenths = Math.round(Math.abs(seconds) * 10)
  const sign = seconds < 0 && tenths > 0 ? '−' : ''
  return `${sign}${Math.floor(tenths / 600)}:${((tenths % 600) / 10).toFixed(1).padStart(4, '0')}`
}
