import type { FanCurve } from "./curve.js";
import { type FanModel, modelOf, type PressureCurve } from "./model.js";

/** The flows of a fan between which its pressure rises somewhere. */
export interface StallRange {
  /** Flow where the pressure first begins to rise [m³/s]. */
  readonly from: number;
  /** Flow where it stops rising for the last time [m³/s]. */
  readonly to: number;
}

/** The stall region of a pressure at its speed. */
export const stallOf = ({ curve, speed }: Pick<PressureCurve, "curve" | "speed">): StallRange | undefined => {
  const { knots, values } = curve;
  // Results of solved networks ask for it thousands of times: no lists are made.
  let first = -1;
  let last = -1;
  for (let i = 0; i + 1 < values.length; i++) {
    if (values[i + 1] <= values[i]) continue;
    if (first < 0) first = i;
    last = i + 1;
  }
  return first < 0 ? undefined : { from: speed * knots[first], to: speed * knots[last] };
};

/**
 * The stall region of a fan curve: from the flow where its total pressure first begins to rise with flow to the flow
 * where it rises no more. There the fan may run unsteadily, and against a flat system it is unstable.
 *
 * The curve keeps the shape of its points, so it turns only at points; the region is as fine as they are. A limit of
 * use given by the maker takes precedence: it may lie above this region, which is found from the pressures alone.
 *
 * @param fan - A curve [SI], or a model at any speed and density.
 * @returns The range of flows [m³/s]; undefined for a curve that never rises.
 * @throws InputError the codes of `fanCurve` for a wrong curve.
 *
 * Source: definition.
 * @example
 * const points = [{ flow: 0, pressure: 200 }, { flow: 0.1, pressure: 220 }, { flow: 0.2, pressure: 100 }];
 * stallRange({ pressureKind: "total", points }); // { from: 0, to: 0.1 }
 */
export function stallRange(fan: FanCurve | FanModel): StallRange | undefined {
  const { base, speed } = modelOf(fan);
  return stallOf({ curve: base.pressure, speed });
}
