import '@fontsource-variable/atkinson-hyperlegible-next/wght.css'
import './look/tokens.css'
import './look/base.css'
import { createRoot } from 'react-dom/client'
import { App } from './app/App.tsx'

createRoot(document.getElementById('root')!).render(<App />)
