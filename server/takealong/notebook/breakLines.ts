/**
 * Advance widths of Atkinson Hyperlegible Next at weight 400 with tabular figures, thousandths of the type size, for characters 32…126; measured in a
 * browser at 1000 px. Kerning, which only narrows, is left out.
 */
const WIDTHS = [
  280, 286, 301, 651, 592, 919, 731, 160, 299, 299, 485, 606, 210, 362, 210, 297, 632, 632, 632, 632, 632, 632, 632,
  632, 632, 632, 210, 210, 553, 628, 553, 480, 778, 644, 613, 625, 669, 569, 552, 694, 694, 392, 512, 631, 541, 824,
  693, 714, 592, 724, 614, 592, 576, 690, 609, 861, 623, 611, 607, 317, 387, 344, 552, 372, 243, 525, 566, 476, 564,
  538, 320, 558, 550, 252, 263, 492, 258, 845, 550, 551, 566, 574, 358, 471, 326, 540, 484, 707, 504, 472, 460, 344,
  237, 344, 555,
]
/** Any other character: as wide as the type is high, which no letter passes by much. */
const OTHER = 1000

/** Width of a text set in one line, in units of the type size. */
export function textWidth(text: string): number {
  let sum = 0
  for (const letter of text) sum += WIDTHS[letter.codePointAt(0)! - 32] ?? OTHER
  return sum / 1000
}

/**
 * Lines a text takes at `width` (units of the type size) when each word goes on the line while it fits, as browsers set it; a word wider than a line is cut
 * anywhere. At least 1. Never fewer than a browser needs, since that may also break at hyphens. Throws RangeError for width < 2.
 */
export function countLines(text: string, width: number): number {
  if (!(width >= 2)) throw new RangeError(`countLines: width must be at least 2 type sizes, got ${width}`)
  const space = textWidth(' ')
  let lines = 1
  let used = 0
  for (const word of text.trim().split(/\s+/)) {
    const needs = textWidth(word)
    if (used > 0 && used + space + needs <= width) {
      used += space + needs
      continue
    }
    if (used > 0) lines++
    // One more where a wide word is cut: pieces do not fill their lines to the last unit.
    const cut = needs > width ? Math.ceil(needs / (width - 1)) : 1
    lines += cut - 1
    used = cut > 1 ? width : needs
  }
  return lines
}
