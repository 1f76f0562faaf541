import { existsSync } from 'node:fs'
import { fileURLToPath } from 'node:url'

const shared = fileURLToPath(new URL('../../shared/', import.meta.url))

/** Open data and worked cases stand beside the checkout, not in it: their licences differ. Tests that need them skip where they are absent. */
export const hasShared = existsSync(shared)

export function sharedPath(name: string): string {
  return shared + name
}
