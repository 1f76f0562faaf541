/** JSON from a server under test: `address` is asked for each time, since servers listen on port 0. A refusal throws its status and text. */
export const asking =
  (address: () => string) =>
  async <T>(method: string, path: string, body?: unknown): Promise<T> => {
    const response = await fetch(`${address()}/api${path}`, {
      method,
      headers: { 'content-type': 'application/json' },
      ...(body === undefined ? {} : { body: JSON.stringify(body) }),
    })
    const text = await response.text()
    if (!response.ok) throw new Error(`${method} ${path}: ${response.status} ${text}`)
    return (text === '' ? undefined : JSON.parse(text)) as T
  }
