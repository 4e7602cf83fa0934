import { circularDiameterOf, hydraulicDiameterOf } from "../../ducts/geometry.js";
import type { AirPart } from "../format/air.js";
import { partProblems } from "../format/catalogue.js";
import type { Duct } from "../format/elements.js";
import type { ElementProblem } from "../results/element-problem.js";
import { airProblems } from "./air-checks.js";
import { regulatorProblems } from "./regulator.js";

/** Faults of a duct that show only beside its other keys. */
export const ductProblems = (duct: Duct, networkAir: AirPart): ElementProblem[] => {
  const problems: ElementProblem[] = [];
  const { air, compression, equivalent, fittings, frictionFactor, frictionRating, roughness, section } = duct;
  if (frictionFactor !== undefined && frictionRating !== undefined) {
    const expected = "frictionFactor or frictionRating";
    problems.push({ code: "key.conflict", key: "frictionRating", expected, found: "both" });
  }
  const diameter = equivalent === "hydraulic" ? hydraulicDiameterOf(section) : circularDiameterOf(section);
  if (!(roughness < diameter)) {
    const expected = `below the diameter of ${diameter.toPrecision(3)} m`;
    problems.push({ code: "value.range", key: "roughness", expected, found: `${roughness}` });
  }
  if (compression > 0) {
    for (const key of ["frictionFactor", "frictionRating"] as const) {
      if (duct[key] === undefined) continue;
      const expected = "0 beside a given friction, which is used unchanged";
      problems.push({ code: "key.conflict", key: "compression", expected, found: `${compression} and ${key}` });
    }
  }
  for (let i = 0; i < fittings.length; i++) {
    const fitting = fittings[i];
    if (fitting.kind === "fixed" || fitting.kind === "rating") continue;
    const key = `fittings.${i}`;
    if (fitting.kind === "regulator") problems.push(...regulatorProblems(fitting, key));
    else problems.push(...partProblems(fitting, key, section));
  }
  if (air !== undefined) problems.push(...airProblems(air, networkAir, "air"));
  return problems;
};
