import { InputError, type Problem, problemOf } from "../core/errors.js";
import { thrownBelow, thrownBy } from "../core/gather.js";
import { readData, requireKeys } from "../core/keys.js";
import { requireRange } from "../core/ranges.js";
import { shown } from "../core/show.js";
import { pchip, valueAt } from "../numerics/interpolation.js";
import type { FanCurve } from "./curve.js";
import { type FanModel, modelOf } from "./model.js";

/** The efficiency of a part over its load. */
export interface PartLoadEfficiency {
  /** Output of the part at load 1 [W], above 0. */
  readonly ratedOutput: number;
  /**
   * Two or more: output over `ratedOutput` [-], above 0 and strictly rising; output over input there [-], above 0 and at
   * most 1.
   */
  readonly points: readonly { readonly load: number; readonly efficiency: number }[];
}

/** Output over input of a part [-], above 0 and at most 1: one number, or a curve over its load. */
export type PartEfficiency = number | PartLoadEfficiency;

/** What stands between the impeller and the mains. A part that is not named does not exist and takes nothing. */
export interface DriveChain {
  /** Bearings and belt or gear between motor and impeller [-]; leave out for an impeller on the motor's shaft. */
  readonly transmission?: PartEfficiency;
  /** Mechanical output over electrical input of the motor [-]. */
  readonly motor: PartEfficiency;
  /** Output over input of the speed controller [-]; leave out for a motor at the mains, or with its electronics inside. */
  readonly controller?: PartEfficiency;
}

/** A chain with the impeller, whose efficiency belongs to the operating point. */
export interface PowerChain extends DriveChain {
  /** Flow times total pressure over the power at the impeller [-], above 0 and at most 1. */
  readonly impeller: number;
}

/** Power from the air back to the mains. */
export interface PowerTerms {
  /** Flow times fan total pressure [W]. */
  readonly airPower: number;
  /** Mechanical power at the impeller [W]. */
  readonly impellerPower: number;
  /**
   * Mechanical power that the motor gives at its shaft [W]: impeller power and the losses of the transmission. This is not fan
   * shaft power, which is the power between belt and bearings.
   */
  readonly motorOutput: number;
  /** Electrical power into the motor, at its terminals [W]. */
  readonly motorInput: number;
  /** Electrical power from the mains [W]: into the controller, or into the motor where there is none. */
  readonly mainsInput: number;
  /** Air power over `mainsInput` [-]; absent where the latter is 0. */
  readonly overallEfficiency?: number;
}

const share = { above: 0, max: 1 };
const chainKeys = ["transmission", "motor", "controller"] as const;

const partProblems = (path: string, part: PartEfficiency): Problem[] => {
  if (typeof part !== "object" || part === null) return thrownBy(() => requireRange(path, part as number, share));
  const problems = [
    ...thrownBelow(path, path, () => requireKeys(path, part, ["ratedOutput", "points"])),
    ...thrownBy(() => requireRange(`${path}.ratedOutput`, part.ratedOutput, { above: 0 })),
  ];
  if (!Array.isArray(part.points) || part.points.length < 2) {
    return [...problems, problemOf("chain.points-few", `${path}.points`, "two or more points", shown(part.points))];
  }
  part.points.forEach((point, i) => {
    const place = `${path}.points.${i}`;
    problems.push(...thrownBelow(place, place, () => requireKeys(place, point, ["load", "efficiency"])));
    if (typeof point !== "object" || point === null) return;
    const before = part.points[i - 1]?.load;
    problems.push(
      ...thrownBy(() => requireRange(`${place}.load`, point.load, { above: Number.isFinite(before) ? before : 0 })),
      ...thrownBy(() => requireRange(`${place}.efficiency`, point.efficiency, share)),
    );
  });
  return problems;
};

/** Everything that is wrong with the parts of a chain; paths begin with `chain`. */
export const chainProblems = (chain: DriveChain): Problem[] => {
  const parts = chainKeys.filter((key) => key === "motor" || chain[key] !== undefined);
  return parts.flatMap((key) => partProblems(`chain.${key}`, chain[key] as PartEfficiency));
};

/** What is wrong with a chain that has these keys; of a value that may be anything. */
const problemsOfChain = (chain: DriveChain, keys: readonly string[], rest: () => Problem[] = () => []): Problem[] => {
  const ofKeys = thrownBelow("chain", "chain", () => requireKeys("chain", chain, keys));
  if (typeof chain !== "object" || chain === null) return ofKeys;
  return [...ofKeys, ...rest(), ...chainProblems(chain)];
};

/** Input of a part that gives an output [W]. */
const inputOf = (part: PartEfficiency | undefined, output: number): number => {
  if (part === undefined) return output;
  if (typeof part === "number") return output / part;
  const { ratedOutput, points } = part;
  const lowest = points[0].load * ratedOutput;
  // A part that idles still takes its losses: below its points they stay, and the efficiency falls to 0 with the output.
  if (output < lowest) return output + lowest * (1 / points[0].efficiency - 1);
  const loads = points.map(({ load }) => load);
  const curve = pchip(
    loads,
    points.map(({ efficiency }) => efficiency),
  );
  return output / valueAt(curve, Math.min(output / ratedOutput, loads[loads.length - 1]));
};

const termsOf = (airPower: number, impellerPower: number, chain: DriveChain, controlsPower: number): PowerTerms => {
  const motorOutput = inputOf(chain.transmission, impellerPower);
  const motorInput = inputOf(chain.motor, motorOutput);
  const mainsInput = inputOf(chain.controller, motorInput) + controlsPower;
  const terms = { airPower, impellerPower, motorOutput, motorInput, mainsInput };
  return mainsInput > 0 ? { ...terms, overallEfficiency: airPower / mainsInput } : terms;
};

/**
 * Electrical input of a fan from its air power and the efficiency of each part, with all the powers between.
 *
 *   impeller power = air power / η_impeller;  motor output = impeller power / η_drive;
 *   motor input = motor output / η_motor;  mains input = motor input / η_controller
 *
 * A part's efficiency over its load is joined by a curve that keeps the shape of its points (PCHIP). Above them the
 * efficiency is held constant; below them the loss [W] is, since an idling motor still has its losses. The terms are as
 * in ISO 5801, except one that is not given: fan shaft power, between the bearings and the belt, which are one part
 * here, the transmission.
 *
 * @param airPower - Flow times fan total pressure [W], 0 or more.
 * @param chain - Efficiencies [-] of `impeller` (total pressure, never static), `transmission`, `motor`, `controller`; each but
 *   the impeller's may be a curve over load with its rated output [W].
 * @returns The powers [W] and the overall efficiency [-].
 * @throws InputError with all problems at once: `out-of-range`, `chain.points-few`, `unknown-key`, `not-an-object`.
 *
 * Source: terms after ISO 5801 (memory).
 * @example electricalPower(50, { impeller: 0.625, motor: 0.8 }).mainsInput; // 100
 */
export function electricalPower(airPower: number, chain: PowerChain): PowerTerms {
  const given = readData("chain", chain);
  const ofImpeller = () => thrownBelow("chain", "", () => requireRange("impeller", given.impeller, share));
  const problems = [
    ...thrownBy(() => requireRange("airPower", airPower, { min: 0 })),
    ...problemsOfChain(given, ["impeller", ...chainKeys], ofImpeller),
  ];
  if (problems.length > 0) throw new InputError(problems);
  return termsOf(airPower, airPower / given.impeller, given, 0);
}

/**
 * Electrical input of a fan at a flow, from a curve whose `efficiency` is the impeller's, or whose `power` is the one
 * at the impeller, and the chain from there to the mains.
 *
 * At the impeller the cube of speed holds well, and the chain is evaluated at the resulting load. The cube of speed at
 * the mains would understate the input of a slow motor.
 *
 * @param fan - A curve [SI], or a model at any speed and density, with efficiency [-] or power [W] at the impeller; its
 *   controls power [W] is added to the mains input.
 * @param chain - Efficiencies [-] of `transmission`, `motor` and `controller`, as for `electricalPower`.
 * @param flow - Flow [m³/s].
 * @returns The powers [W] and the overall efficiency [-]; undefined where the fan tells no power at that flow, or where
 *   it is blown through.
 * @throws InputError the codes of `electricalPower` and of `fanCurve`.
 *
 * Source: as `electricalPower`; fan laws as `atSpeed`.
 * @example fanInput(atSpeed(curve, 0.7), { motor: 0.82, controller: 0.96 }, 0.12)?.mainsInput;
 */
export function fanInput(fan: FanCurve | FanModel, chain: DriveChain, flow: number): PowerTerms | undefined {
  const given = readData("chain", chain);
  const model = modelOf(fan, problemsOfChain(given, chainKeys));
  return inputThrough(model, given, flow);
}

/** `fanInput` of a model and a chain without problems. */
export const inputThrough = (model: FanModel, chain: DriveChain, flow: number): PowerTerms | undefined => {
  const airPower = flow * model.pressure(flow);
  const power = model.power?.(flow);
  if (power === undefined || !(airPower >= 0)) return undefined;
  return termsOf(airPower, power - model.controlsPower, chain, model.controlsPower);
};
