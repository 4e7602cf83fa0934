import type { AirProperties } from "./air.js";
import { catalogueLoss } from "./catalogue.js";
import type { PlainDuct, PlainFitting, PlainRating, PlainRegulator, PlainSection } from "./document.js";
import { darcyFactor } from "./friction.js";
import { areaOf, perimeterOf, ratingLoss, regulatorLoss, velocityPressure } from "./losses.js";

/** The round duct with the same friction at the same flow: Huebscher 1948, for flat ovals Heyt and Diaz 1975. */
const circularEquivalent = (section: PlainSection): number => {
  if (section.diameter !== undefined) return section.diameter;
  if (section.shape === "flatOval") return (1.55 * areaOf(section) ** 0.625) / perimeterOf(section) ** 0.25;
  return (1.3 * (section.width! * section.height!) ** 0.625) / (section.width! + section.height!) ** 0.25;
};

const fittingLoss = (fitting: PlainFitting, air: AirProperties, flow: number, section: PlainSection): number => {
  const { kind, coefficient, count = 1 } = fitting;
  const sign = Math.sign(flow);
  if (kind === "fixed") return count * coefficient! * sign * velocityPressure(air.density, flow, areaOf(section));
  if (kind === "regulator") return count * regulatorLoss(fitting as unknown as PlainRegulator, flow);
  if (kind === "rating") return count * ratingLoss(fitting as PlainRating, air, flow);
  return count * sign * catalogueLoss(fitting, { section }, air, Math.abs(flow));
};

/** What a duct loses between its ends, with the flow's sign. */
export interface DuctState {
  readonly velocity: number;
  readonly velocityPressure: number;
  readonly reynolds: number;
  readonly frictionFactor: number | undefined;
  readonly frictionLoss: number;
  readonly fittingLoss: number;
}

/** A duct at a flow [m³/s] of all its runs. */
export const ductState = (duct: PlainDuct, law: string, air: AirProperties, flow: number): DuctState => {
  const { section, length, roughness = 0.09e-3, frictionRating } = duct;
  const area = areaOf(section);
  const runFlow = flow / (duct.parallel ?? 1);
  const velocity = runFlow / area;

  // The friction is that of a round duct with this diameter and this speed of air.
  const hydraulic =
    duct.equivalent === "hydraulic" && duct.frictionFactor === undefined && section.diameter === undefined;
  const diameter = hydraulic ? (4 * area) / perimeterOf(section) : circularEquivalent(section);
  const speed = hydraulic ? Math.abs(velocity) : Math.abs(runFlow) / ((Math.PI * diameter ** 2) / 4);
  const reynolds = (air.density * speed * diameter) / air.viscosity;

  let frictionFactor: number | undefined;
  let frictionLoss = 0;
  if (frictionRating !== undefined) {
    const { pressure, flow: ratedFlow, exponent, length: ratedLength } = frictionRating;
    frictionLoss = ratingLoss({ pressure, flow: ratedFlow, exponent }, air, runFlow) * (length / ratedLength);
  } else if (flow !== 0) {
    frictionFactor = duct.frictionFactor ?? darcyFactor(law, reynolds, roughness / diameter);
    // A flexible duct that is not pulled out: per cent of its length, millimetres of its diameter.
    const shortened = 1 + 0.58 * (100 * (duct.compression ?? 0)) * Math.exp(-0.00496 * (1000 * diameter));
    const extended = frictionFactor * (length / diameter) * 0.5 * air.density * speed ** 2;
    frictionLoss = Math.sign(flow) * shortened * extended;
  }
  // A backdraught damper is next to a wall for air that comes back.
  const shut = duct.backdraught === true && flow < 0 ? -1e10 * velocityPressure(air.density, runFlow, area) : 0;
  const fittings = duct.fittings ?? [];
  return {
    velocity,
    velocityPressure: velocityPressure(air.density, runFlow, area),
    reynolds,
    frictionFactor,
    frictionLoss,
    fittingLoss: fittings.reduce((sum, fitting) => sum + fittingLoss(fitting, air, runFlow, section), shut),
  };
};
