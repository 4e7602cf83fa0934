import { airState } from "../air/state.js";
import { ratingCoefficient } from "../ducts/ratings.js";
import { standardDensity } from "../fans/curve.js";
import { type FanData, fanData } from "../fans/data.js";
import type { FanModel } from "../fans/model.js";
import { bracketedRoot } from "../numerics/roots.js";
import { type SoundFlows, soundFlows, soundFrom, soundSpeeds, speedMarks } from "./sound-speeds.js";
import type { Duty, StreamDuty, UnitComponent, UnitRequirements, UnitStream, VentilationUnit } from "./unit-data.js";

/** How a fan of a unit runs to give a flow. */
export interface StreamOperation {
  /** [m³/s] */
  readonly flow: number;
  /** Total pressure that the fan (of a unit curve: the unit) must give at that flow [Pa]. */
  readonly requiredPressure: number;
  /**
   * Lowest speed at which it gives that, over the curve's [-] or in the unit of the curves; absent where none of the
   * unit's speeds does.
   */
  readonly speed?: number;
  /** What the setting of that speed is called, of a unit that is `stepped`; where it has a name. */
  readonly setting?: string;
  /** What it gives beyond, because it cannot run slower within its curve and its speeds, to be throttled [Pa]. */
  readonly excessPressure: number;
  /**
   * What is left [Pa], or, below 0, what lacks: the pressure at the highest speed that the flow, the curve and the unit
   * allow, less `requiredPressure`. Absent where the flow is outside the curve at every speed.
   */
  readonly reserve?: number;
  /**
   * Lowest flow that lies within the curve and right of its stall region at one of the unit's speeds [m³/s]; where no speed
   * serves the flow though others serve less than it, the lowest that is more.
   */
  readonly lowestFlow: number;
  /** Highest flow that lies within the curve at one of the unit's speeds [m³/s]. */
  readonly highestFlow: number;
  /** Electrical input of the fan [W]; absent where no speed serves or the curve does not tell. */
  readonly power?: number;
}

/** How a unit runs in one state. */
export interface UnitOperation {
  readonly supply: StreamOperation;
  readonly extract: StreamOperation;
  /** All electrical input [W]; absent if a fan's is. */
  readonly power?: number;
  /** `power` over the larger flow at 1.2 kg/m³ [W/(m³/s)]; 1000 is 1 W/(l/s). */
  readonly specificFanPower?: number;
  /** Whether a fan runs more than 20 % from the speed of its curve, so that power by the cube of speed is an estimate. */
  readonly powerEstimated: boolean;
}

/** The pressure that a component takes at a flow, when its rated pressure is this [Pa]. */
const componentLoss = (
  { flow, exponent = 2, density = standardDensity }: UnitComponent,
  rated: number,
  duty: StreamDuty,
): number => {
  const air = airState({ density: duty.density ?? standardDensity });
  const rating = { exponent, density, viscosity: air.viscosity };
  return ratingCoefficient(rating, rated, flow, air) * (air.density * duty.flow) ** exponent;
};

/** The loss of a loaded filter at its own rated flow [Pa], where the user states it at the flow of the duty. */
const loadedRating = (one: UnitComponent, stated: number | undefined, duty: StreamDuty): number => {
  const { pressure, loaded = pressure } = one;
  if (stated === undefined || one.loaded === undefined) return loaded;
  const clean = componentLoss(one, pressure, duty);
  return clean > 0 ? pressure * Math.max(1, stated / clean) : stated;
};

/** What a stream must do in one state. */
interface StreamTask {
  readonly duty: StreamDuty;
  /** Whether filters are loaded, with the reserve that is then wanted on the external pressure [-]. */
  readonly loaded?: { readonly margin: number; readonly stated?: number; readonly at: StreamDuty };
}

/** The total pressure that the curve of a stream must give [Pa]. */
const requiredOf = ({ fan, components }: UnitStream, { duty, loaded }: StreamTask): number => {
  const external = duty.externalStaticPressure * (1 + (loaded?.margin ?? 0));
  const inside = components.map((one) => {
    const rated = loaded === undefined ? one.pressure : loadedRating(one, loaded.stated, loaded.at);
    return componentLoss(one, fan.of === "unit" ? rated - one.pressure : rated, duty);
  });
  return inside.reduce((sum, loss) => sum + loss, external);
};

/** What a stream does, and whether its power is an estimate. */
interface StreamRun {
  readonly operation: StreamOperation;
  readonly estimated: boolean;
}

/** What is asked of the fan of a stream. */
interface StreamQuestion {
  readonly flow: number;
  readonly requiredPressure: number;
  readonly data: FanData;
  /** The fan at a speed, in its air. */
  readonly fan: (speed: number) => FanModel;
}

/** What a stream does without a speed, from the flows that its speeds serve. */
const withoutSpeed = ({ flow, requiredPressure }: StreamQuestion, served: readonly SoundFlows[]): StreamOperation => {
  const lowest = served.map(({ from }) => from);
  const above = lowest.filter((from) => from > flow);
  const serves = served.some(({ from, to }) => flow >= from && flow <= to);
  return {
    flow,
    requiredPressure,
    excessPressure: 0,
    lowestFlow: Math.min(...(serves || above.length === 0 ? lowest : above)),
    highestFlow: Math.max(...served.map(({ to }) => to)),
  };
};

const runAt = (operation: StreamOperation, model: FanModel): StreamRun => {
  const power = model.power?.(operation.flow);
  return {
    operation: power === undefined ? operation : { ...operation, power },
    estimated: model.powerEstimated,
  };
};

/** The slowest step that serves. */
const steppedRun = (question: StreamQuestion): StreamRun => {
  const { flow, requiredPressure, data, fan } = question;
  const steps = data.steps.map((step) => ({ ...step, model: fan(step.speed), flows: soundFlows(data, step.speed) }));
  const within = steps.filter(({ flows }) => flow >= flows.from && flow <= flows.to);
  const known = withoutSpeed(
    question,
    steps.map(({ flows }) => flows),
  );
  if (within.length === 0) return { operation: known, estimated: false };
  const beyond = within.map(({ model }) => model.pressure(flow) - requiredPressure);
  const reserve = Math.max(...beyond);
  const first = beyond.findIndex((pressure) => pressure >= 0);
  if (first < 0) return { operation: { ...known, reserve }, estimated: false };
  const { model, speed, setting } = within[first];
  const named = setting === undefined ? {} : { setting };
  return runAt({ ...known, speed, ...named, excessPressure: beyond[first], reserve }, model);
};

/**
 * The slowest running that serves. Right of the stall region the curve falls, so that at one flow the pressure rises with
 * speed wherever it is above 0: the search in a range of sound speeds has one root.
 */
const continuousRun = (question: StreamQuestion, speeds: readonly [number, number]): StreamRun => {
  const { flow, requiredPressure, data, fan } = question;
  const marks = speedMarks(data, speeds);
  const ranges = soundSpeeds(data, flow, marks);
  const known = withoutSpeed(
    question,
    [...marks, ...ranges.flat()].map((speed) => soundFlows(data, speed)),
  );
  if (ranges.length === 0) return { operation: known, estimated: false };
  const beyond = (speed: number): number => fan(speed).pressure(flow) - requiredPressure;
  const reserve = Math.max(...ranges.map(([, fastest]) => beyond(fastest)));
  const serving = ranges.find(([, fastest]) => beyond(fastest) >= 0);
  if (serving === undefined) return { operation: { ...known, reserve }, estimated: false };
  const [slowest, fastest] = serving;
  const root = beyond(slowest) >= 0 ? undefined : (bracketedRoot(beyond, slowest, fastest) ?? fastest);
  const speed = soundFrom(data, flow, root ?? slowest, fastest);
  return runAt({ ...known, speed, excessPressure: speed === root ? 0 : beyond(speed), reserve }, fan(speed));
};

const streamRun = (unit: VentilationUnit, stream: UnitStream, task: StreamTask): StreamRun => {
  const { flow, density = standardDensity } = task.duty;
  const data = fanData(stream.fan);
  const fan = (speed: number): FanModel => data.at(speed, density);
  const question = { flow, requiredPressure: requiredOf(stream, task), data, fan };
  if (unit.stepped) return steppedRun(question);
  return continuousRun(question, [unit.minSpeed ?? data.speeds.min, unit.maxSpeed ?? data.speeds.max]);
};

/** How a unit runs at a duty, with clean filters or loaded ones. */
export const unitOperation = (
  unit: VentilationUnit,
  duty: Duty,
  loaded?: { readonly margin: number; readonly stated: UnitRequirements["loadedFilters"]; readonly at: Duty },
): UnitOperation => {
  const run = (name: "supply" | "extract"): StreamRun => {
    const task = loaded && { margin: loaded.margin, stated: loaded.stated?.[name], at: loaded.at[name] };
    return streamRun(unit, unit[name], task === undefined ? { duty: duty[name] } : { duty: duty[name], loaded: task });
  };
  const runs = [run("supply"), run("extract")];
  const [supply, extract] = runs.map(({ operation }) => operation);
  const both = { supply, extract, powerEstimated: runs.some(({ estimated }) => estimated) };
  if (supply.power === undefined || extract.power === undefined) return both;
  const power = supply.power + extract.power + unit.controlsPower;
  const standardFlow = ({ flow, density = standardDensity }: StreamDuty): number => (flow * density) / standardDensity;
  const largest = Math.max(standardFlow(duty.supply), standardFlow(duty.extract));
  return { ...both, power, specificFanPower: power / largest };
};
