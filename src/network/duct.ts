import { standardGravity } from "../air/atmosphere.js";
import { areaOf, aspectOf, circularDiameterOf, hydraulicDiameterOf, isRound } from "../ducts/geometry.js";
import type { Duct } from "./elements.js";
import { ratingCoefficient } from "./ratings.js";
import type { DuctResult, Solution, Warning } from "./results.js";
import { type Answer, type Assembly, type Block, type Place, resumeBranch } from "./site.js";

/** Speed of the air from which a cold solve starts [m/s]. */
const startVelocity = 2;
/** Relative roughness up to which the friction laws were fitted. */
const roughest = 0.05;
/** Flattest section for which the equivalent diameters hold. */
const flattest = 8;
/** Air to which a friction rating refers. */
const ratingAir = { density: 1.2, viscosity: 1.81e-5 };

/** The area of a duct's runs together [m²]. */
export const ductArea = ({ section, parallel }: Duct): number => parallel * areaOf(section);

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

/** The same where a duct meets a place: on the place's own face, for the whole flow, where it has one. */
const onFace = (place: Place, density: number, onDuct: number): number => {
  const face = place.face();
  return face === undefined ? onDuct : onVelocity(density, areaOf(face));
};

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

/** A duct in the equations: one branch from `from` to `to`. */
export const joinDuct = (duct: Duct, from: Place, to: Place, assembly: Assembly): Block =>
  new DuctBlock(duct, from, to, assembly);

const noTerms: readonly number[] = [];

/** `refresh` runs for thousands of ducts between two solves, and allocates nothing. */
class DuctBlock implements Block {
  private readonly branch: number;
  /** Friction term; −1 where the friction is given. */
  private readonly friction: number;
  /** Power term of a friction rating; −1 where there is none. */
  private readonly rated: number;
  /** Power terms of the rated fittings, in their order. */
  private readonly ratings: readonly number[];

  constructor(
    private duct: Duct,
    private readonly from: Place,
    private readonly to: Place,
    private readonly assembly: Assembly,
  ) {
    const { builder } = assembly;
    const given = duct.frictionRating !== undefined || duct.frictionFactor !== undefined;
    let rated = 0;
    for (const fitting of duct.fittings) if (fitting.kind === "rating") rated++;
    this.branch = builder.branch(duct.id, from.point, to.point);
    this.friction = given ? -1 : builder.friction(this.branch);
    this.rated = duct.frictionRating === undefined ? -1 : builder.power(this.branch);
    this.ratings = rated === 0 ? noTerms : Array.from({ length: rated }, () => builder.power(this.branch));
  }

  adopt(duct: unknown): void {
    this.duct = duct as Duct;
  }

  refresh(): void {
    const { duct, branch, from, to, friction } = this;
    const { equations, site } = this.assembly;
    const air = site.climate.of(duct.air);
    const { density } = air;

    const diameter = frictionDiameter(duct);
    const area = frictionArea(duct, diameter);
    const resistance = (duct.length / diameter) * onVelocity(density, area);
    if (friction >= 0) {
      equations.setFriction(friction, diameter / (area * air.viscosity), resistance, duct.roughness / diameter);
    }
    if (this.rated >= 0 || this.ratings.length > 0) this.setRatings();

    const trueArea = ductArea(duct);
    const onDuct = onVelocity(density, trueArea);
    const onFrom = onFace(from, density, onDuct);
    const onTo = onFace(to, density, onDuct);
    const given = (duct.frictionFactor ?? 0) * resistance;
    const forward = from.entry() * onFrom + to.exit() * onTo;
    const backward = to.entry() * onTo + from.exit() * onFrom;
    const rise = to.node.elevation - from.node.elevation;
    equations.setOffset(branch, (density - site.climate.outdoor.density) * standardGravity * rise);
    equations.setDirectional(branch, forward, backward);
    equations.setStart(branch, density, startVelocity * trueArea);
    equations.setFittings(branch, onDuct, given);
    this.refreshFittings();
  }

  refreshFittings(): void {
    this.assembly.equations.setCoefficient(this.branch, fixedFittings(this.duct));
  }

  private setRatings(): void {
    const { duct } = this;
    const { equations, site } = this.assembly;
    const air = site.climate.of(duct.air);
    const rating = duct.frictionRating;
    if (rating !== undefined) {
      const { density, viscosity } = ratingAir;
      const law = { exponent: rating.exponent, density, viscosity };
      const pressure = (rating.pressure * duct.length) / rating.length;
      const coefficient = ratingCoefficient(law, pressure, duct.parallel * rating.flow, air);
      equations.setPower(this.rated, coefficient, rating.exponent);
    }
    let next = 0;
    for (const fitting of duct.fittings) {
      if (fitting.kind !== "rating") continue;
      const flow = duct.parallel * fitting.flow;
      const coefficient = ratingCoefficient(fitting, fitting.count * fitting.pressure, flow, air);
      equations.setPower(this.ratings[next++], coefficient, fitting.exponent);
    }
  }

  resume({ ducts }: Solution, { massFlow }: Answer): void {
    resumeBranch(ducts[this.duct.id]?.massFlow, this.branch, massFlow);
  }

  report({ massFlow: massFlows, pressure }: Answer, { ducts, warnings }: Solution): void {
    const { branch, duct, friction } = this;
    const { equations, site } = this.assembly;
    const { density, viscosity } = site.climate.of(duct.air);
    const massFlow = massFlows[branch];
    const square = massFlow * Math.abs(massFlow);
    const along = massFlow >= 0;
    const velocity = massFlow / (density * ductArea(duct));
    const velocityPressure = (density / 2) * velocity * velocity;
    const diameter = frictionDiameter(duct);
    const area = frictionArea(duct, diameter);
    const reynolds = (Math.abs(massFlow) * diameter) / (area * viscosity);

    const factor = friction >= 0 ? equations.frictionFactor(friction, massFlow) : duct.frictionFactor;
    const rated = this.rated >= 0 ? equations.powerLoss(this.rated, massFlow) : 0;
    const frictionLoss = (factor ?? 0) * (duct.length / diameter) * onVelocity(density, area) * square + rated;
    const onDuct = onVelocity(density, ductArea(duct));
    let fittingLoss = fixedFittings(duct) * onDuct * square;
    for (const term of this.ratings) fittingLoss += equations.powerLoss(term, massFlow);
    const [before, behind] = along ? [this.from, this.to] : [this.to, this.from];
    const entryLoss = before.entry() * onFace(before, density, onDuct) * square;
    const exitLoss = behind.exit() * onFace(behind, density, onDuct) * square;
    const start = pressure[equations.from[branch]] - (along ? entryLoss : exitLoss);
    const stop = pressure[equations.to[branch]] + (along ? exitLoss : entryLoss);
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
