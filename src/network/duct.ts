import { standardGravity } from "../air/atmosphere.js";
import { aspectRatio, equivalentDiameter, sectionArea } from "../ducts/section.js";
import type { Duct } from "./elements.js";
import { ratingCoefficient } from "./ratings.js";
import type { DuctResult } from "./results.js";
import type { Answer, Assembly, Block, EndLoss, Joining, Site } from "./site.js";

/** Speed of the air from which a cold solve starts [m/s]. */
const startVelocity = 2;
/** Relative roughness up to which the friction laws were fitted. */
const roughest = 0.05;
/** Flattest section for which the equivalent diameters hold. */
const flattest = 8;

/** The area of a duct's runs together [m²]. */
export const ductArea = ({ section, parallel }: Duct): number => parallel * sectionArea(section);

const endCoefficient = (coefficient: number, end: EndLoss, duct: Duct, density: number): number => {
  const area = end.section === undefined ? ductArea(duct) : sectionArea(end.section);
  return coefficient / (2 * density * area ** 2);
};

/** The size of a duct that friction is computed on: diameter of one run, and area of all runs. */
const frictionSize = ({ section, equivalent, frictionFactor, parallel }: Duct): { diameter: number; area: number } => {
  if (equivalent === "hydraulic" && frictionFactor === undefined) {
    return { diameter: equivalentDiameter(section, "hydraulic"), area: parallel * sectionArea(section) };
  }
  const diameter = equivalentDiameter(section, "circular");
  return { diameter, area: (parallel * Math.PI * diameter ** 2) / 4 };
};

/** A duct in the equations: one branch from `from` to `to`. */
export const joinDuct = (duct: Duct, { builder, point, site }: Assembly): Joining => {
  const branch = builder.branch(duct.id, point(duct.from), point(duct.to));
  const friction =
    duct.frictionRating === undefined && duct.frictionFactor === undefined ? builder.friction(branch) : -1;
  const rated = duct.frictionRating === undefined ? -1 : builder.power(branch);
  const ratings = duct.fittings.map((fitting) => (fitting.kind === "rating" ? builder.power(branch) : -1));

  return (equations): Block => {
    // What `refresh` works out and `report` reads again.
    let density = 0;
    let fixedFriction = 0;
    let fixedFittings = 0;
    let entry = { from: 0, to: 0 };
    let exit = { from: 0, to: 0 };

    const refresh = (): void => {
      const air = site.climate.of(duct.air);
      density = air.density;
      const { diameter, area } = frictionSize(duct);
      const resistance = duct.length / (diameter * 2 * density * area ** 2);
      if (friction >= 0) {
        const reynolds = diameter / (area * air.viscosity);
        equations.setFriction(friction, { reynolds, resistance, relativeRoughness: duct.roughness / diameter });
      }
      fixedFriction = duct.frictionFactor === undefined ? 0 : duct.frictionFactor * resistance;
      if (duct.frictionRating !== undefined) {
        const rating = { ...duct.frictionRating, density: 1.2, viscosity: 1.81e-5 };
        const pressure = (rating.pressure * duct.length) / rating.length;
        const { parallel } = duct;
        const coefficient = ratingCoefficient({ ...rating, flow: parallel * rating.flow }, pressure, air);
        equations.setPower(rated, coefficient, rating.exponent);
      }
      let fixed = 0;
      duct.fittings.forEach((fitting, i) => {
        if (fitting.kind === "fixed") {
          fixed += fitting.count * fitting.coefficient;
          return;
        }
        const rating = { ...fitting, flow: duct.parallel * fitting.flow };
        equations.setPower(
          ratings[i],
          ratingCoefficient(rating, fitting.count * fitting.pressure, air),
          fitting.exponent,
        );
      });
      fixedFittings = fixed / (2 * density * ductArea(duct) ** 2);
      const from = site.endLoss(duct.from);
      const to = site.endLoss(duct.to);
      entry = {
        from: endCoefficient(from.entry, from, duct, density),
        to: endCoefficient(to.entry, to, duct, density),
      };
      exit = { from: endCoefficient(from.exit, from, duct, density), to: endCoefficient(to.exit, to, duct, density) };
      const both = fixedFriction + fixedFittings;
      equations.setBranch(branch, {
        offset: buoyancy(duct, density, site),
        forward: both + entry.from + exit.to,
        backward: both + entry.to + exit.from,
        density,
        startFlow: startVelocity * density * ductArea(duct),
      });
    };

    const report = (answer: Answer, { ducts, warnings }: Parameters<Block["report"]>[1]): void => {
      const massFlow = answer.massFlow[branch];
      const square = massFlow * Math.abs(massFlow);
      const along = massFlow >= 0;
      const factor = friction < 0 ? duct.frictionFactor : equations.frictionFactor(friction, massFlow);
      const frictionLoss =
        friction >= 0
          ? equations.frictionLoss(friction, massFlow)
          : rated >= 0
            ? equations.powerLoss(rated, massFlow)
            : fixedFriction * square;
      let fittingLoss = fixedFittings * square;
      for (const term of ratings) if (term >= 0) fittingLoss += equations.powerLoss(term, massFlow);
      const entryLoss = (along ? entry.from : entry.to) * square;
      const exitLoss = (along ? exit.to : exit.from) * square;
      const velocity = massFlow / (density * ductArea(duct));
      const velocityPressure = (density / 2) * velocity ** 2;
      const { diameter, area } = frictionSize(duct);
      const reynolds = (Math.abs(massFlow) * diameter) / (area * site.climate.of(duct.air).viscosity);
      const start = answer.pressure[equations.from[branch]] - (along ? entryLoss : exitLoss);
      const stop = answer.pressure[equations.to[branch]] + (along ? exitLoss : entryLoss);
      const outside = friction >= 0 && duct.length > 0 ? rangeFault(duct, reynolds, diameter) : undefined;
      const result: DuctResult = {
        flow: massFlow / density,
        massFlow,
        velocity,
        velocityPressure,
        reynolds,
        ...(factor === undefined || reynolds === 0 ? {} : { frictionFactor: factor }),
        frictionLoss,
        fittingLoss,
        entryLoss,
        exitLoss,
        totalLoss: frictionLoss + fittingLoss + entryLoss + exitLoss,
        buoyancy: equations.offset[branch],
        inlet: { totalPressure: start, staticPressure: start - velocityPressure },
        outlet: { totalPressure: stop, staticPressure: stop - velocityPressure },
        withinRange: outside === undefined,
      };
      ducts[duct.id] = result;
      if (outside !== undefined) warnings.push({ ...outside, path: `ducts.${duct.id}` });
    };

    return { refresh, report };
  };
};

const buoyancy = (duct: Duct, density: number, site: Site): number => {
  const rise = site.elevationOf(duct.to) - site.elevationOf(duct.from);
  return (density - site.climate.outdoor.density) * standardGravity * rise;
};

/** Why a friction law is used outside its range, if it is. */
const rangeFault = (duct: Duct, reynolds: number, diameter: number): { code: string; message: string } | undefined => {
  const at = `duct '${duct.id}'`;
  if (reynolds > 2000 && reynolds < 4000) {
    const message = `${at} runs at Reynolds number ${Math.round(reynolds)}, between laminar and turbulent: friction ±30 %`;
    return { code: "friction.transition", message };
  }
  const relative = duct.roughness / diameter;
  if (relative > roughest) {
    const message = `${at} has a relative roughness of ${relative.toPrecision(3)}; the friction laws hold up to ${roughest}`;
    return { code: "friction.roughness", message };
  }
  const aspect = aspectRatio(duct.section);
  if (aspect > flattest) {
    const message = `${at} is ${aspect.toPrecision(3)}:1; the equivalent diameters hold up to ${flattest}:1`;
    return { code: "friction.aspect", message };
  }
  if (!("diameter" in duct.section) && reynolds > 0 && reynolds <= 2000) {
    const message = `${at} is not round and runs laminar; its equivalent diameter holds for turbulent flow`;
    return { code: "friction.laminar", message };
  }
  return undefined;
};
