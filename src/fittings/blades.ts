import { areaOf, type Section } from "../ducts/geometry.js";
import { degree, degrees } from "./degrees.js";
import type { GeometryFault, Laws, NumberParameter } from "./fitting.js";
import { outsideOf } from "./shape.js";

/** Blades between open and shut. */
export interface Blades {
  /** From open: 0 stands in line with the duct, π/2 is shut [rad] */
  readonly angle: number;
  /** What they let through when shut, at 100 Pa and 1.2 kg/m³ [m³/s] */
  readonly leakage?: number;
}

/** The coefficient of blades at an angle [°] in a section, up to the last angle for which there are values. */
export interface BladeTable {
  readonly last: number;
  at(degrees: number): number;
  readonly model: string;
}

const shut = /* @__PURE__ */ degrees(90);
/** As of a shut backdraught damper: more than this nothing loses that shuts [-] */
const mostCoefficient = 1e10;
/** √(2·100 Pa/1.2 kg/m³): speed of the air that leaks, times the root of the coefficient [m/s] */
const leakageSpeed = 12.909944487358056;

/** Leakage of a coefficient in a section [m³/s] */
const leakageAt = (coefficient: number, section: Section): number =>
  (leakageSpeed / Math.sqrt(coefficient)) * areaOf(section);

/** The angle of blades whose values end at an angle [°]. */
/* @__NO_SIDE_EFFECTS__ */
export const bladeAngle = (last: number): NumberParameter => ({
  quantity: "angle",
  meaning: "Angle from open: at 0° blades stand in line with the duct, at 90° they are shut.",
  range: { min: 0, max: shut },
  covered: { min: 0, max: degrees(last) },
});

/** The leakage of the same. */
/* @__NO_SIDE_EFFECTS__ */
export const bladeLeakage = (last: number): NumberParameter => ({
  quantity: "flow",
  meaning: `Flow when shut, at 100 Pa and 1.2 kg/m³, as the maker states it; needed beyond ${last}°, from where the logarithm of the coefficient is interpolated linearly to the shut damper (our own choice).`,
  range: { above: 0 },
  optional: true,
});

/** Blades that stand where nothing is known of them, or that leak more when shut than they let through before. */
export const bladeFaults = (
  { angle, leakage }: Blades,
  { at, last }: BladeTable,
  section: Section,
): readonly GeometryFault[] => {
  if (leakage === undefined) {
    const expected = `the flow when shut, at 100 Pa; without it the largest angle is ${last}°`;
    return angle > last * degree ? [{ key: "leakage", expected, found: "nothing" }] : [];
  }
  const [least, most] = [leakageAt(mostCoefficient, section), leakageAt(at(last), section)];
  if (leakage >= least && leakage < most) return [];
  const expected = `${least.toPrecision(3)} m³/s or more, and less than the ${most.toPrecision(3)} m³/s that pass at ${last}° and 100 Pa`;
  return [{ key: "leakage", expected, found: String(leakage) }];
};

/** What blades lose: as their table says, and beyond its last angle by the logarithm towards what leaks when shut. */
export const bladeLaws = ({ angle, leakage }: Blades, { at, last, model }: BladeTable, section: Section): Laws => {
  const both = (coefficient: number) => ({ forward: { coefficient }, backward: { coefficient } });
  const turned = Math.min(angle / degree, last);
  const coefficient = at(turned);
  if (leakage === undefined || angle <= last * degree) return { ...both(coefficient), model, outside: [] };
  const whenShut = ((leakageSpeed * areaOf(section)) / leakage) ** 2;
  // Leakage is measured as it is, at any Reynolds number.
  if (angle >= shut) return { ...both(whenShut), model: "leakage when shut, as given", outside: [], reynolds: {} };
  const share = (angle / degree - last) / (90 - last);
  return {
    ...both(coefficient * (whenShut / coefficient) ** share),
    model: `${model}, towards the leakage when shut`,
    outside: outsideOf(["angle", angle, { min: 0, max: last * degree }]),
  };
};
