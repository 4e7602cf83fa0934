import { joined } from "../../core/errors.js";
import { nearestName } from "../../core/nearest.js";
import { rounded, shown } from "../../core/show.js";
import { chainProblems } from "../../fans/chain.js";
import type { FanData } from "../../fans/data.js";
import type { ChainPart } from "../format/drive-chain.js";
import type { CurvePart } from "../format/fan-curve.js";
import type { ElementProblem } from "../results/element-problem.js";
import { fanReadingOf } from "./curve-cache.js";
import type { FanPart } from "./fan.js";

/** Below this share of the slowest curve's speed, and above this many times the fastest's, a speed is in another unit [-] */
const fartherDown = 0.05;
const fartherUp = 5;

/** The settings of a fan without a curve. */
const noSettings: ReadonlyMap<string, number> = new Map();

/** Faults of a fan that show only beside its other keys. */
export const fanProblems = function* (fan: FanPart, key: string): Generator<ElementProblem> {
  const keyOf = (name: string): string => joined(key, name);
  if (fan.speed === 0 && fan.stopped === undefined) {
    yield {
      code: "fan.stopped-missing",
      key: keyOf("speed"),
      expected: "above 0, or a fan with 'stopped'",
      found: "0",
    };
  }
  if (fan.control !== undefined && fan.speed === 0) {
    const expected = "above 0 beside 'control', which begins its search there";
    yield { code: "fan.control-stopped", key: keyOf("speed"), expected, found: "0" };
  }
  if (fan.chain !== undefined) yield* driveChainProblems(fan.chain, fan.curve, keyOf);
  if (fan.curve === undefined) {
    const still = fan.speed === 0 && fan.stopped !== undefined;
    if (!still) yield { code: "key.missing", key: keyOf("curve"), expected: "a fan curve", found: "nothing" };
    else if (fan.setting !== undefined) yield* settingProblems(fan.setting, fan.speed, noSettings, keyOf);
    return; // limits of control are in the unit of the curve
  }
  if (fan.control !== undefined) {
    const { minSpeed, maxSpeed } = fan.control;
    if (!(minSpeed < maxSpeed)) {
      const expected = `below ${maxSpeed}, the fastest speed`;
      yield { code: "value.range", key: keyOf("control.minSpeed"), expected, found: `${minSpeed}` };
    }
  }
  const { data, problems } = fanReadingOf(fan.curve);
  for (const { code, path, message, expected = message, found = "the points given" } of problems) {
    yield { code, key: keyOf(`curve.${path}`), expected, found };
  }
  if (data === undefined) return;
  if (fan.setting !== undefined) yield* settingProblems(fan.setting, fan.speed, data.settings, keyOf);
  yield* speedProblems(fan, data, keyOf);
};

/** A chain begins at the impeller, whose efficiency only the curve can tell. */
const driveChainProblems = function* (
  chain: ChainPart,
  curve: CurvePart | undefined,
  keyOf: (name: string) => string,
): Generator<ElementProblem> {
  for (const { code, path, message, expected = message, found = "the parts given" } of chainProblems(chain)) {
    yield { code, key: keyOf(path), expected, found };
  }
  if (curve === undefined) return;
  const points = "speeds" in curve ? curve.speeds[0].points : "points" in curve ? curve.points : [];
  if (points[0]?.efficiency !== undefined) return;
  const expected = "a curve whose points give the impeller's 'efficiency'";
  const powered = "coefficients" in curve && curve.powerCoefficients !== undefined ? "powerCoefficients" : undefined;
  const input = points[0]?.power === undefined ? powered : "power";
  yield input === undefined
    ? { code: "fan.chain-efficiency", key: keyOf("chain"), expected, found: "one without" }
    : { code: "key.conflict", key: keyOf("chain"), expected, found: `chain and ${input}, which is electrical input` };
};

/** A setting must be one of the curve's, and the speed beside it a share of the setting's. */
const settingProblems = function* (
  setting: string,
  speed: number,
  settings: ReadonlyMap<string, number>,
  keyOf: (name: string) => string,
): Generator<ElementProblem> {
  if (!settings.has(setting)) {
    const nearest = nearestName(setting, settings.keys());
    const expected = settings.size === 0 ? "a curve with named settings" : "a setting of the curve";
    const problem = { code: "reference.setting", key: keyOf("setting"), expected, found: shown(setting) };
    yield nearest === undefined ? problem : { ...problem, nearest };
  } else if (speed !== 0 && !(speed >= fartherDown && speed <= fartherUp)) {
    const expected = `a speed relative to the setting's, ${fartherDown} to ${fartherUp}`;
    yield { code: "fan.speed-far", key: keyOf("speed"), expected, found: `${speed}` };
  }
};

/** Speeds must be in the unit of the curves, or relative to a single curve's own; any speed between limits is then too. */
const speedProblems = function* (
  { control: part, curve, setting, speed }: FanPart,
  { speeds }: FanData,
  keyOf: (name: string) => string,
): Generator<ElementProblem> {
  const expected =
    curve !== undefined && "speeds" in curve
      ? `a speed in the unit of the curves, which stand at ${rounded(speeds.min)} to ${rounded(speeds.max)}`
      : `${fartherDown} to ${fartherUp}, counted from the curve's own speed, which is 1: 0.85 for 85 %`;
  const given: [string, number | undefined][] = [
    ["speed", speed === 0 || setting !== undefined ? undefined : speed],
    ["control.minSpeed", part?.minSpeed],
    ["control.maxSpeed", part?.maxSpeed],
  ];
  for (const [key, value] of given) {
    if (value === undefined || (value >= fartherDown * speeds.min && value <= fartherUp * speeds.max)) continue;
    yield { code: "fan.speed-far", key: keyOf(key), expected, found: `${value}` };
  }
};
