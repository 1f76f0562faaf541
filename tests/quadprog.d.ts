declare module 'quadprog' {
  /** min ½ xᵀDx − dᵀx subject to Aᵀx ≥ b, the first `meq` with equality. Arrays count from 1. */
  export function solveQP(
    D: number[][],
    d: number[],
    A: number[][],
    b: number[],
    meq?: number,
  ): { solution: number[]; value: number[]; message: string }
}
