import { circularDiameterOf, hydraulicDiameterOf } from "../ducts/geometry.js";
import type { Duct } from "./elements.js";
import { airFindings } from "./kinds/findings.js";
import type { Finding } from "./kinds/kind.js";
import type { AirPart } from "./parts.js";

/** Faults of a duct that show only beside its other keys. */
export const ductFindings = function* (duct: Duct, networkAir: AirPart): Generator<Finding> {
  const { air, equivalent, frictionFactor, frictionRating, roughness, section } = duct;
  if (frictionFactor !== undefined && frictionRating !== undefined) {
    const expected = "frictionFactor or frictionRating";
    yield { code: "key.conflict", key: "frictionRating", expected, found: "both" };
  }
  const diameter = equivalent === "hydraulic" ? hydraulicDiameterOf(section) : circularDiameterOf(section);
  if (!(roughness < diameter)) {
    const expected = `below the diameter of ${diameter.toPrecision(3)} m`;
    yield { code: "value.range", key: "roughness", expected, found: `${roughness}` };
  }
  yield* airFindings(air, networkAir, "air");
};
