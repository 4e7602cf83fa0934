import type { PressureCurve } from "../fans/model.js";
import type { FanTerm } from "./equations.js";

/** A fan's pressure, at a speed and in air of a density, as a term of the equations. */
export const termOf = ({ curve, density: own, speed }: PressureCurve, density: number): FanTerm => ({
  curve,
  flow: 1 / (density * speed),
  scale: (density / own) * speed ** 2,
});
