import { readFileSync } from 'node:fs'
import { createRequire } from 'node:module'
import type { Rehearsal } from '../../rehearsal/stage.ts'
import { type Metres, MILE, toKmh, toMph } from '../../units.ts'
import { clockText } from '../clockText.ts'
import { CAUTION, DRAWN } from '../runTags.ts'
import { mapStrip } from './mapStrip.ts'
import { type NotebookOptions, type NotebookPage, notebookPages } from './notebookPages.ts'
import { TURN } from './pageTurns.ts'
import { type Layout, layOut, type Paper } from './paper.ts'

/**
 * The printable notebook of a run: one HTML page without scripts or anything from elsewhere, its type inside it, one section a sheet, `@page` at the paper's
 * size. Every sheet carries the stage, its number, distances, a strip of the road and the cautions; a turn that had to be put where there is no time says so.
 */
export function notebookHtml(
  rehearsal: Rehearsal,
  paper: Paper,
  options: NotebookOptions,
): { html: string; pages: readonly NotebookPage[] } {
  const layout = layOut(paper)
  const pages = notebookPages(rehearsal, layout, options)
  const { stage, profile, run } = rehearsal
  const miles = options.units === 'miles'
  const speed = miles
    ? `${toMph(profile.averageSpeed).toFixed(1)} mph`
    : `${toKmh(profile.averageSpeed).toFixed(1)} km/h`
  const about = `${speed}, ${clockText(profile.duration)}, ${run.surface}`
  const drawn = stage.route.source === 'notes'
  const unit = miles ? 'mi' : 'km'
  const along = (metres: Metres) => (metres / (miles ? MILE : 1000)).toFixed(2)
  const sheets = pages.map((page, p) =>
    [
      '<section class="page">',
      `<header><strong>${text(stage.title)}</strong><span>${text(about)}</span><span>${along(page.from)} to ${along(page.to)} ${unit}</span><span class="number">${p + 1} of ${pages.length}</span></header>`,
      '<div class="body">',
      strip(rehearsal, page, layout),
      '<ol>',
      ...page.rows.map(
        (row) =>
          `<li${row.crunch ? ' class="crunch"' : ''}><span class="at">${row.distance}</span><span>${text(row.text)}</span></li>`,
      ),
      '</ol></div>',
      `<footer>${turnText(page)}<p>${drawn ? `${DRAWN} ` : ''}${CAUTION}</p></footer>`,
      '</section>',
    ].join('\n'),
  )
  const html = [
    '<!doctype html>',
    '<html lang="en"><head><meta charset="utf-8">',
    `<title>${text(stage.title)}: notebook</title>`,
    `<style>${style(layout, paper)}</style>`,
    '</head><body>',
    ...(sheets.length > 0 ? sheets : ['<p>There is no call to print in this section.</p>']),
    '</body></html>',
    '',
  ].join('\n')
  return { html, pages }
}

function strip({ stage }: Rehearsal, page: NotebookPage, layout: Layout): string {
  const height = layout.height - 2 * layout.margin - layout.header - layout.footer
  return mapStrip(stage.route, {
    from: Math.min(page.from, page.to - 1),
    to: page.to,
    calls: page.rows.map((row) => row.station),
    width: layout.strip,
    height: Math.floor(height),
  })
}

function turnText(page: NotebookPage): string {
  if (page.turn === null) return '<p class="turn">end of the stage</p>'
  const { room, crunch, short } = page.turn
  const have = `${Math.max(0, room).toFixed(1)} s`
  if (crunch) return `<p class="turn forced">turn inside a crunch: ${have}, a hand needs ${TURN} s</p>`
  if (short) return `<p class="turn forced">turn quickly: ${have}, a hand needs ${TURN} s</p>`
  return `<p class="turn">turn: ${have}</p>`
}

const text = (value: string) =>
  value.replace(/&/g, '&amp;').replace(/</g, '&lt;').replace(/>/g, '&gt;').replace(/"/g, '&quot;')

const FONT = '@fontsource-variable/atkinson-hyperlegible-next/files/atkinson-hyperlegible-next-latin-wght-normal.woff2'
let face: string | null = null

/** The type inside the page, so that it prints alike on a machine without it. */
function fontFace(): string {
  face ??= readFileSync(createRequire(import.meta.url).resolve(FONT)).toString('base64')
  return `@font-face{font-family:Notebook;font-weight:200 800;src:url(data:font/woff2;base64,${face}) format("woff2")}`
}

function style(l: Layout, paper: Paper): string {
  const small = paper.name === 'A6' ? 5.6 : 6.4
  return `${fontFace()}
@page{size:${l.width}mm ${l.height}mm;margin:0}
*{box-sizing:border-box;margin:0;padding:0}
html{font:400 ${paper.type}pt/1.3 Notebook,sans-serif;font-variant-numeric:tabular-nums;color:#1c2126;background:#d9d3c5;-webkit-print-color-adjust:exact;print-color-adjust:exact}
.page{width:${l.width}mm;height:${l.height - 0.1}mm;padding:${l.margin}mm;background:#fffdf8;overflow:hidden;break-after:page;display:flex;flex-direction:column}
.page:last-child{break-after:auto}
header{height:${l.header}mm;display:flex;gap:3mm;align-items:baseline;font-size:${small + 1.6}pt;border-bottom:0.3mm solid #1c2126;white-space:nowrap;overflow:hidden}
header strong{font-weight:700;overflow:hidden;text-overflow:ellipsis}
header .number{margin-left:auto;font-weight:700}
.body{flex:1;display:flex;gap:3mm;min-height:0}
.strip{width:${l.strip}mm;height:100%;flex:none}
.strip polyline{fill:none;stroke:#4a4f55;stroke-width:0.9;stroke-linejoin:round;stroke-linecap:round}
.strip circle{fill:#fffdf8;stroke:#1c2126;stroke-width:0.35}
.strip .from{fill:#1c2126}
ol{list-style:none;flex:1;min-width:0;padding-top:${(l.between / 2).toFixed(2)}mm}
li{display:flex;padding-bottom:${l.between.toFixed(3)}mm;overflow-wrap:anywhere}
li .at{flex:none;width:${l.distance.toFixed(2)}mm;color:#5b6168}
li.crunch .at{color:#a63d12;font-weight:700}
li.crunch{background:repeating-linear-gradient(135deg,#a63d12 0 0.4mm,transparent 0.4mm 1.2mm) 0 0/1mm 100% no-repeat;padding-left:1.6mm;margin-left:-1.6mm}
footer{height:${l.footer}mm;border-top:0.2mm solid #d9d3c5;font-size:${small}pt;line-height:1.25;color:#5b6168;display:flex;flex-direction:column;justify-content:flex-end;overflow:hidden}
.turn{align-self:flex-end;color:#1c2126;font-size:${small + 1.6}pt;font-weight:700;margin-bottom:0.5mm}
.forced{color:#a63d12;border:0.4mm solid #a63d12;padding:0 1mm}
@media screen{body{display:flex;flex-wrap:wrap;gap:6mm;padding:6mm;justify-content:center}}
`
}
