declare module 'webvtt-parser' {
  interface Cue {
    readonly id: string
    readonly startTime: number
    readonly endTime: number
    readonly text: string
  }
  interface Tree {
    readonly cues: readonly Cue[]
    readonly errors: readonly { readonly message: string; readonly line: number; readonly col?: number }[]
  }
  const parser: {
    WebVTTParser: new (entities?: Readonly<Record<string, string>>) => { parse(text: string, mode?: string): Tree }
  }
  export default parser
}
