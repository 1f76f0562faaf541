declare module '@echogarden/espeak-ng-emscripten' {
  /** Loads the engine; the package ships no types. What its worker offers is described where it is used. */
  export default function makeEspeak(options?: object): Promise<{ eSpeakNGWorker: new () => unknown }>
}
