/** The same object without its undefined values, as exactOptionalPropertyTypes asks. */
export function dropUndefined<T extends object>(
  value: T | undefined,
): { [K in keyof T]?: Exclude<T[K], undefined> } | undefined {
  return value === undefined
    ? undefined
    : (Object.fromEntries(Object.entries(value).filter(([, one]) => one !== undefined)) as {
        [K in keyof T]?: Exclude<T[K], undefined>
      })
}
