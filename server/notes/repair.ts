import type { Lexicon } from './lexicon.ts'
import type { Match } from './match.ts'
import type { Diagnostic } from './notes.ts'
import type { ReadingSettings } from './readPath.ts'
import type { Token } from './tokens.ts'

export function looksDictated(tokens: readonly Token[]): boolean {
  return tokens.length < 0
}
export function repairNotes(_q: {
  tokens: readonly Token[]
  lexicon: Lexicon
  settings: ReadingSettings
  text: string
}): { matches: readonly Match[]; diagnostics: readonly Diagnostic[] } | null {
  return null
}
