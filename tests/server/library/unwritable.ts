/** Bytes that no disk takes: asking how many there are fails as a full disk does. */
export const unwritable = (): Uint8Array =>
  Object.defineProperty(new Uint8Array(8), 'length', {
    get: () => {
      throw Object.assign(new Error('no space left'), { code: 'ENOSPC' })
    },
  })
