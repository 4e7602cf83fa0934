import type { FanResult } from "../../../src/network/results/solution.js";
import type { AirProperties } from "./air.js";
import type { PlainControl, PlainFan, PlainSensor } from "./document.js";
import type { Reading } from "./reading.js";

/** Share of a set flow, and pressure [Pa], by which a held value may miss at tolerance 1. */
const heldFlow = 2e-8;
const heldPressure = 3e-6;

/** What a sensor reads in the answer [Pa]. */
const sensed = (reading: Reading, { duct, at = "inlet", node }: PlainSensor, kind: string): number => {
  if (node !== undefined) return reading.pressureAt(node);
  const end = reading.solution.ducts?.[duct as string]?.[at];
  return (kind === "total" ? end?.totalPressure : end?.staticPressure) ?? Number.NaN;
};

/** A controller holds its set value, or its fan stands at a limit of its speed and says so. */
export const evaluateControl = (
  reading: Reading,
  name: string,
  { curve }: PlainFan,
  control: PlainControl,
  air: AirProperties,
  result: FanResult | undefined,
): void => {
  const { findings, solution } = reading;
  const place = `fans.${name}`;
  // Speeds are in the unit of the curves, and reach up to the last of these unless the document says otherwise.
  const fastest = curve?.speeds?.at(-1)?.speed ?? 1;
  const { minSpeed = fastest / 10, maxSpeed = fastest } = control;
  const speed = findings.number(place, result, "speed");
  const rounding = 1e-12 * fastest;
  if (!(speed >= minSpeed - rounding && speed <= maxSpeed + rounding))
    findings.problem(`${place}.speed: expected ${minSpeed} to ${maxSpeed}, got ${speed}`);
  const massFlow = result?.massFlow ?? Number.NaN;
  const { kind, pressureKind = "static" } = control;
  const wanted =
    kind === "flow"
      ? air.density * (control.flow as number)
      : kind === "balance"
        ? (control.ratio ?? 1) * (solution.fans?.[control.to as string]?.massFlow ?? Number.NaN)
        : (control.pressure as number);
  const got =
    kind === "pressure"
      ? sensed(reading, control.sensor as PlainSensor, pressureKind) -
        (control.against === undefined ? 0 : sensed(reading, control.against, pressureKind))
      : massFlow;
  const missing = wanted - got;
  const allowed = kind === "pressure" ? heldPressure : heldFlow * Math.max(Math.abs(wanted), Math.abs(got), 1e-3);
  const limit = result?.control?.limit;
  if (Math.abs(missing) <= allowed) return;
  if (limit === undefined)
    findings.problem(`${place}.control: expected ${wanted}, got ${got}, and no limit that binds`);
  const bound = limit === "maxSpeed" ? maxSpeed : minSpeed;
  if (Math.abs(speed - bound) > 1e-9 * fastest)
    findings.problem(`${place}.control: at its ${limit} by its own word, not by its speed`);
  // A controller turns up for more flow: short of it only at the fastest, beyond it only at the slowest. Of a pressure the
  // sign does not tell, since more speed lowers it before a fan.
  if (kind !== "pressure" && missing > 0 !== (limit === "maxSpeed"))
    findings.problem(`${place}.control: ${limit} does not explain ${missing}`);
};
