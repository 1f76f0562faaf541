/** Letters that cannot be taken for one another or for digits, read aloud or from a wall: no I, L, O. */
const LETTERS = 'ABCDEFGHJKMNPQRSTUVWXYZ'
export const CODE_LENGTH = 6

/** A join code of six letters: 23⁶ = 148 million. `random` in [0, 1) must be one that cannot be guessed. */
export function makeCode(random: () => number): string {
  return Array.from({ length: CODE_LENGTH }, () => LETTERS[Math.floor(random() * LETTERS.length)]).join('')
}

/** A code as typed: spaces, dashes and case do not count. */
export function readCode(typed: string): string {
  return typed.toUpperCase().replace(/[^A-Z]/g, '')
}
