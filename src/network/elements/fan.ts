import type { AirState } from "../../air/state.js";
import { isWithin } from "../../core/ranges.js";
import { areaOf } from "../../ducts/geometry.js";
import { ratingCoefficient } from "../../ducts/ratings.js";
import type { FanData } from "../../fans/data.js";
import { fanLawsSource } from "../../fans/laws.js";
import type { PressureCurve } from "../../fans/model.js";
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
import { pressureTolerance } from "../equations/gradient-solver.js";
import type { Answer } from "../equations/state.js";
import { type ControlTerm, controlError, type FanTerm, fanPressure, noFan } from "../equations/terms.js";
import { type ControlPart, control, ductSensorsOf } from "../format/control.js";
import { type ChainPart, chain } from "../format/drive-chain.js";
import { type CurvePart, curve } from "../format/fan-curve.js";
import type { Form, Preset } from "../format/forms.js";
import { type RatingPart, rating } from "../format/losses.js";
import { givenProvenance, type Provenance } from "../results/provenance.js";
import type { ControlResult, FanResult, Solution, Warning } from "../results/solution.js";
import { fanReadingOf } from "./curve-cache.js";
import type { Assembly, NumbersRead } from "./element.js";
import { fanPower } from "./fan-power.js";
import { fanWarnings } from "./fan-warnings.js";

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

/** A fan that stands still, running at the speed that it would have by default; nothing where it runs or has no curve. */
const started = ({ curve, setting, speed }: FanPart): { readonly speed: number } | undefined =>
  speed > 0 || curve === undefined ? undefined : { speed: setting === undefined ? fastestOf(curve) : 1 };

/** A node, or what stands below it on the way to a fan, with that fan running if it can. */
export const withFanStarted = <T extends object>(node: T, [key, ...keys]: readonly string[]): T =>
  key === undefined
    ? { ...node, ...started(node as unknown as FanPart) }
    : { ...node, [key]: withFanStarted(node[key as never] as object, keys) };

/** The fan whose keys stand below a node. */
export const fanAt = (node: object, keys: readonly string[]): FanPart =>
  keys.reduce<object>((held, key) => held[key as never], node) as FanPart;

/** The speed at which a fan runs, or at which its control begins, in the unit of its curve. */
const speedOf = ({ setting, speed }: FanPart, { settings }: FanData): number =>
  setting === undefined ? speed : (settings.get(setting) as number) * speed;

/** Whether air that passes a fan changes its pressure, at any state of the fan. */
export const fanResists = ({ speed, stopped }: FanPart): boolean => speed > 0 || (stopped?.pressure ?? 0) > 0;

/** Keys of a duct on which hangs what a sensor in it reads. */
const sensedKeys = ["section", "air", "parallel", "entry"];

/** What the sensors of a fan's controller read. */
export const sensorReads = ({ control: part }: FanPart): NumbersRead[] =>
  ductSensorsOf(part).map(([, { duct }]) => ({ list: "ducts", id: duct, keys: sensedKeys, ends: true }));

/** What a fan of a name rests on. */
export function* fanProvenance(name: string, part: FanPart, { fans }: Solution): Generator<Provenance> {
  const { speed } = fans[name];
  if (part.chain !== undefined) yield givenProvenance(`fans.${name}.chain`);
  yield givenProvenance(`fans.${name}.${speed === 0 ? "stopped" : "curve"}`);
  const given = part.curve !== undefined && "speeds" in part.curve ? part.curve.speeds : [{ speed: 1 }];
  const ofCurve = given.some((one) => (one.speed ?? 1) === speed);
  if (speed !== 0 && !ofCurve) yield { source: fanLawsSource, of: `fans.${name}.speed` };
}

/** A fan's pressure, at a speed and in air of a density, as a term of the equations. */
const termOf = ({ curve, density: own, speed }: PressureCurve, density: number): FanTerm => ({
  curve,
  flow: 1 / (density * speed),
  scale: (density / own) * speed ** 2,
});

/** Nearer than this share to its set flow, a controller counts as holding it; of a pressure the solver's tolerance says. */
const heldWithin = 1e-6;

/** A fan at work on a branch of the equations. */
export class FanBlock {
  private readonly term: number;
  /** Its loss when it stands still. */
  private readonly stopped: number;
  private readonly controller: number | undefined;
  private data: FanData | undefined;
  private density = 1;

  /** @param name - By which results know it. */
  constructor(
    private readonly fan: FanPart,
    private readonly name: string,
    private readonly branch: number,
    private readonly assembly: Assembly,
  ) {
    const { builder, fans } = assembly;
    this.term = builder.fan(branch);
    this.stopped = builder.power(branch);
    if (fan.control !== undefined) this.controller = builder.control(this.term);
    fans.set(name, branch);
  }

  /** What it runs by; undefined where it stands still. */
  private get running(): FanData | undefined {
    return this.fan.speed === 0 ? undefined : this.data;
  }

  /** Writes its coefficients for this air; returns the flow from which a cold solve starts [m³/s]. */
  refresh(air: AirState): number {
    const { controller, fan, stopped, term } = this;
    const { equations } = this.assembly;
    this.density = air.density;
    this.data = fan.curve && fanReadingOf(fan.curve).data;
    const data = this.running;
    if (data === undefined) {
      const rating = fan.stopped as RatingPart;
      equations.setFan(term, noFan);
      equations.setPower(stopped, ratingCoefficient(rating, rating.pressure, rating.flow, air), rating.exponent);
      return rating.flow;
    }
    const pressure = data.pressureAt(speedOf(fan, data));
    equations.setPower(stopped, 0, 2);
    equations.setFan(term, termOf(pressure, air.density));
    if (controller !== undefined) equations.setControl(controller, this.controlTerm(data));
    const { knots } = pressure.curve;
    return (pressure.speed * (knots[0] + knots[knots.length - 1])) / 2;
  }

  /** Takes from its earlier result the speed at which a search begins. */
  resume(known: FanResult | undefined, { speed }: Answer): void {
    if (this.controller !== undefined && known !== undefined && known.speed > 0) speed[this.controller] = known.speed;
  }

  /** What it does in an answer, at the speed that it has there; its warnings go to `warnings`. */
  result(answer: Answer, warnings: Warning[]): FanResult {
    const { controller, density, fan } = this;
    const data = this.running;
    const massFlow = answer.massFlow[this.branch];
    if (data === undefined) return this.stoppedResult(massFlow);
    const speed = controller === undefined ? speedOf(fan, data) : answer.speed[controller];
    const model = data.at(speed, density);
    const flow = massFlow / density;
    const totalPressure = fanPressure(termOf(data.pressureAt(speed), density), massFlow);
    const airPower = flow * totalPressure;
    const { power, ...ofPower } = fanPower(fan, model, flow);
    const outlet = fan.curve?.outlet;
    const result: FanResult = {
      flow,
      massFlow,
      totalPressure,
      ...(outlet && { staticPressure: totalPressure - (density / 2) * (flow / areaOf(outlet)) ** 2 }),
      speed,
      ...(power === undefined ? {} : { power }),
      ...ofPower,
      airPower,
      ...(power === undefined || power <= 0 ? {} : { efficiency: airPower / power }),
      withinCurve: isWithin(flow, model.range),
      ...(controller === undefined ? {} : { control: this.controlResult(controller, speed, answer) }),
    };
    warnings.push(...fanWarnings(this.name, result, model, data.offLaws(speed)));
    return result;
  }

  private stoppedResult(massFlow: number): FanResult {
    const flow = massFlow / this.density;
    const totalPressure = -this.assembly.equations.powerLoss(this.stopped, massFlow) + 0;
    const power = this.fan.curve?.controlsPower;
    return {
      flow,
      massFlow,
      totalPressure,
      speed: 0,
      ...(power === undefined ? {} : { power }),
      airPower: flow * totalPressure,
      withinCurve: true,
    };
  }

  /** What its controller holds, as terms of the equations. */
  private controlTerm(data: FanData): ControlTerm {
    const { assembly, branch, density, fan, name } = this;
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
    const pressures = [{ ...assembly.readingOf(held.sensor, held.pressureKind), weight: 1 }];
    if (held.against !== undefined)
      pressures.push({ ...assembly.readingOf(held.against, held.pressureKind), weight: -1 });
    return term(held.pressure, pressures, []);
  }

  private controlResult(controller: number, speed: number, answer: Answer): ControlResult {
    const { kind } = this.fan.control as ControlPart;
    const term = this.assembly.equations.controls[controller];
    const error = controlError(term, answer);
    const per = kind === "flow" ? this.density : 1;
    // A balance is set by the other fan's flow, which is what this fan's flow is short of or beyond.
    const reached = kind === "balance" ? answer.massFlow[this.branch] : (term.set + error) / per;
    const set = kind === "balance" ? reached - error : term.set / per;
    const within = kind === "pressure" ? pressureTolerance : heldWithin * Math.max(per * set, per * reached);
    const limit = speed >= term.maxSpeed ? "maxSpeed" : speed <= term.minSpeed ? "minSpeed" : undefined;
    if (limit === undefined || Math.abs(error) <= within) return { kind, set, reached };
    return { kind, set, reached, limit, missing: set - reached };
  }
}
