import QRCode from 'qrcode'

/** White around the code, in modules: the standard asks for four (ISO/IEC 18004, from memory). */
const QUIET = 4

/** A QR code as one SVG path of unit squares, in a view box of `size` × `size` modules. */
export function qrPath(text: string): { size: number; path: string } {
  const { modules } = QRCode.create(text, { errorCorrectionLevel: 'M' })
  const parts: string[] = []
  for (let y = 0; y < modules.size; y++) {
    for (let x = 0; x < modules.size; x++) {
      if (modules.get(y, x)) parts.push(`M${x + QUIET} ${y + QUIET}h1v1h-1z`)
    }
  }
  return { size: modules.size + 2 * QUIET, path: parts.join('') }
}
