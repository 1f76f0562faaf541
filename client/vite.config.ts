import { readdirSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import react from '@vitejs/plugin-react'
import { defineConfig, type Plugin } from 'vite'

const SERVER = 'http://127.0.0.1:4317'

/** Names every built file, so that a page can keep all of them for riding without the server. */
const assetList: Plugin = {
  name: 'asset-list',
  // What was written, not what was planned: style sheets leave empty scripts behind that are dropped on the way.
  writeBundle({ dir }) {
    const names = readdirSync(join(dir!, 'assets')).map((name) => `assets/${name}`)
    writeFileSync(join(dir!, 'asset-list.json'), JSON.stringify(names))
  },
}

export default defineConfig({
  root: new URL('.', import.meta.url).pathname,
  plugins: [react(), assetList],
  build: { outDir: 'dist', emptyOutDir: true, chunkSizeWarningLimit: 1400, modulePreload: { polyfill: false } },
  server: {
    proxy: {
      '/api': { target: SERVER, changeOrigin: true },
      '/live': { target: SERVER, ws: true, changeOrigin: true },
    },
  },
})
