import { rounded } from "../../core/show.js";
import type { FamilyDeviation } from "../../fans/family-model.js";
import type { FanModel } from "../../fans/model.js";
import { stallRange } from "../../fans/stall.js";
import { formatQuantity } from "../../input/quantities.js";
import type { ControlResult, FanResult, Warning } from "../results/solution.js";

/** Share of the largest pressure by which curves of a family may differ from the fan laws before a speed warns [-] */
const farFromLaws = 0.15;

/**
 * What is doubtful about a running fan.
 *
 * @param model - The fan at the speed of the result.
 * @param apart - How far the curves that this speed is found from differ from the fan laws.
 */
export function* fanWarnings(
  name: string,
  { control, flow, speed, withinCurve }: FanResult,
  model: FanModel,
  apart: FamilyDeviation | undefined,
): Generator<Warning> {
  if (!withinCurve) yield outsideCurve(name, flow, model.range);
  const stall = stallRange(model);
  if (stall !== undefined && flow < stall.to) {
    yield unstableRegion(name, flow, model.slope(flow) > 0 ? undefined : stall.to);
  }
  if (apart !== undefined && Math.abs(apart.pressure) > farFromLaws) yield offLaws(name, speed, apart);
  if (control?.limit !== undefined) yield limited(name, control);
}

const controlUnits = { flow: "l/s", pressure: "Pa", balance: "kg/s" } as const;

const limited = (name: string, { kind, limit, missing = 0, set }: ControlResult): Warning => {
  const text = (value: number): string => formatQuantity(value, controlUnits[kind]);
  // A pressure before a fan that extracts is negative: nearer to 0 is less of it.
  const short = set < 0 ? -missing : missing;
  const miss = short < 0 ? `${text(-short)} too much` : `${text(short)} are missing`;
  const message = `fan '${name}' runs at its ${limit} and does not hold its set ${kind} of ${text(set)}: ${miss}`;
  return { code: "fan.control-limited", path: `fans.${name}.control`, message };
};

const litres = (flow: number): string => formatQuantity(flow, "l/s");

/** @param below - Where the fan runs on a falling part before its pressure rises for the last time: where that ends [m³/s]. */
const unstableRegion = (name: string, flow: number, below?: number): Warning => {
  const place =
    below === undefined
      ? "on the rising part of its curve: there it may hunt and its blades may stall"
      : `below the rising part of its curve, which ends at ${litres(below)}: there its blades may be stalled, it may be loud and may surge`;
  const message = `fan '${name}' runs at ${litres(flow)} ${place}; choose another fan or another flow`;
  return { code: "fan.unstable-region", path: `fans.${name}.flow`, message };
};

const offLaws = (name: string, speed: number, { flow, from, pressure, to }: FamilyDeviation): Warning => {
  const message = `fan '${name}' runs at speed ${rounded(speed)}, found from the curves at ${rounded(from)} and ${rounded(to)}: scaled by the fan laws, the first lies ${(100 * Math.abs(pressure)).toFixed(0)} % of the pressure ${pressure < 0 ? "below" : "above"} the second at ${litres(flow)}; the fan's pressure there is uncertain`;
  return { code: "fan.off-laws", path: `fans.${name}.speed`, message };
};

const outsideCurve = (name: string, flow: number, { min, max }: FanModel["range"]): Warning => {
  const fan = `fan '${name}'`;
  const beyond =
    flow < min ? `${litres(min - flow)} below its first point` : `${litres(flow - max)} beyond its last point`;
  const where =
    flow < 0 ? `air flows backwards through ${fan}, ${litres(-flow)}` : `${fan} runs at ${litres(flow)}, ${beyond}`;
  const message = `${where}; its pressure there is an extension of the curve`;
  return { code: "fan.outside-curve", path: `fans.${name}.flow`, message };
};
