import type { Lexicon } from './lexicon.ts'
import type { Diagnostic } from './notes.ts'
import type { Token } from './tokens.ts'

/** The tokens that say something, and the noises of thinking between them ("um"), which are read over unless the crew gave them a meaning. */
export function withoutHesitations(
  all: readonly Token[],
  lexicon: Lexicon,
): { tokens: readonly Token[]; hesitations: readonly Token[] } {
  const isNoise = (token: Token) => lexicon.hesitations.has(token.text)
  if (!all.some(isNoise)) return { tokens: all, hesitations: [] }
  const tokens: Token[] = []
  const hesitations: Token[] = []
  let before: Token['before'] = 0
  for (const token of all) {
    if (isNoise(token)) {
      hesitations.push(token)
      if (token.before > before) before = token.before
    } else {
      tokens.push(before > token.before ? { ...token, before } : token)
      before = 0
    }
  }
  return { tokens, hesitations }
}

/** What to say of a noise: it may go, with the space after it. */
export function hesitation(token: Token, text: string, dictated: boolean): Diagnostic {
  const { from } = token
  let { to } = token
  while (text[to] === ' ') to++
  return {
    severity: 'info',
    code: 'hesitation',
    message: `"${text.slice(token.from, token.to)}" says nothing; it is left out.`,
    from,
    to: token.to,
    fix: { label: 'leave it out', from, to, insert: '' },
    certain: dictated,
  }
}
