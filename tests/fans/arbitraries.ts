import fc from "fast-check";
import { curveProblems, type FanCurve } from "../../src/fans/curve.js";
import { numberWithin } from "../helpers/numbers.js";

/** A curve of total pressures from [flow, pressure] pairs. */
export const total = (points: readonly (readonly [number, number])[]): FanCurve => ({
  pressureKind: "total",
  points: points.map(([flow, pressure]) => ({ flow, pressure })),
});

export const amount = numberWithin;

/** Fan curves of any shape that ends falling, with two to seven points, the first at 0 or above. */
export const curves: fc.Arbitrary<FanCurve> = fc
  .tuple(amount(0, 0.1), fc.array(fc.tuple(amount(0.01, 0.1), amount(20, 300)), { minLength: 2, maxLength: 7 }))
  .map(([start, steps]) => {
    let flow = start - steps[0][0];
    return total(
      steps.map(([step, pressure]) => {
        flow += step;
        return [Math.max(flow, 0), pressure] as const;
      }),
    );
  })
  .filter((curve) => curveProblems(curve).length === 0);
