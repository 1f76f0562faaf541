/** Density of the normal distribution. σ > 0; any finite x and mean. */
export const normal = (x: number, mean: number, sigma: number): number =>
  Math.exp(-0.5 * ((x - mean) / sigma) ** 2) / (sigma * Math.sqrt(2 * Math.PI))

/** Density of the lognormal distribution of this median, σ that of ln x. x, median and σ > 0. */
export const lognormal = (x: number, median: number, sigma: number): number =>
  normal(Math.log(x), Math.log(median), sigma) / x
