import { standardGravity } from "../air/atmosphere.js";
import { areaOf, aspectOf, circularDiameterOf, hydraulicDiameterOf, isRound } from "../ducts/geometry.js";
import { type Duct, ductArea } from "./elements.js";
import type { Plan } from "./plan.js";
import { ratingCoefficient } from "./ratings.js";
import type { DuctResult, Solution, Warning } from "./results.js";
import { type Answer, type Assembly, resumeBranch } from "./site.js";

/** Speed of the air from which a cold solve starts [m/s]. */
const startVelocity = 2;
/** Relative roughness up to which the friction laws were fitted. */
const roughest = 0.05;
/** Flattest section for which the equivalent diameters hold. */
const flattest = 8;
/** Air to which a friction rating refers. */
const ratingAir = { density: 1.2, viscosity: 1.81e-5 };

const onTrueSection = ({ equivalent, frictionFactor }: Duct): boolean =>
  equivalent === "hydraulic" && frictionFactor === undefined;

/** The diameter on which friction is computed [m]. */
const frictionDiameter = (duct: Duct): number =>
  onTrueSection(duct) ? hydraulicDiameterOf(duct.section) : circularDiameterOf(duct.section);

/** The area that goes with that diameter, of all runs [m²]. */
const frictionArea = (duct: Duct, diameter: number): number =>
  onTrueSection(duct) ? ductArea(duct) : (duct.parallel * Math.PI * diameter * diameter) / 4;

/** ½ρv² over m² [Pa·s²/kg²]. */
const onVelocity = (density: number, area: number): number => 1 / (2 * density * area * area);

/** The coefficients of the fixed fittings of one run [-]. */
const fixedFittings = (duct: Duct): number => {
  const { fittings } = duct;
  let sum = 0;
  for (let i = 0; i < fittings.length; i++) {
    const fitting = fittings[i];
    if (fitting.kind === "fixed") sum += fitting.count * fitting.coefficient;
  }
  return sum;
};

/**
 * The ducts in the equations: one branch each, from `from` to `to`, in the order of the document. They stand in flat
 * lists: a network has hundreds of thousands, and `refresh` runs for thousands of them between two solves.
 */
export class Ducts {
  private readonly firstBranch: number;
  /** Friction term of each duct; −1 where the friction is given. */
  private readonly friction: Int32Array;
  /** Power terms of each duct: that of a friction rating first, then those of rated fittings in their order. */
  private readonly firstPower: Int32Array;

  constructor(
    private readonly plan: Plan,
    private readonly assembly: Assembly,
  ) {
    const { builder } = assembly;
    const { ducts } = plan.elements;
    const { ends } = plan.meetings;
    this.firstBranch = builder.branchNames.length;
    this.friction = new Int32Array(ducts.length);
    this.firstPower = new Int32Array(ducts.length);
    for (let d = 0; d < ducts.length; d++) {
      const { id, frictionRating, frictionFactor, fittings } = ducts[d];
      const branch = builder.branch(id, ends[2 * d], ends[2 * d + 1]);
      const given = frictionRating !== undefined || frictionFactor !== undefined;
      this.friction[d] = given ? -1 : builder.friction(branch);
      this.firstPower[d] = builder.powerBranch.length;
      if (frictionRating !== undefined) builder.power(branch);
      for (let i = 0; i < fittings.length; i++) if (fittings[i].kind === "rating") builder.power(branch);
    }
  }

  /** Writes the coefficients of the duct at a position into the equations, from what the document says now. */
  refresh(position: number): void {
    const { plan } = this;
    const { equations } = this.assembly;
    const duct = plan.elements.ducts[position];
    const branch = this.firstBranch + position;
    const friction = this.friction[position];
    const [from, to] = this.placesOf(position);
    const air = plan.climate.of(duct.air);
    const { density } = air;

    const diameter = frictionDiameter(duct);
    const area = frictionArea(duct, diameter);
    const resistance = (duct.length / diameter) * onVelocity(density, area);
    if (friction >= 0) {
      equations.setFriction(friction, diameter / (area * air.viscosity), resistance, duct.roughness / diameter);
    }
    this.setRatings(duct, this.firstPower[position]);

    const trueArea = ductArea(duct);
    const onDuct = onVelocity(density, trueArea);
    const onFrom = this.onFace(from, density, onDuct);
    const onTo = this.onFace(to, density, onDuct);
    const given = (duct.frictionFactor ?? 0) * resistance;
    const forward = plan.entryAt(from) * onFrom + plan.exitAt(to) * onTo;
    const backward = plan.entryAt(to) * onTo + plan.exitAt(from) * onFrom;
    const rise = plan.nodeAt(to).elevation - plan.nodeAt(from).elevation;
    equations.setOffset(branch, (density - plan.climate.outdoor.density) * standardGravity * rise);
    equations.setDirectional(branch, forward, backward);
    equations.setStart(branch, density, startVelocity * trueArea);
    equations.setFittings(branch, onDuct, given);
    this.refreshFittings(position);
  }

  /** The same where nothing but coefficients of fixed fittings has changed. */
  refreshFittings(position: number): void {
    const duct = this.plan.elements.ducts[position];
    this.assembly.equations.setCoefficient(this.firstBranch + position, fixedFittings(duct));
  }

  private placesOf(position: number): [from: number, to: number] {
    const { ends } = this.plan.meetings;
    return [ends[2 * position], ends[2 * position + 1]];
  }

  /** ½ρv² over m² where a duct meets a place: on the place's own face, for the whole flow, where it has one. */
  private onFace(place: number, density: number, onDuct: number): number {
    const face = this.plan.faceAt(place);
    return face === undefined ? onDuct : onVelocity(density, areaOf(face));
  }

  private setRatings(duct: Duct, firstTerm: number): void {
    const { equations } = this.assembly;
    const air = this.plan.climate.of(duct.air);
    let term = firstTerm;
    const rating = duct.frictionRating;
    if (rating !== undefined) {
      const { density, viscosity } = ratingAir;
      const law = { exponent: rating.exponent, density, viscosity };
      const pressure = (rating.pressure * duct.length) / rating.length;
      const coefficient = ratingCoefficient(law, pressure, duct.parallel * rating.flow, air);
      equations.setPower(term++, coefficient, rating.exponent);
    }
    for (let i = 0; i < duct.fittings.length; i++) {
      const fitting = duct.fittings[i];
      if (fitting.kind !== "rating") continue;
      const flow = duct.parallel * fitting.flow;
      const coefficient = ratingCoefficient(fitting, fitting.count * fitting.pressure, flow, air);
      equations.setPower(term++, coefficient, fitting.exponent);
    }
  }

  /** Takes from a solution, which may be another network's, what it knows of a duct as a start. */
  resume(position: number, { ducts }: Solution, { massFlow }: Answer): void {
    const { id } = this.plan.elements.ducts[position];
    resumeBranch(ducts[id]?.massFlow, this.firstBranch + position, massFlow);
  }

  /** Writes the results of a duct, and its warnings, into a solution. */
  report(position: number, { massFlow: massFlows, pressure }: Answer, { ducts, warnings }: Solution): void {
    const { plan } = this;
    const { equations } = this.assembly;
    const duct = plan.elements.ducts[position];
    const branch = this.firstBranch + position;
    const friction = this.friction[position];
    const { density, viscosity } = plan.climate.of(duct.air);
    const massFlow = massFlows[branch];
    const square = massFlow * Math.abs(massFlow);
    const along = massFlow >= 0;
    const velocity = massFlow / (density * ductArea(duct));
    const velocityPressure = (density / 2) * velocity * velocity;
    const diameter = frictionDiameter(duct);
    const area = frictionArea(duct, diameter);
    const reynolds = (Math.abs(massFlow) * diameter) / (area * viscosity);

    let term = this.firstPower[position];
    const factor = friction >= 0 ? equations.frictionFactor(friction, massFlow) : duct.frictionFactor;
    const rated = duct.frictionRating === undefined ? 0 : equations.powerLoss(term++, massFlow);
    const frictionLoss = (factor ?? 0) * (duct.length / diameter) * onVelocity(density, area) * square + rated;
    const onDuct = onVelocity(density, ductArea(duct));
    let fittingLoss = fixedFittings(duct) * onDuct * square;
    for (let i = 0; i < duct.fittings.length; i++) {
      if (duct.fittings[i].kind === "rating") fittingLoss += equations.powerLoss(term++, massFlow);
    }
    const [from, to] = this.placesOf(position);
    const before = along ? from : to;
    const behind = along ? to : from;
    const entryLoss = plan.entryAt(before) * this.onFace(before, density, onDuct) * square;
    const exitLoss = plan.exitAt(behind) * this.onFace(behind, density, onDuct) * square;
    const start = pressure[from] - (along ? entryLoss : exitLoss);
    const stop = pressure[to] + (along ? exitLoss : entryLoss);
    const outside = friction >= 0 && duct.length > 0 ? rangeWarning(duct, reynolds, diameter) : undefined;

    const result: DuctResult = {
      flow: massFlow / density,
      massFlow,
      velocity,
      velocityPressure,
      reynolds,
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
    if (factor !== undefined && reynolds > 0) result.frictionFactor = factor;
    ducts[duct.id] = result;
    if (outside !== undefined) warnings.push(outside);
  }
}

/** Why a friction law is used outside its range, if it is. */
const rangeWarning = (duct: Duct, reynolds: number, diameter: number): Warning | undefined => {
  const path = `ducts.${duct.id}`;
  const at = `duct '${duct.id}'`;
  if (reynolds > 2000 && reynolds < 4000) {
    const message = `${at} runs at Reynolds number ${Math.round(reynolds)}, between laminar and turbulent: friction ±30 %`;
    return { code: "friction.transition", path, message };
  }
  const relative = duct.roughness / diameter;
  if (relative > roughest) {
    const message = `${at} has a relative roughness of ${relative.toPrecision(3)}; the friction laws hold up to ${roughest}`;
    return { code: "friction.roughness", path, message };
  }
  const aspect = aspectOf(duct.section);
  if (aspect > flattest) {
    const message = `${at} is ${aspect.toPrecision(3)}:1; the equivalent diameters hold up to ${flattest}:1`;
    return { code: "friction.aspect", path, message };
  }
  if (!isRound(duct.section) && reynolds > 0 && reynolds <= 2000) {
    const message = `${at} is not round and runs laminar; its equivalent diameter holds for turbulent flow`;
    return { code: "friction.laminar", path, message };
  }
  return undefined;
};
