import react from '@vitejs/plugin-react'
import { defineConfig } from 'vite'

const SERVER = 'http://127.0.0.1:4317'

export default defineConfig({
  root: new URL('.', import.meta.url).pathname,
  plugins: [react()],
  build: { outDir: 'dist', emptyOutDir: true, chunkSizeWarningLimit: 1400, modulePreload: { polyfill: false } },
  server: {
    proxy: {
      '/api': { target: SERVER, changeOrigin: true },
      '/live': { target: SERVER, ws: true, changeOrigin: true },
    },
  },
})
