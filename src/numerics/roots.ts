/** A real function of one number. */
export type RealFunction = (x: number) => number;

/** A root, with the sign (−1, 1) of the function at either side; 0 where the search ended at the root. */
export interface Crossing {
  readonly at: number;
  readonly before: number;
  readonly after: number;
}

/**
 * The root of a function between two positions where it has opposite signs, to floating-point resolution.
 *
 * Inverse quadratic interpolation where the last three points promise that it converges, bisection elsewhere; so it needs
 * no more than a few times the evaluations of bisection, and no derivative. Infinite values count by their sign.
 *
 * @returns The root to two units of relative rounding, or undefined where the signs are equal or a value is NaN.
 *
 * Source: T. R. Chandrupatla, "A new hybrid quadratic/bisection algorithm for finding the zero of a nonlinear function
 * without using derivatives", Advances in Engineering Software 28 (1997) (memory).
 */
export const bracketedRoot = (f: RealFunction, low: number, high: number): number | undefined => {
  // `latest` and `other` enclose the root; `dropped` is the point that left the pair last.
  let other = low;
  let otherValue = f(low);
  let latest = high;
  let latestValue = f(high);
  if (otherValue === 0) return other;
  if (latestValue === 0) return latest;
  if (!(Math.sign(otherValue) === -Math.sign(latestValue))) return undefined;
  let share = 0.5;
  for (;;) {
    const x = latest + share * (other - latest);
    const value = f(x);
    if (value === 0) return x;
    if (Number.isNaN(value)) return undefined;
    let dropped = latest;
    let droppedValue = latestValue;
    if (Math.sign(value) !== Math.sign(latestValue)) {
      [dropped, droppedValue] = [other, otherValue];
      [other, otherValue] = [latest, latestValue];
    }
    latest = x;
    latestValue = value;
    const best = Math.abs(latestValue) < Math.abs(otherValue) ? latest : other;
    const resolution = Number.EPSILON * Math.abs(best) + Number.MIN_VALUE;
    const least = resolution / Math.abs(other - latest);
    if (least > 0.5) return best;
    share = interpolatedShare(latest, latestValue, other, otherValue, dropped, droppedValue);
    share = Math.min(Math.max(share, least), 1 - least);
  }
};

/** How far from a towards b inverse quadratic interpolation puts the root; a half where it cannot be trusted. */
const interpolatedShare = (a: number, fa: number, b: number, fb: number, c: number, fc: number): number => {
  const position = (a - b) / (c - b);
  const level = (fa - fb) / (fc - fb);
  if (!(level ** 2 < position && (1 - level) ** 2 < 1 - position)) return 0.5;
  return (fa / (fb - fa)) * (fc / (fb - fc)) + ((c - a) / (b - a)) * (fa / (fc - fa)) * (fb / (fc - fb));
};

/**
 * All roots of a function that is monotone between each two neighbours of a list of positions.
 *
 * A position where the function is within `tolerance` of 0 is itself the root, so none is lost or found twice there;
 * neighbours that are all within it are one root. So a curve that only touches 0 at a turning point is found, once, with
 * equal signs before and after.
 *
 * @param f - The function, one value at each position.
 * @param breaks - Positions, rising.
 * @param tolerance - Largest value that counts as 0, 0 or more.
 * @returns The roots in rising order.
 */
export const crossings = (f: RealFunction, breaks: readonly number[], tolerance: number): Crossing[] => {
  const found: Crossing[] = [];
  let before = 0;
  let start = Number.NaN;
  let touched: number | undefined;
  let least = 0;
  for (const at of breaks) {
    const value = f(at);
    const size = Math.abs(value);
    if (size <= tolerance) {
      if (touched === undefined || size < least) [touched, least] = [at, size];
      continue;
    }
    const after = Math.sign(value);
    const root = touched ?? (before * after < 0 ? bracketedRoot(f, start, at) : undefined);
    if (root !== undefined) found.push({ at: root, before, after });
    [before, start, touched] = [after, at, undefined];
  }
  if (touched !== undefined) found.push({ at: touched, before, after: 0 });
  return found;
};

/**
 * All roots of a function between two positions, both included, by the chain of its derivatives: the roots of each
 * derivative part the interval into pieces on which the function above it is monotone.
 *
 * @param derivatives - The function, its first derivative, its second, and so on; the last one is monotone. They may be
 * infinite at the ends, not NaN.
 * @returns The roots in rising order; one of a function that is 0 all along.
 */
export const rootsBetween = (derivatives: readonly RealFunction[], low: number, high: number): number[] => {
  const [f, ...rest] = derivatives;
  const turns = rest.length === 0 ? [] : rootsBetween(rest, low, high);
  return crossings(f, [low, ...turns, high], 0).map((root) => root.at);
};
