import type { RealFunction } from "./roots.js";

/** Share of an interval that is kept in each step: the golden section. */
const kept = /* @__PURE__ */ (Math.sqrt(5) - 1) / 2;
/** Steps to 1e-8 of the interval: the square root of rounding, nearer than which a minimum cannot be told as it is flat. */
const steps = 39;

/**
 * Where a function with one minimum between two positions is lowest, by golden sections.
 *
 * @param enough - The search ends where the function is as low as this.
 * @returns The lowest position found, to 1e-8 of the interval.
 *
 * Source: golden section search, J. Kiefer, Proceedings of the American Mathematical Society 4 (1953) (memory).
 */
export const lowestBetween = (f: RealFunction, low: number, high: number, enough: number): number => {
  let [left, right] = [high - kept * (high - low), low + kept * (high - low)];
  let [atLeft, atRight] = [f(left), f(right)];
  let [start, end] = [low, high];
  for (let step = 0; step < steps && Math.min(atLeft, atRight) > enough; step++) {
    if (atLeft < atRight) {
      [end, right, atRight] = [right, left, atLeft];
      left = end - kept * (end - start);
      atLeft = f(left);
    } else {
      [start, left, atLeft] = [left, right, atRight];
      right = start + kept * (end - start);
      atRight = f(right);
    }
  }
  return atLeft < atRight ? left : right;
};
