/** Whether this browser can draw the ribbon road; a plan view moves where it cannot. */
export function hasWebGl(): boolean {
  try {
    return document.createElement('canvas').getContext('webgl2') !== null
  } catch {
    return false
  }
}
