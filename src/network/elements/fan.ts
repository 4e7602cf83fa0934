import type { AirState } from "../../air/state.js";
import { rounded } from "../../core/show.js";
import { areaOf } from "../../ducts/geometry.js";
import type { FanData } from "../../fans/data.js";
import type { FamilyDeviation } from "../../fans/family-model.js";
import { fanLawsSource } from "../../fans/laws.js";
import type { PressureCurve } from "../../fans/model.js";
import { stallRange } from "../../fans/stall.js";
import {
  about,
  type Defaulted,
  derived,
  type Field,
  filledBy,
  flag,
  type NumberField,
  number,
  type ObjectField,
  type Optional,
  object,
  optional,
  type Shape,
  type TextField,
  text,
} from "../../input/fields.js";
import { formatQuantity } from "../../input/quantities.js";
import { type ControlTerm, controlError, type FanTerm, noFan } from "../equations/equations.js";
import { pressureTolerance } from "../equations/gradient-solver.js";
import type { Answer } from "../equations/state.js";
import { type ControlPart, control } from "../format/control.js";
import { type ChainPart, chain } from "../format/drive-chain.js";
import type { Form, Preset } from "../format/forms.js";
import { type CurvePart, curve, type RatingPart, rating } from "../format/parts.js";
import { givenProvenance, type Provenance } from "../results/provenance.js";
import type { ControlResult, FanResult, Solution, Warning } from "../results/solution.js";
import { fanReadingOf } from "./curve-cache.js";
import type { Assembly } from "./element.js";
import { fanPower } from "./fan-power.js";
import { ratingCoefficient } from "./ratings.js";

/** A fan, alone or in an air handler. */
export type FanPart<F extends Form = "parsed"> = {
  /** May be absent for a fan that stands still. */
  readonly curve?: CurvePart<F>;
  /** The loss of the fan while it is stopped. */
  readonly stopped?: RatingPart<F>;
  /** What is held by changing its speed. */
  readonly control?: ControlPart<F>;
  /** On which of the curve's settings it runs. */
  readonly setting?: string;
  /** If the curve gives efficiencies: they are then the impeller's. */
  readonly chain?: ChainPart<F>;
  /** Whether the heat of its motor stays outside the air stream. */
  readonly motorOutside?: boolean;
} & Preset<
  F,
  {
    /**
     * Relative to the curve's [-]; of a curve at several speeds in their unit, the fastest by default; with `setting`
     * relative to the setting's [-]. 0 only with `stopped`.
     */
    readonly speed: number;
  }
>;

/** The keys of a fan. */
const fanKeys = (): {
  speed: Defaulted<NumberField>;
  curve: Optional<Field<CurvePart, CurvePart<"written">>>;
  setting: Optional<TextField>;
  stopped: Optional<Field<RatingPart, RatingPart<"written">>>;
  control: Optional<Field<ControlPart, ControlPart<"written">>>;
  chain: Optional<Field<ChainPart, ChainPart<"written">>>;
  motorOutside: Optional<Field<boolean>>;
} => ({
  speed: about(
    "Relative to the curve's speed, 1 by default. With a curve at `speeds`: in their unit, the fastest by default. With `setting`: relative to the setting's speed, 1 by default. 0 only with `stopped`.",
    derived(number({ min: 0 })),
  ),
  curve: about("Needed unless the fan is stopped.", optional(curve)),
  setting: about("Which of the curve's settings it runs on.", optional(text())),
  stopped: about("The loss of the fan while it is stopped.", optional(rating)),
  control: about("What is held by changing its speed.", optional(control)),
  chain: about("Needs a curve with efficiencies, which are then the impeller's.", optional(chain)),
  motorOutside: about(
    "Whether the motor is outside the air stream. Then only the motor's output heats the air; by default all its input does.",
    optional(flag()),
  ),
});

/** The highest speed of a curve, in its own unit [-] */
const fastestOf = (curve: CurvePart | undefined): number =>
  curve !== undefined && "speeds" in curve ? (curve.speeds[curve.speeds.length - 1]?.speed ?? 1) : 1;

/** A controller's slowest speed over its curve's highest one, where nothing says it [-] */
const slowestShare = 0.1;

/** A fan with the speeds that were left out. */
const withSpeeds = <T extends object>(read: T): T => {
  const { control, curve, setting, speed } = read as Partial<FanPart>;
  const fastest = fastestOf(curve);
  const found = speed === undefined ? { ...read, speed: setting === undefined ? fastest : 1 } : read;
  if (control === undefined) return found;
  const { minSpeed = slowestShare * fastest, maxSpeed = fastest } = control;
  return { ...found, control: Object.freeze({ ...control, minSpeed, maxSpeed }) };
};

/** The field of an object that is a fan, beside its other keys. */
export const fanWith = <S extends Shape>(keys: S): ObjectField<S & ReturnType<typeof fanKeys>> =>
  filledBy(object({ ...keys, ...fanKeys() }), withSpeeds);

/** The fan whose keys stand below a node. */
export const fanAt = (node: object, keys: readonly string[]): FanPart =>
  keys.reduce<object>((held, key) => held[key as never], node) as FanPart;

/** The speed at which a fan runs, or at which its control begins, in the unit of its curve. */
const speedOf = ({ setting, speed }: FanPart, { settings }: FanData): number =>
  setting === undefined ? speed : (settings.get(setting) as number) * speed;

/** Whether air that passes a fan changes its pressure, at any state of the fan. */
export const fanResists = ({ speed, stopped }: FanPart): boolean => speed > 0 || (stopped?.pressure ?? 0) > 0;

/** What a fan of a name rests on. */
export function* fanProvenance(name: string, part: FanPart, { fans }: Solution): Generator<Provenance> {
  const { speed } = fans[name];
  if (part.chain !== undefined) yield givenProvenance(`fans.${name}.chain`);
  yield givenProvenance(`fans.${name}.${speed === 0 ? "stopped" : "curve"}`);
  const given = part.curve !== undefined && "speeds" in part.curve ? part.curve.speeds : [{ speed: 1 }];
  const ofCurve = given.some((one) => (one.speed ?? 1) === speed);
  if (speed !== 0 && !ofCurve) yield { source: fanLawsSource, of: `fans.${name}.speed` };
}

/** A fan at work on a branch of the equations. */
export interface RunningFan {
  /** Writes its coefficients for this air; returns the flow from which a cold solve starts [m³/s]. */
  refresh(air: AirState): number;
  /** Takes from its earlier result the speed at which a search begins. */
  resume(known: FanResult | undefined, start: Answer): void;
  /** What it does in an answer; its warnings go to `warnings` with paths below `path`. */
  result(answer: Answer, path: string, warnings: Warning[]): FanResult;
}

/** A fan's pressure, at a speed and in air of a density, as a term of the equations. */
const termOf = ({ curve, density: own, speed }: PressureCurve, density: number): FanTerm => ({
  curve,
  flow: 1 / (density * speed),
  scale: (density / own) * speed ** 2,
});

/** Joins a fan to a branch, by the name that results know it by. */
export const assembleFan = (fan: FanPart, name: string, branch: number, assembly: Assembly): RunningFan => {
  const term = assembly.builder.fan(branch);
  const still = assembly.builder.power(branch);
  const controller = fan.control !== undefined ? assembly.builder.control(term) : -1;
  assembly.fans.set(name, branch);
  let data: FanData | undefined;
  let density = 1;
  return {
    refresh: (air) => {
      const { equations } = assembly;
      density = air.density;
      data = fan.curve && fanReadingOf(fan.curve).data;
      if (fan.speed === 0 || data === undefined) {
        const stopped = fan.stopped as RatingPart;
        equations.setFan(term, noFan);
        equations.setPower(still, ratingCoefficient(stopped, stopped.pressure, stopped.flow, air), stopped.exponent);
        return stopped.flow;
      }
      const pressure = data.pressureAt(speedOf(fan, data));
      equations.setPower(still, 0, 2);
      equations.setFan(term, termOf(pressure, density));
      if (controller >= 0) equations.setControl(controller, controlTerm(fan, name, branch, data, density, assembly));
      const { knots } = pressure.curve;
      return (pressure.speed * (knots[0] + knots[knots.length - 1])) / 2;
    },
    resume: (known, { speed }) => {
      if (controller >= 0 && known !== undefined && known.speed > 0) speed[controller] = known.speed;
    },
    result: (answer, path, warnings) => {
      const { equations } = assembly;
      const massFlow = answer.massFlow[branch];
      const flow = massFlow / density;
      if (fan.speed === 0 || data === undefined) {
        const totalPressure = -equations.powerLoss(still, massFlow) + 0;
        const standby = fan.curve?.standbyPower;
        return {
          flow,
          massFlow,
          totalPressure,
          speed: 0,
          ...(standby === undefined ? {} : { power: standby }),
          airPower: flow * totalPressure,
          withinCurve: true,
        };
      }
      const speed = controller < 0 ? speedOf(fan, data) : answer.speed[controller];
      if (controller >= 0) equations.setSpeed(controller, speed);
      const model = data.at(speed, density);
      const totalPressure = equations.fanPressure(term, massFlow);
      const airPower = flow * totalPressure;
      const { power, ...ofPower } = fanPower(fan, model, flow);
      const outlet = fan.curve?.outlet;
      const { min, max } = model.range;
      const withinCurve = flow >= min && flow <= max;
      if (!withinCurve) warnings.push(outsideCurve(path, flow, min, max));
      const stall = stallRange(model);
      if (stall !== undefined && flow < stall.to) {
        warnings.push(unstableRegion(path, flow, model.slope(flow) > 0 ? undefined : stall.to));
      }
      const apart = data.offLaws(speed);
      if (apart !== undefined && Math.abs(apart.pressure) > farFromLaws) warnings.push(offLaws(path, speed, apart));
      const held =
        controller < 0 ? undefined : controlResult(fan, equations.controls[controller], speed, density, answer);
      if (held?.limit !== undefined) warnings.push(limitedWarning(path, held));
      return {
        flow,
        massFlow,
        totalPressure,
        ...(outlet === undefined
          ? {}
          : { staticPressure: totalPressure - (density / 2) * (flow / areaOf(outlet)) ** 2 }),
        speed,
        ...(power === undefined ? {} : { power }),
        ...ofPower,
        airPower,
        ...(power === undefined || power <= 0 ? {} : { efficiency: airPower / power }),
        withinCurve,
        ...(held === undefined ? {} : { control: held }),
      };
    },
  };
};

/** What a controller holds, as terms of the equations. */
const controlTerm = (
  fan: FanPart,
  name: string,
  branch: number,
  data: FanData,
  density: number,
  assembly: Assembly,
): ControlTerm => {
  const held = fan.control as ControlPart;
  const heavier = density / data.density;
  const term = (set: number, pressures: ControlTerm["pressures"], flows: ControlTerm["flows"]): ControlTerm => ({
    fan: name,
    fanAt: (at) => termOf(data.pressureAt(at), density),
    pressureBySpeed: (at, massFlow) => heavier * data.pressureBySpeed(at, massFlow / density),
    minSpeed: held.minSpeed,
    maxSpeed: held.maxSpeed,
    startSpeed: speedOf(fan, data),
    set,
    pressures,
    flows,
  });
  if (held.kind === "flow") return term(density * held.flow, [], [{ branch, weight: 1 }]);
  if (held.kind === "balance") {
    const other = assembly.fans.get(held.to) as number;
    const flows = [
      { branch, weight: 1 },
      { branch: other, weight: -held.ratio },
    ];
    return term(0, [], flows);
  }
  const pressures = [{ ...assembly.sense(held.sensor, held.pressureKind), weight: 1 }];
  if (held.against !== undefined) pressures.push({ ...assembly.sense(held.against, held.pressureKind), weight: -1 });
  return term(held.pressure, pressures, []);
};

/** Nearer than this share to its set flow, a controller counts as holding it; of a pressure the solver's tolerance says. */
const heldWithin = 1e-6;

const controlResult = (
  { control: part }: FanPart,
  term: ControlTerm,
  speed: number,
  density: number,
  answer: Answer,
): ControlResult => {
  const { kind } = part as ControlPart;
  const error = controlError(term, answer);
  const per = kind === "flow" ? density : 1;
  // A balance is set by the other fan's flow, which is what this fan's flow is short of or beyond.
  const [{ branch }] = term.flows.length > 0 ? term.flows : [{ branch: 0 }];
  const reached = kind === "balance" ? answer.massFlow[branch] : (term.set + error) / per;
  const set = kind === "balance" ? reached - error : term.set / per;
  const within = kind === "pressure" ? pressureTolerance : heldWithin * Math.max(per * set, per * reached);
  const limit = speed >= term.maxSpeed ? "maxSpeed" : speed <= term.minSpeed ? "minSpeed" : undefined;
  if (limit === undefined || Math.abs(error) <= within) return { kind, set, reached };
  return { kind, set, reached, limit, missing: set - reached };
};

const controlUnits = { flow: "l/s", pressure: "Pa", balance: "kg/s" } as const;

const limitedWarning = (path: string, { kind, limit, missing = 0, set }: ControlResult): Warning => {
  const text = (value: number): string => formatQuantity(value, controlUnits[kind]);
  // A pressure before a fan that extracts is negative: nearer to 0 is less of it.
  const short = set < 0 ? -missing : missing;
  const miss = short < 0 ? `${text(-short)} too much` : `${text(short)} are missing`;
  const message = `fan '${path.slice("fans.".length)}' runs at its ${limit} and does not hold its set ${kind} of ${text(set)}: ${miss}`;
  return { code: "fan.control-limited", path: `${path}.control`, message };
};

const litres = (flow: number): string => formatQuantity(flow, "l/s");

/** @param below - Where the fan runs on a falling part before its pressure rises for the last time: where that ends [m³/s]. */
const unstableRegion = (path: string, flow: number, below?: number): Warning => {
  const place =
    below === undefined
      ? "on the rising part of its curve: there it may hunt and its blades may stall"
      : `below the rising part of its curve, which ends at ${litres(below)}: there its blades may be stalled, it may be loud and may surge`;
  const message = `fan '${path.slice("fans.".length)}' runs at ${litres(flow)} ${place}; choose another fan or another flow`;
  return { code: "fan.unstable-region", path: `${path}.flow`, message };
};

/** Share of the largest pressure by which curves of a family may lie apart by the fan laws before a speed warns [-] */
const farFromLaws = 0.15;

const offLaws = (path: string, speed: number, { flow, from, pressure, to }: FamilyDeviation): Warning => {
  const message = `fan '${path.slice("fans.".length)}' runs at speed ${rounded(speed)}, found from the curves at ${rounded(from)} and ${rounded(to)}: scaled by the fan laws, the first lies ${(100 * Math.abs(pressure)).toFixed(0)} % of the pressure ${pressure < 0 ? "below" : "above"} the second at ${litres(flow)}; the fan's pressure there is uncertain`;
  return { code: "fan.off-laws", path: `${path}.speed`, message };
};

const outsideCurve = (path: string, flow: number, min: number, max: number): Warning => {
  const fan = `fan '${path.slice("fans.".length)}'`;
  const beyond =
    flow < min ? `${litres(min - flow)} below its first point` : `${litres(flow - max)} beyond its last point`;
  const where =
    flow < 0 ? `air flows backwards through ${fan}, ${litres(-flow)}` : `${fan} runs at ${litres(flow)}, ${beyond}`;
  const message = `${where}; its pressure there is an extension of the curve`;
  return { code: "fan.outside-curve", path: `${path}.flow`, message };
};
