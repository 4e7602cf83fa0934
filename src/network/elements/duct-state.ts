import type { AirState } from "../../air/state.js";
import { compressionFactor } from "../../ducts/flexible.js";
import { circularDiameterOf, hydraulicDiameterOf } from "../../ducts/geometry.js";
import { onVelocity } from "../../ducts/ratings.js";
import { type Duct, ductArea } from "../format/elements.js";

/** A duct as the document has it now: what its equations and its results have in common. */
export interface DuctState {
  readonly duct: Duct;
  readonly air: AirState;
  /** Of all runs [m²] */
  readonly area: number;
  /** ½ρv² over m² in it [Pa·s²/kg²] */
  readonly onDuct: number;
  /** On which friction is computed [m] */
  readonly diameter: number;
  /** The area that goes with that diameter, of all runs [m²] */
  readonly frictionArea: number;
  /** ½ρv² over m² on that area [Pa·s²/kg²] */
  readonly onFriction: number;
  /** By how much compression raises friction [-] */
  readonly compressed: number;
}

/** A duct with its air. */
export const ductState = (duct: Duct, air: AirState): DuctState => {
  // A given factor refers to the circular equivalent.
  const onTrueSection = duct.equivalent === "hydraulic" && duct.frictionFactor === undefined;
  const area = ductArea(duct);
  const diameter = onTrueSection ? hydraulicDiameterOf(duct.section) : circularDiameterOf(duct.section);
  const frictionArea = onTrueSection ? area : (duct.parallel * Math.PI * diameter * diameter) / 4;
  return {
    duct,
    air,
    area,
    onDuct: onVelocity(air.density, area),
    diameter,
    frictionArea,
    onFriction: onVelocity(air.density, frictionArea),
    compressed: duct.compression === 0 ? 1 : compressionFactor(duct.compression, diameter),
  };
};

/** Re of one run over the mass flow of all runs, on the true velocity and the hydraulic diameter [s/kg]. */
export const reynoldsOf = ({ duct, air, area }: DuctState): number =>
  hydraulicDiameterOf(duct.section) / (area * air.viscosity);
