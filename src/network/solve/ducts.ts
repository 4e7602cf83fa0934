import { standardGravity } from "../../air/atmosphere.js";
import type { AirState } from "../../air/state.js";
import { onVelocity, ratingCoefficient } from "../../ducts/ratings.js";
import {
  type FittingTerms,
  fittingResults,
  fittingTerm,
  fixedFittings,
  setFittings,
} from "../elements/duct-fittings.js";
import { type DuctState, ductState } from "../elements/duct-state.js";
import { rangeWarning, shutWarning } from "../elements/duct-warnings.js";
import { type Assembly, resumeBranch, startVelocity } from "../elements/element.js";
import type { Answer } from "../equations/state.js";
import type { Reading } from "../equations/terms.js";
import type { Layout } from "../layout/layout.js";
import type { DuctAir, DuctResult, Solution } from "../results/solution.js";

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

/** Keys of a duct that the air which other ducts inherit depends on. */
export const ductAirKeys: readonly string[] = ["air"];
/** Keys of the nodes at its ends that a duct's coefficients depend on, besides the keys of their losses. */
export const ductEndKeys: readonly string[] = ["elevation"];

/** What a duct has in the equations beside friction and fixed coefficients: most have nothing. */
interface MoreTerms {
  /** The power term of a friction rating. */
  readonly friction: number | undefined;
  /** By fitting; fixed ones have none. */
  readonly fittings: FittingTerms;
  /** The power terms of rated ends, from before to. */
  readonly ends: readonly [number | undefined, number | undefined];
  /** The coefficients of the catalogue that do not vary with the Reynolds number, together [-]. */
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
    this.firstBranch = builder.from.length;
    this.friction = new Int32Array(ducts.length);
    for (let d = 0; d < ducts.length; d++) {
      const { frictionRating, frictionFactor } = ducts[d];
      const branch = builder.branch(this.placeOf(d, 0), this.placeOf(d, 1));
      const given = frictionRating !== undefined || frictionFactor !== undefined;
      this.friction[d] = given ? -1 : builder.friction(branch);
      const more = this.moreTerms(d, branch);
      if (more !== undefined) this.more.set(d, more);
    }
  }

  private moreTerms(position: number, branch: number): MoreTerms | undefined {
    const { layout } = this;
    const { builder } = this.assembly;
    const duct = layout.elements.ducts[position];
    const isRated = (end: 0 | 1): boolean => layout.ratingAt(this.placeOf(position, end), duct) !== undefined;
    const rated = { friction: duct.frictionRating !== undefined, from: isRated(0), to: isRated(1) };
    const plain = !(rated.friction || rated.from || rated.to) && duct.fittings.every(({ kind }) => kind === "fixed");
    if (plain) return undefined;
    return {
      friction: rated.friction ? builder.power(branch) : undefined,
      fittings: duct.fittings.map((fitting) => fittingTerm(fitting, branch, builder)),
      ends: [rated.from ? builder.power(branch) : undefined, rated.to ? builder.power(branch) : undefined],
      constant: 0,
    };
  }

  private stateOf(position: number): DuctState {
    const duct = this.layout.elements.ducts[position];
    return ductState(duct, this.layout.airIn(duct));
  }

  private placeOf(position: number, end: 0 | 1): number {
    return this.layout.connectivity.ends[2 * position + end];
  }

  /** What flow loses over m² where it enters a duct at a place, and where it leaves it there [Pa·s²/kg²]. */
  private lossesAt(place: number, { duct, air, onDuct }: DuctState): { entering: number; leaving: number } {
    const { layout } = this;
    const node = layout.nodeAt(place);
    const runs = (): number => layout.runsMeeting(place);
    const ends = layout.endsAt(place);
    // The face of a place is the face of the whole flow.
    const face = ends.face?.(node, duct);
    const onPlace = face === undefined ? onDuct : onVelocity(air.density, face);
    return { entering: ends.entry(node, runs, duct) * onPlace, leaving: ends.exit(node, runs, duct) * onPlace };
  }

  /** Writes the coefficients of the duct at a position into the equations, from what the document says now. */
  refresh(position: number): void {
    const { layout } = this;
    const { equations } = this.assembly;
    const state = this.stateOf(position);
    const { air, area, compressed, diameter, duct, frictionArea, onDuct, onFriction } = state;
    const { density } = air;
    const branch = this.firstBranch + position;
    const [from, to] = [this.placeOf(position, 0), this.placeOf(position, 1)];

    const friction = this.friction[position];
    const resistance = (duct.length / diameter) * onFriction;
    if (friction >= 0) {
      const reynolds = diameter / (frictionArea * air.viscosity);
      equations.setFriction(friction, reynolds, compressed * resistance, duct.roughness / diameter);
    }
    const atFrom = this.lossesAt(from, state);
    const atTo = this.lossesAt(to, state);
    const shut = duct.backdraught === true ? shutCoefficient * onDuct : 0;
    const rise = layout.nodeAt(to).elevation - layout.nodeAt(from).elevation;
    equations.setOffset(branch, (density - layout.climate.outdoor.density) * standardGravity * rise);
    equations.setDirectional(branch, atFrom.entering + atTo.leaving, atTo.entering + atFrom.leaving + shut);
    equations.setStart(branch, density, startVelocity * area);
    equations.setFittings(branch, onDuct, (duct.frictionFactor ?? 0) * resistance);
    const more = this.more.get(position);
    if (more !== undefined) {
      this.setRatings(position, state, more);
      more.constant = setFittings(state, more.fittings, this.assembly);
    }
    this.refreshFittings(position);
  }

  /** Writes what rated friction and rated ends lose. */
  private setRatings(position: number, { air, duct }: DuctState, { ends, friction }: MoreTerms): void {
    const { equations } = this.assembly;
    const { frictionRating: rating } = duct;
    if (friction !== undefined && rating !== undefined) {
      const { density, viscosity } = ratingAir;
      const law = { exponent: rating.exponent, density, viscosity };
      const pressure = (rating.pressure * duct.length) / rating.length;
      const coefficient = ratingCoefficient(law, pressure, duct.parallel * rating.flow, air);
      equations.setPower(friction, coefficient, rating.exponent);
    }
    for (const end of [0, 1] as const) {
      const term = ends[end];
      const rated = this.layout.ratingAt(this.placeOf(position, end), duct);
      if (term === undefined || rated === undefined) continue;
      equations.setPower(term, ratingCoefficient(rated, rated.pressure, rated.flow, air), rated.exponent);
    }
  }

  /** As `refresh` does, where nothing but coefficients of fixed fittings has changed. */
  refreshFittings(position: number): void {
    const coefficient = fixedFittings(this.layout.elements.ducts[position]) + (this.more.get(position)?.constant ?? 0);
    this.assembly.equations.setCoefficient(this.firstBranch + position, coefficient);
  }

  /**
   * What a sensor inside a duct reads at one of its ends: the pressure of the place less what is lost between it and the
   * sensor, and, of static pressure, less the velocity pressure.
   */
  readingOf(position: number, at: "inlet" | "outlet", kind: "static" | "total"): Reading {
    const state = this.stateOf(position);
    const place = this.placeOf(position, at === "inlet" ? 0 : 1);
    const lost = this.lossesAt(place, state);
    const velocity = kind === "static" ? state.onDuct : 0;
    const entering = lost.entering + velocity;
    const leaving = velocity - lost.leaving;
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
    const branch = this.firstBranch + position;
    const state = this.stateOf(position);
    const { air, area, diameter, duct } = state;
    const massFlow = massFlows[branch];
    const velocity = massFlow / (air.density * area);
    const velocityPressure = (air.density / 2) * velocity * velocity;
    const reynolds = (Math.abs(massFlow) * diameter) / (state.frictionArea * air.viscosity);

    const friction = this.frictionAt(position, state, massFlow);
    const fittings = fittingResults(state, this.more.get(position)?.fittings ?? [], massFlow, this.assembly.equations);
    const atDamper = damperLoss(state, massFlow);
    const fittingLoss = fittings.reduce((sum, { loss }) => sum + loss, 0) + atDamper;
    const [atFrom, atTo] = this.endLosses(position, state, massFlow);
    const [entryLoss, exitLoss] = massFlow >= 0 ? [atFrom, atTo] : [atTo, atFrom];
    const start = pressure[this.placeOf(position, 0)] - atFrom;
    const stop = pressure[this.placeOf(position, 1)] + atTo;
    const outside =
      this.friction[position] >= 0 && duct.length > 0 ? rangeWarning(duct, reynolds, diameter) : undefined;

    const result: DuctResult = {
      flow: massFlow / air.density,
      massFlow,
      velocity,
      velocityPressure,
      reynolds,
      frictionLoss: friction.loss,
      fittingLoss,
      entryLoss,
      exitLoss,
      totalLoss: friction.loss + fittingLoss + entryLoss + exitLoss,
      buoyancy: this.assembly.equations.offset[branch],
      inlet: { totalPressure: start, staticPressure: start - velocityPressure },
      outlet: { totalPressure: stop, staticPressure: stop - velocityPressure },
      withinRange: outside === undefined,
    };
    if (friction.factor !== undefined && reynolds > 0) result.frictionFactor = friction.factor;
    if (fittings.length > 0) result.fittings = fittings;
    const inherited = this.layout.inheritedBy(duct);
    if (inherited !== undefined) result.air = reportedAir(inherited);
    ducts[duct.id] = result;
    if (outside !== undefined) warnings.push(outside);
    if (-atDamper > holdsShut) warnings.push(shutWarning(duct, -atDamper));
  }

  /** The friction factor of a duct, where it has one, and what friction loses, with the sign of the flow [Pa]. */
  private frictionAt(
    position: number,
    { compressed, diameter, duct, onFriction }: DuctState,
    massFlow: number,
  ): { factor: number | undefined; loss: number } {
    const term = this.friction[position];
    const factor = term >= 0 ? this.assembly.equations.frictionFactor(term, massFlow) : duct.frictionFactor;
    const wall = compressed * (factor ?? 0) * (duct.length / diameter) * onFriction;
    const rated = this.powerLoss(this.more.get(position)?.friction, massFlow);
    return { factor, loss: wall * (massFlow * Math.abs(massFlow)) + rated };
  }

  /** The loss of a power term; none where there is no term [Pa]. */
  private powerLoss(term: number | undefined, massFlow: number): number {
    return term === undefined ? 0 : this.assembly.equations.powerLoss(term, massFlow);
  }

  /** What is lost between a duct and the places at its ends, from before to, with the sign of the flow [Pa]. */
  private endLosses(position: number, state: DuctState, massFlow: number): [from: number, to: number] {
    const ends = this.more.get(position)?.ends;
    const square = massFlow * Math.abs(massFlow);
    const lossAt = (end: 0 | 1): number => {
      const { entering, leaving } = this.lossesAt(this.placeOf(position, end), state);
      const enters = massFlow >= 0 === (end === 0);
      return (enters ? entering : leaving) * square + this.powerLoss(ends?.[end], massFlow);
    };
    return [lossAt(0), lossAt(1)];
  }
}

/** What a backdraught damper holds back, with the sign of the flow [Pa]. */
const damperLoss = ({ duct, onDuct }: DuctState, massFlow: number): number =>
  duct.backdraught === true && massFlow < 0 ? shutCoefficient * onDuct * (massFlow * Math.abs(massFlow)) : 0;

const reportedAir = ({ density, temperature }: AirState): DuctAir =>
  temperature === undefined ? { density } : { density, temperature };
