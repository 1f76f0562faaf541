declare module 'number-to-words' {
  const library: { toWords(value: number): string }
  export default library
}
