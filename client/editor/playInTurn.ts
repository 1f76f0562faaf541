/** Plays sounds one after another; a new list stops the one before. */
let playing: HTMLAudioElement | null = null

export function playInTurn(addresses: readonly string[]): void {
  playing?.pause()
  playing = null
  const [first, ...rest] = addresses
  if (first === undefined) return
  const audio = new Audio(first)
  playing = audio
  audio.onended = () => playing === audio && playInTurn(rest)
  void audio.play().catch(() => {})
}
