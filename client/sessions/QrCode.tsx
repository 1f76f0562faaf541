import { useMemo } from 'react'
import { qrPath } from './qrPath.ts'

/** Dark on light in either theme: cameras want it so. */
export function QrCode({ text }: { text: string }) {
  const { size, path } = useMemo(() => qrPath(text), [text])
  return (
    <svg className="qr" viewBox={`0 0 ${size} ${size}`} role="img" aria-label={`QR code of ${text}`}>
      <rect width={size} height={size} fill="#fff" />
      <path d={path} fill="#000" shapeRendering="crispEdges" />
    </svg>
  )
}
