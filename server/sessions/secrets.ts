import { createHash, randomBytes, timingSafeEqual } from 'node:crypto'

/** What only its holder knows: 18 random bytes as text, with the room in front of it where it is to lead there. */
export const makeSecret = (): string => randomBytes(18).toString('base64url')

/** What is kept of a secret. */
export const fingerprint = (secret: string): string => createHash('sha256').update(secret).digest('hex')

/** Compared in constant time, so that an answer's delay tells nothing of how much was right. */
export function matches(secret: string, kept: string): boolean {
  const given = Buffer.from(fingerprint(secret), 'hex')
  const known = Buffer.from(kept, 'hex')
  return given.length === known.length && timingSafeEqual(given, known)
}

/** Room a token leads to: the part before its dot. */
export const roomOfToken = (token: string): string => token.slice(0, Math.max(0, token.indexOf('.')))
