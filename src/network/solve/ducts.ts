import { standardGravity } from "../../air/atmosphere.js";
import type { AirState } from "../../air/state.js";
import { isWithin } from "../../core/ranges.js";
import { compressionFactor } from "../../ducts/flexible.js";
import { aspectOf, circularDiameterOf, hydraulicDiameterOf, isRound } from "../../ducts/geometry.js";
import type { EquipmentRating, Laws } from "../../fittings/fitting.js";
import { factorAt } from "../../fittings/reynolds.js";
import { type Assembly, resumeBranch, startVelocity } from "../elements/element.js";
import { onVelocity, ratingCoefficient } from "../elements/ratings.js";
import { regulatorResult, regulatorTerm } from "../elements/regulator.js";
import type { Reading } from "../equations/equations.js";
import type { Answer } from "../equations/state.js";
import { catalogueFitting, equipmentRating, lawsOf } from "../format/catalogue.js";
import { type Duct, ductArea } from "../format/elements.js";
import type { FittingPart } from "../format/parts.js";
import type { Layout } from "../layout/layout.js";
import type { DuctAir, DuctResult, FittingResult, OutsideResult, Solution, Warning } from "../results/solution.js";

/** Relative roughness up to which the friction laws were fitted. */
const roughest = 0.05;
/** Flattest section for which the equivalent diameters hold. */
const flattest = 8;
/**
 * Coefficient of a shut backdraught damper on the velocity pressure in its duct [-]: so large that what it lets through is
 * below 1e-4 of any usual flow (0.13 mm/s at 100 Pa). Common practice, no source: real dampers leak more, and their makers
 * say how much.
 */
const shutCoefficient = 1e10;
/** Pressure below which a damper hangs between open and shut [Pa] */
const holdsShut = 1e-3;
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

/** `onVelocity` where a duct meets a place: on the place's own face [m²], for the whole flow, where it has one. */
const onFace = (face: number | undefined, density: number, onDuct: number): number =>
  face === undefined ? onDuct : onVelocity(density, face);

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

/** The rated loss of a fitting or a piece of equipment; undefined where it has none. */
const ratingOf = (fitting: FittingPart): EquipmentRating | undefined => {
  if (fitting.kind === "rating") return fitting;
  return fitting.kind === "fixed" ? undefined : equipmentRating(fitting);
};

/** Re of one run over the mass flow of all runs, on the true velocity and the hydraulic diameter [s/kg]. */
const reynoldsOf = (duct: Duct, air: AirState): number =>
  hydraulicDiameterOf(duct.section) / (ductArea(duct) * air.viscosity);

/** What a duct has in the equations beside friction and fixed coefficients: most have nothing. */
interface MoreTerms {
  /** Power terms: of a friction rating, of rated fittings in their order, of a rated end before and behind. */
  readonly firstPower: number;
  /** Terms of coefficients that vary with the Reynolds number: of each fitting that has such, in their order. */
  readonly firstScaled: number;
  /** Curve terms: of regulators, in their order. */
  readonly firstCurve: number;
  /** Laws of the fittings of the catalogue, in the order of the fittings. */
  laws: readonly (Laws | undefined)[];
  /** The coefficients of those that do not vary with the Reynolds number, together [-]. */
  constant: number;
}

/**
 * The ducts in the equations: one branch each, from `from` to `to`, in the order of the document. They stand in flat
 * lists: a network has hundreds of thousands, and `refresh` runs for thousands of them between two solves.
 */
export class Ducts {
  private readonly firstBranch: number;
  /** Friction term of each duct; −1 where the friction is given. */
  private readonly friction: Int32Array;
  /** Of the ducts that have some, by position. */
  private readonly more = new Map<number, MoreTerms>();

  constructor(
    private readonly layout: Layout,
    private readonly assembly: Assembly,
  ) {
    const { builder } = assembly;
    const { ducts } = layout.elements;
    const { ends } = layout.connectivity;
    this.firstBranch = builder.from.length;
    this.friction = new Int32Array(ducts.length);
    for (let d = 0; d < ducts.length; d++) {
      const { frictionRating, frictionFactor, fittings } = ducts[d];
      const [from, to] = [ends[2 * d], ends[2 * d + 1]];
      const branch = builder.branch(from, to);
      const given = frictionRating !== undefined || frictionFactor !== undefined;
      this.friction[d] = given ? -1 : builder.friction(branch);
      const firstPower = builder.powerBranch.length;
      const firstScaled = builder.reynoldsBranch.length;
      const firstCurve = builder.fanBranch.length;
      if (frictionRating !== undefined) builder.power(branch);
      for (let i = 0; i < fittings.length; i++) {
        if (fittings[i].kind === "fixed") continue;
        if (ratingOf(fittings[i]) !== undefined) builder.power(branch);
        if (catalogueFitting(fittings[i]) !== undefined) builder.reynoldsDependent(branch);
        if (fittings[i].kind === "regulator") builder.fan(branch);
      }
      if (layout.ratingAt(from, ducts[d]) !== undefined) builder.power(branch);
      if (layout.ratingAt(to, ducts[d]) !== undefined) builder.power(branch);
      const terms = builder.powerBranch.length + builder.reynoldsBranch.length + builder.fanBranch.length;
      if (terms === firstPower + firstScaled + firstCurve) continue;
      this.more.set(d, { firstPower, firstScaled, firstCurve, laws: [], constant: 0 });
    }
  }

  /** Writes the coefficients of the duct at a position into the equations, from what the document says now. */
  refresh(position: number): void {
    const { layout } = this;
    const { equations } = this.assembly;
    const duct = layout.elements.ducts[position];
    const branch = this.firstBranch + position;
    const friction = this.friction[position];
    const [from, to] = this.placesOf(position);
    const air = layout.airIn(duct);
    const { density } = air;

    const diameter = frictionDiameter(duct);
    const area = frictionArea(duct, diameter);
    const resistance = (duct.length / diameter) * onVelocity(density, area);
    if (friction >= 0) {
      const compressed = duct.compression === 0 ? 1 : compressionFactor(duct.compression, diameter);
      equations.setFriction(
        friction,
        diameter / (area * air.viscosity),
        compressed * resistance,
        duct.roughness / diameter,
      );
    }
    const trueArea = ductArea(duct);
    const onDuct = onVelocity(density, trueArea);
    const before = layout.nodeAt(from);
    const behind = layout.nodeAt(to);
    const beforeEnds = layout.endsAt(from);
    const behindEnds = layout.endsAt(to);
    const runsBefore = layout.connectivity.runsAt(from);
    const runsBehind = layout.connectivity.runsAt(to);
    const onFrom = onFace(beforeEnds.face?.(before, duct), density, onDuct);
    const onTo = onFace(behindEnds.face?.(behind, duct), density, onDuct);
    const given = (duct.frictionFactor ?? 0) * resistance;
    const forward =
      beforeEnds.entry(before, runsBefore, duct) * onFrom + behindEnds.exit(behind, runsBehind, duct) * onTo;
    const shut = duct.backdraught === true ? shutCoefficient * onDuct : 0;
    const backward =
      behindEnds.entry(behind, runsBehind, duct) * onTo + beforeEnds.exit(before, runsBefore, duct) * onFrom + shut;
    const rise = behind.elevation - before.elevation;
    equations.setOffset(branch, (density - layout.climate.outdoor.density) * standardGravity * rise);
    equations.setDirectional(branch, forward, backward);
    equations.setStart(branch, density, startVelocity * trueArea);
    equations.setFittings(branch, onDuct, given);
    const more = this.more.get(position);
    if (more !== undefined) {
      this.setRatings(position, more);
      this.setLaws(duct, more, onDuct, reynoldsOf(duct, air));
      this.setRegulators(duct, more, density);
    }
    this.refreshFittings(position);
  }

  /** Writes what constant-flow regulators lose. */
  private setRegulators({ fittings, id, parallel }: Duct, { firstCurve }: MoreTerms, density: number): void {
    const { acts, equations } = this.assembly;
    let term = firstCurve;
    for (const fitting of fittings) {
      if (fitting.kind !== "regulator") continue;
      equations.setFan(term++, regulatorTerm(fitting, acts(id), 1 / (density * parallel), fitting.count));
    }
  }

  /** Writes what fittings of the catalogue lose. */
  private setLaws({ fittings, section }: Duct, more: MoreTerms, onDuct: number, reynolds: number): void {
    const { equations } = this.assembly;
    const laws = fittings.map((fitting) => lawsOf(fitting, section));
    let term = more.firstScaled;
    let constant = 0;
    for (let i = 0; i < laws.length; i++) {
      if (laws[i] === undefined) continue;
      const { coefficient, factor } = (laws[i] as Laws).forward;
      if (factor === undefined) constant += fittings[i].count * coefficient;
      else equations.setScaled(term, reynolds, fittings[i].count * coefficient * onDuct, factor);
      term++;
    }
    more.constant = constant;
    more.laws = laws;
  }

  /** The same where nothing but coefficients of fixed fittings has changed. */
  refreshFittings(position: number): void {
    const coefficient = fixedFittings(this.layout.elements.ducts[position]) + (this.more.get(position)?.constant ?? 0);
    this.assembly.equations.setCoefficient(this.firstBranch + position, coefficient);
  }

  private placesOf(position: number): [from: number, to: number] {
    const { ends } = this.layout.connectivity;
    return [ends[2 * position], ends[2 * position + 1]];
  }

  private setRatings(position: number, { firstPower }: MoreTerms): void {
    const { layout } = this;
    const duct = layout.elements.ducts[position];
    const { equations } = this.assembly;
    const air = layout.airIn(duct);
    let term = firstPower;
    const rating = duct.frictionRating;
    if (rating !== undefined) {
      const { density, viscosity } = ratingAir;
      const law = { exponent: rating.exponent, density, viscosity };
      const pressure = (rating.pressure * duct.length) / rating.length;
      const coefficient = ratingCoefficient(law, pressure, duct.parallel * rating.flow, air);
      equations.setPower(term++, coefficient, rating.exponent);
    }
    for (let i = 0; i < duct.fittings.length; i++) {
      const fitting = ratingOf(duct.fittings[i]);
      if (fitting === undefined) continue;
      const flow = duct.parallel * fitting.flow;
      const coefficient = ratingCoefficient(fitting, duct.fittings[i].count * fitting.pressure, flow, air);
      equations.setPower(term++, coefficient, fitting.exponent);
    }
    const { ends } = layout.connectivity;
    for (let end = 2 * position; end < 2 * position + 2; end++) {
      const rated = layout.ratingAt(ends[end], duct);
      if (rated === undefined) continue;
      equations.setPower(term++, ratingCoefficient(rated, rated.pressure, rated.flow, air), rated.exponent);
    }
  }

  /**
   * What a sensor inside a duct reads at one of its ends: the pressure of the place less what is lost between it and the
   * sensor, and, of static pressure, less the velocity pressure.
   */
  sense(position: number, at: "inlet" | "outlet", kind: "static" | "total"): Reading {
    const { layout } = this;
    const duct = layout.elements.ducts[position];
    const { density } = layout.airIn(duct);
    const place = this.placesOf(position)[at === "inlet" ? 0 : 1];
    const onDuct = onVelocity(density, ductArea(duct));
    const onPlace = onFace(layout.faceAt(place, duct), density, onDuct);
    const velocity = kind === "static" ? onDuct : 0;
    const entering = layout.entryAt(place, duct) * onPlace + velocity;
    const leaving = velocity - layout.exitAt(place, duct) * onPlace;
    const head = {
      branch: this.firstBranch + position,
      forward: at === "inlet" ? entering : leaving,
      backward: at === "inlet" ? leaving : entering,
    };
    return { point: place, head };
  }

  /** Takes from a solution, which may be another network's, what it knows of a duct as a start. */
  resume(position: number, { ducts }: Solution, { massFlow }: Answer): void {
    const { id } = this.layout.elements.ducts[position];
    resumeBranch(ducts[id]?.massFlow, this.firstBranch + position, massFlow);
  }

  /** Writes the results of a duct, and its warnings, into a solution. */
  report(position: number, { massFlow: massFlows, pressure }: Answer, { ducts, warnings }: Solution): void {
    const { layout } = this;
    const { equations } = this.assembly;
    const duct = layout.elements.ducts[position];
    const branch = this.firstBranch + position;
    const friction = this.friction[position];
    const { density, viscosity } = layout.airIn(duct);
    const massFlow = massFlows[branch];
    const square = massFlow * Math.abs(massFlow);
    const along = massFlow >= 0;
    const velocity = massFlow / (density * ductArea(duct));
    const velocityPressure = (density / 2) * velocity * velocity;
    const diameter = frictionDiameter(duct);
    const area = frictionArea(duct, diameter);
    const reynolds = (Math.abs(massFlow) * diameter) / (area * viscosity);

    const more = this.more.get(position);
    let term = more?.firstPower ?? 0;
    const factor = friction >= 0 ? equations.frictionFactor(friction, massFlow) : duct.frictionFactor;
    const rated = duct.frictionRating === undefined ? 0 : equations.powerLoss(term++, massFlow);
    const compressed = duct.compression === 0 ? 1 : compressionFactor(duct.compression, diameter);
    const wall = compressed * (factor ?? 0) * (duct.length / diameter) * onVelocity(density, area);
    const frictionLoss = wall * square + rated;
    const onDuct = onVelocity(density, ductArea(duct));
    let fittingLoss = 0;
    let fittings: FittingResult[] | undefined;
    if (duct.fittings.length > 0) {
      fittings = this.fittingResults(duct, more, massFlow, onDuct * square, term);
      for (const { coefficient, kind, loss } of fittings) {
        fittingLoss += loss;
        if (coefficient === undefined && kind !== "regulator") term++;
      }
    }
    const atDamper = duct.backdraught === true && !along ? shutCoefficient * onDuct * square : 0;
    fittingLoss += atDamper;
    const [from, to] = this.placesOf(position);
    const before = along ? from : to;
    const behind = along ? to : from;
    const fromRated = layout.ratingAt(from, duct) === undefined ? 0 : equations.powerLoss(term++, massFlow);
    const toRated = layout.ratingAt(to, duct) === undefined ? 0 : equations.powerLoss(term++, massFlow);
    const entryLoss =
      layout.entryAt(before, duct) * onFace(layout.faceAt(before, duct), density, onDuct) * square +
      (along ? fromRated : toRated);
    const exitLoss =
      layout.exitAt(behind, duct) * onFace(layout.faceAt(behind, duct), density, onDuct) * square +
      (along ? toRated : fromRated);
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
    if (fittings !== undefined) result.fittings = fittings;
    const inherited = layout.inheritedBy(duct);
    if (inherited !== undefined) result.air = reportedAir(inherited);
    ducts[duct.id] = result;
    if (outside !== undefined) warnings.push(outside);
    if (-atDamper > holdsShut) warnings.push(shutWarning(duct, -atDamper));
  }

  /**
   * What each fitting of a duct loses.
   *
   * @param onFlow - ½ρv² in the duct, with the sign of the flow [Pa].
   * @param firstTerm - Power term of the first rated one.
   */
  private fittingResults(
    duct: Duct,
    more: MoreTerms | undefined,
    massFlow: number,
    onFlow: number,
    firstTerm: number,
  ): FittingResult[] {
    const reynolds = reynoldsOf(duct, this.layout.airIn(duct)) * Math.abs(massFlow);
    let term = firstTerm;
    let curve = more?.firstCurve ?? 0;
    return duct.fittings.map((fitting, i): FittingResult => {
      const { kind, count } = fitting;
      if (fitting.kind === "fixed") {
        const { coefficient } = fitting;
        return { kind, coefficient, loss: count * coefficient * onFlow, model: "given", withinRange: true };
      }
      if (fitting.kind === "regulator") {
        return regulatorResult(fitting, -this.assembly.equations.fanPressure(curve++, massFlow), count);
      }
      const law = more?.laws[i];
      if (law === undefined) {
        const loss = this.assembly.equations.powerLoss(term++, massFlow);
        return { kind, loss, model: "given", withinRange: true };
      }
      const { coefficient: high, factor } = law.forward;
      const coefficient = factor === undefined ? high : high * factorAt(factor, reynolds);
      const outside: OutsideResult[] = law.outside.map((one) => ({ ...one }));
      const covered = law.reynolds ?? catalogueFitting(fitting)?.reynolds;
      if (covered !== undefined && reynolds > 0 && !isWithin(reynolds, covered)) {
        outside.push({ what: "Reynolds number", value: reynolds, range: covered });
      }
      return {
        kind,
        coefficient,
        loss: count * coefficient * onFlow,
        model: law.model,
        withinRange: outside.length === 0,
        ...(outside.length === 0 ? {} : { outside }),
        ...(law.note === undefined ? {} : { note: law.note }),
      };
    });
  }
}

const reportedAir = ({ density, temperature }: AirState): DuctAir =>
  temperature === undefined ? { density } : { density, temperature };

const shutWarning = ({ id }: Duct, pressure: number): Warning => {
  const message = `the backdraught damper in duct '${id}' is shut; ${pressure.toPrecision(3)} Pa hold it shut`;
  return { code: "duct.backdraught-closed", path: `ducts.${id}`, message };
};

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
