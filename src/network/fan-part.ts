import type { AirState } from "../air/state.js";
import { areaOf } from "../ducts/geometry.js";
import { curveProblems } from "../fans/curve.js";
import { fanLawsSource } from "../fans/laws.js";
import { type FanModel, fanCurve, modelAt } from "../fans/model.js";
import {
  about,
  type Defaulted,
  type Field,
  type NumberField,
  number,
  type Optional,
  optional,
  preset,
} from "../input/fields.js";
import { type Basis, givenBasis } from "./basis.js";
import { noFan } from "./equations.js";
import type { Finding } from "./finding.js";
import type { Form, Preset } from "./forms.js";
import { type CurvePart, curve, type RatingPart, rating } from "./parts.js";
import { ratingCoefficient } from "./ratings.js";
import type { FanResult, Warning } from "./results.js";
import type { Assembly } from "./site.js";

/** A fan, alone or in an air handler. */
export type FanPart<F extends Form = "parsed"> = {
  /** At its speed 1; may be absent for a fan that stands still. */
  readonly curve?: CurvePart<F>;
  /** The loss of the fan when it stands still. */
  readonly stopped?: RatingPart<F>;
} & Preset<F, { /** Over that of the curve; 0 only with `stopped` [-] */ readonly speed: number }>;

/** The keys of a fan. */
export const fanKeys = (): {
  speed: Defaulted<NumberField>;
  curve: Optional<Field<CurvePart, CurvePart<"written">>>;
  stopped: Optional<Field<RatingPart, RatingPart<"written">>>;
} => ({
  speed: about("Over that of the curve; 0 only with `stopped`.", preset(number({ min: 0 }), 1)),
  curve: about("Needed unless the fan stands still.", optional(curve)),
  stopped: about("The loss of the fan when it stands still.", optional(rating)),
});

/** Faults of a fan that show only beside its other keys. */
export const fanFindings = function* (fan: FanPart, key: string): Generator<Finding> {
  const at = (name: string): string => (key === "" ? name : `${key}.${name}`);
  if (fan.speed === 0 && fan.stopped === undefined) {
    yield { code: "fan.stopped-missing", key: at("speed"), expected: "above 0, or a fan with 'stopped'", found: "0" };
  }
  if (fan.curve === undefined) {
    if (fan.speed === 0 && fan.stopped !== undefined) return;
    yield { code: "key.missing", key: at("curve"), expected: "a fan curve", found: "nothing" };
    return;
  }
  for (const problem of curveProblems(fan.curve)) {
    const { code, path, message, expected = message, found = "the points given" } = problem;
    yield { code, key: at(`curve.${path}`), expected, found };
  }
};

/** Whether air that passes a fan changes its pressure, whatever the fan does. */
export const fanResists = ({ speed, stopped }: FanPart): boolean => speed > 0 || (stopped?.pressure ?? 0) > 0;

/** What a fan of a name rests on. */
export function* fanBases({ speed }: FanPart, name: string): Generator<Basis> {
  yield givenBasis(`fans.${name}.${speed === 0 ? "stopped" : "curve"}`);
  if (speed !== 0 && speed !== 1) yield { source: fanLawsSource, of: `fans.${name}.speed` };
}

/** A fan at work on a branch of the equations. */
export interface RunningFan {
  /** Writes its coefficients for this air; returns the flow from which a cold solve starts [m³/s]. */
  refresh(air: AirState): number;
  /** What it does at a mass flow; its warnings go to `warnings` with paths below `path`. */
  result(massFlow: number, path: string, warnings: Warning[]): FanResult;
}

/** Joins a fan to a branch. */
export const joinFan = (fan: FanPart, branch: number, assembly: Assembly): RunningFan => {
  const term = assembly.builder.fan(branch);
  const still = assembly.builder.power(branch);
  let base: FanModel | undefined;
  let density = 1;
  return {
    refresh: (air) => {
      const { equations } = assembly;
      density = air.density;
      base = fan.curve === undefined ? undefined : fanCurve(fan.curve);
      if (fan.speed === 0 || base === undefined) {
        const stopped = fan.stopped as RatingPart;
        equations.setFan(term, noFan);
        equations.setPower(still, ratingCoefficient(stopped, stopped.pressure, stopped.flow, air), stopped.exponent);
        return stopped.flow;
      }
      const { speed } = fan;
      equations.setPower(still, 0, 2);
      equations.setFan(term, {
        curve: base.base.pressure,
        flow: 1 / (density * speed),
        scale: (density / base.density) * speed ** 2,
      });
      return (speed * (base.range.min + base.range.max)) / 2;
    },
    result: (massFlow, path, warnings) => {
      const { equations } = assembly;
      const flow = massFlow / density;
      if (fan.speed === 0 || base === undefined) {
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
      const model = modelAt(base.base, fan.speed, density);
      const totalPressure = equations.fanPressure(term, massFlow);
      const airPower = flow * totalPressure;
      const power = model.power?.(flow);
      const outlet = fan.curve?.outlet;
      const { min, max } = model.range;
      const withinCurve = flow >= min && flow <= max;
      if (!withinCurve) warnings.push(outsideCurve(path, flow, min, max));
      return {
        flow,
        massFlow,
        totalPressure,
        ...(outlet === undefined
          ? {}
          : { staticPressure: totalPressure - (density / 2) * (flow / areaOf(outlet)) ** 2 }),
        speed: fan.speed,
        ...(power === undefined ? {} : { power }),
        ...(power !== undefined && model.powerEstimated ? { powerEstimated: true } : {}),
        airPower,
        ...(power === undefined || power <= 0 ? {} : { efficiency: airPower / power }),
        withinCurve,
      };
    },
  };
};

const outsideCurve = (path: string, flow: number, min: number, max: number): Warning => {
  const litres = (value: number): string => `${(1000 * value).toFixed(1)} l/s`;
  const beyond =
    flow < min ? `${litres(min - flow)} below its first point` : `${litres(flow - max)} beyond its last point`;
  const message = `fan '${path.slice("fans.".length)}' runs at ${litres(flow)}, ${beyond}; its pressure there is an extension of the curve`;
  return { code: "fan.outside-curve", path: `${path}.flow`, message };
};
