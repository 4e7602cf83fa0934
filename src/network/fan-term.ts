import type { FanModel } from "../fans/model.js";
import type { FanTerm } from "./equations.js";

/** A fan at one speed as a term of the equations. */
export const termOf = ({ base, density, speed }: FanModel): FanTerm => ({
  curve: base.pressure,
  flow: 1 / (density * speed),
  scale: (density / base.density) * speed ** 2,
});
