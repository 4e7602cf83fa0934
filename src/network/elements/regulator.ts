import { isWithin } from "../../core/ranges.js";
import { type Regulator, regulatorCurve, regulatorNeed } from "../../fittings/regulator.js";
import type { FanTerm } from "../equations/terms.js";
import type { ElementProblem } from "../results/element-problem.js";
import type { FittingResult, OutsideResult, Warning } from "../results/solution.js";

/**
 * A constant-flow regulator in the equations: a fan that takes pressure.
 *
 * @param acts - Whether it holds its flow; else it takes what it needs.
 * @param flow - Its flow over the mass flow of its branch [m³/kg]; negative where the branch counts the other way.
 * @param count - How many of them, one after another.
 */
export const regulatorTerm = (regulator: Regulator, acts: boolean, flow: number, count = 1): FanTerm => ({
  curve: acts ? regulatorCurve(regulator) : regulatorNeed(regulator),
  flow,
  scale: -Math.sign(flow) * count,
});

/** Faults of a regulator that show only between its keys. */
export const regulatorProblems = function* (
  { minPressure, maxPressure }: Regulator,
  key: string,
): Generator<ElementProblem> {
  if (maxPressure > minPressure) return;
  const expected = `above ${minPressure}, from which it holds its flow`;
  yield { code: "value.range", key: `${key}.maxPressure`, expected, found: `${maxPressure}` };
};

/** What regulators of one kind lose, one after another [Pa], and whether that lies in the band of each. */
export const regulatorResult = (regulator: Regulator, loss: number, count = 1): FittingResult => {
  const range = { min: regulator.minPressure, max: regulator.maxPressure };
  const result: FittingResult = { kind: "regulator", loss, model: "given", withinRange: isWithin(loss / count, range) };
  if (!result.withinRange) result.outside = [{ what: "pressure", value: loss / count, range }];
  return result;
};

/** A regulator that has left its band; `where` says which. */
export const bandWarning = (where: string, path: string, { value, range }: OutsideResult): Warning => {
  const message = `the regulator ${where} does not hold its flow: it takes ${value.toPrecision(3)} Pa, outside its band of ${range.min} to ${range.max} Pa`;
  return { code: "regulator.out-of-band", path, message };
};
