import { standardGravity } from "../air/atmosphere.js";
import { areaOf, aspectOf, circularDiameterOf, hydraulicDiameterOf, isRound } from "../ducts/geometry.js";
import type { Duct } from "./elements.js";
import type { Equations } from "./equations.js";
import { ratingCoefficient } from "./ratings.js";
import type { DuctResult, Solution, Warning } from "./results.js";
import type { Answer, Assembly, Block, Joining, Meeting, Site } from "./site.js";

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

/** A duct in the equations: one branch from `from` to `to`. */
export const joinDuct = (duct: Duct, { builder, point, site }: Assembly): Joining => {
  const branch = builder.branch(duct.id, point(duct.from), point(duct.to));
  const places: DuctPlaces = {
    branch,
    from: site.meetingAt(duct.from),
    to: site.meetingAt(duct.to),
    friction: duct.frictionRating === undefined && duct.frictionFactor === undefined ? builder.friction(branch) : -1,
    rated: duct.frictionRating === undefined ? -1 : builder.power(branch),
    fittings: duct.fittings.map((fitting) => (fitting.kind === "rating" ? builder.power(branch) : -1)),
  };
  return (equations) => new DuctBlock(duct, places, site, equations);
};

interface DuctPlaces {
  readonly branch: number;
  readonly from: Meeting;
  readonly to: Meeting;
  /** Friction term; −1 where the friction is given. */
  readonly friction: number;
  /** Power term of a friction rating; −1 where there is none. */
  readonly rated: number;
  /** Power term of each fitting; −1 for fixed ones. */
  readonly fittings: readonly number[];
}

/** `refresh` runs for thousands of ducts between two solves, and allocates nothing. */
class DuctBlock implements Block {
  private density = 1;
  // Quadratic losses k·m|m| [Pa·s²/kg²], as `refresh` found them.
  private wall = 0;
  private fixed = 0;
  private entryFrom = 0;
  private exitFrom = 0;
  private entryTo = 0;
  private exitTo = 0;

  constructor(
    private readonly duct: Duct,
    private readonly places: DuctPlaces,
    private readonly site: Site,
    private readonly equations: Equations,
  ) {}

  refresh(): void {
    const { duct, equations, site } = this;
    const { branch, from, to, friction } = this.places;
    const air = site.climate.of(duct.air);
    const { density } = air;
    this.density = density;

    const diameter = frictionDiameter(duct);
    const area = frictionArea(duct, diameter);
    const resistance = duct.length / (diameter * 2 * density * area * area);
    if (friction >= 0) {
      equations.setFriction(friction, diameter / (area * air.viscosity), resistance, duct.roughness / diameter);
    }
    this.wall = duct.frictionFactor === undefined ? 0 : duct.frictionFactor * resistance;
    this.setRatings();

    const trueArea = ductArea(duct);
    const onVelocity = 1 / (2 * density * trueArea * trueArea);
    let fixed = 0;
    for (const fitting of duct.fittings) if (fitting.kind === "fixed") fixed += fitting.count * fitting.coefficient;
    this.fixed = fixed * onVelocity;
    const onFrom = this.onFace(from, onVelocity);
    const onTo = this.onFace(to, onVelocity);
    this.entryFrom = from.entry() * onFrom;
    this.exitFrom = from.exit() * onFrom;
    this.entryTo = to.entry() * onTo;
    this.exitTo = to.exit() * onTo;

    const both = this.wall + this.fixed;
    const rise = to.node.elevation - from.node.elevation;
    equations.setOffset(branch, (density - site.climate.outdoor.density) * standardGravity * rise);
    equations.setQuadratic(branch, both + this.entryFrom + this.exitTo, both + this.entryTo + this.exitFrom);
    equations.setStart(branch, density, startVelocity * trueArea);
  }

  /** ½ρv² over m² at an end: on the node's own section where it has one, for the whole flow. */
  private onFace(meeting: Meeting, onVelocity: number): number {
    const face = meeting.face();
    if (face === undefined) return onVelocity;
    const area = areaOf(face);
    return 1 / (2 * this.density * area * area);
  }

  private setRatings(): void {
    const { duct, equations, places } = this;
    const air = this.site.climate.of(duct.air);
    const rating = duct.frictionRating;
    if (rating !== undefined) {
      const { density, viscosity } = ratingAir;
      const law = { exponent: rating.exponent, density, viscosity };
      const pressure = (rating.pressure * duct.length) / rating.length;
      const coefficient = ratingCoefficient(law, pressure, duct.parallel * rating.flow, air);
      equations.setPower(places.rated, coefficient, rating.exponent);
    }
    for (let i = 0; i < duct.fittings.length; i++) {
      const fitting = duct.fittings[i];
      if (fitting.kind !== "rating") continue;
      const flow = duct.parallel * fitting.flow;
      const coefficient = ratingCoefficient(fitting, fitting.count * fitting.pressure, flow, air);
      equations.setPower(places.fittings[i], coefficient, fitting.exponent);
    }
  }

  private frictionLoss(massFlow: number): number {
    const { equations, places } = this;
    if (places.friction >= 0) return equations.frictionLoss(places.friction, massFlow);
    if (places.rated >= 0) return equations.powerLoss(places.rated, massFlow);
    return this.wall * massFlow * Math.abs(massFlow);
  }

  report({ massFlow: massFlows, pressure }: Answer, { ducts, warnings }: Solution): void {
    const { density, duct, equations, places } = this;
    const { branch, friction } = places;
    const massFlow = massFlows[branch];
    const square = massFlow * Math.abs(massFlow);
    const along = massFlow >= 0;
    const frictionLoss = this.frictionLoss(massFlow);
    let fittingLoss = this.fixed * square;
    for (const term of places.fittings) if (term >= 0) fittingLoss += equations.powerLoss(term, massFlow);
    const entryLoss = (along ? this.entryFrom : this.entryTo) * square;
    const exitLoss = (along ? this.exitTo : this.exitFrom) * square;

    const velocity = massFlow / (density * ductArea(duct));
    const velocityPressure = (density / 2) * velocity * velocity;
    const diameter = frictionDiameter(duct);
    const viscosity = this.site.climate.of(duct.air).viscosity;
    const reynolds = (Math.abs(massFlow) * diameter) / (frictionArea(duct, diameter) * viscosity);
    const factor = friction >= 0 ? equations.frictionFactor(friction, massFlow) : duct.frictionFactor;
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
