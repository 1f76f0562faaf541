/**
 * Lets a kept stage ride with the server stopped. It decides nothing: pages and data come from the network while it answers, and from what was kept when it
 * does not; assets and clips are named by their content, so a kept one is as good as a new one. Keeping is done by the Take along page.
 */
const BY_CONTENT = /^\/(assets|api\/clips)\//

self.addEventListener('install', () => self.skipWaiting())
self.addEventListener('activate', (event) => event.waitUntil(self.clients.claim()))
self.addEventListener('fetch', (event) => {
  const { request } = event
  const { origin, pathname } = new URL(request.url)
  if (request.method !== 'GET' || origin !== self.location.origin || request.headers.has('x-network-only')) return
  event.respondWith(BY_CONTENT.test(pathname) ? keptFirst(request) : networkFirst(request))
})

async function keptFirst(request) {
  return (await caches.match(request)) ?? fetch(request)
}

async function networkFirst(request) {
  try {
    return await fetch(request)
  } catch (error) {
    const kept = await caches.match(request.mode === 'navigate' ? '/' : request)
    if (kept) return kept
    throw error
  }
}
