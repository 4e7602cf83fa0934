import { bridge, type FrictionLaw, type FrictionPoints, factorBy, frictionPoints } from "../../ducts/friction-laws.js";
import { IndexList } from "../../numerics/index-list.js";
import { type CubicCurve, evaluateAt, slopeAt, slopeBounds, valueAt } from "../../numerics/interpolation.js";
import type { EquationsBuilder } from "./builder.js";
import {
  addOpening,
  anyOpening,
  type ControlTerm,
  type FanTerm,
  fanPressure,
  noFan,
  noTee,
  type OpeningTerm,
  type TeeTerm,
} from "./terms.js";

/** Slope dp/dq below which a branch counts as this steep in the Newton step [Pa·s/m³]; the laws themselves are exact. */
const leastSlope = 1e-3;

/** Reynolds number below which 64/Re leaves the range of numbers [-] */
const leastReynolds = 1e-300;

/** What the points and branches of equations are called, for what is said of them. */
export interface Names {
  point(point: number): string;
  /** The name of the element that it belongs to. */
  branch(branch: number): string;
}

/**
 * The equations of a network in flat arrays. Every branch e from point i to point j obeys
 *
 *   P_i − P_j = offset_e + h_e(m_e),   and at every free point   Σ m = inflow.
 *
 * h is a sum of terms: a quadratic one for each direction, friction, power laws, fans, openings. Blocks write the
 * coefficients; `evaluate` reads them. All kinds of terms stand in this one file, since its loops over them are most of the time of a
 * solve and read private arrays.
 */
export class Equations {
  readonly points: number;
  readonly branches: number;
  readonly from: Int32Array;
  readonly to: Int32Array;
  /** Place of each point among the free ones; −1 for fixed points. */
  readonly freeIndex: Int32Array;
  /** Points whose pressure is found. */
  readonly freePoints: Int32Array;
  /** Pressures of the fixed points [Pa]. */
  readonly fixedPressure: Float64Array;
  /** Mass brought in at each point [kg/s]. */
  readonly inflow: Float64Array;
  readonly offset: Float64Array;
  /** Mass flow from which a cold solve starts [kg/s]. */
  readonly startFlow: Float64Array;
  /** `leastSlope` in terms of mass flow [Pa·s/kg]. */
  readonly leastSlope: Float64Array;
  private readonly quadratic: Float64Array;
  private readonly perCoefficient: Float64Array;
  private readonly quadraticBase: Float64Array;
  private readonly forward: Float64Array;
  private readonly backward: Float64Array;
  private readonly frictionBranch: Int32Array;
  private readonly frictionReynolds: Float64Array;
  private readonly frictionResistance: Float64Array;
  private readonly frictionLosses: Float64Array;
  private readonly frictionSlopes: Float64Array;
  /** Whether a friction term was set since friction was last evaluated. */
  frictionChanged = true;
  private readonly friction: FrictionPoints;
  private readonly powerBranch: Int32Array;
  private readonly powerCoefficient: Float64Array;
  private readonly powerExponent: Float64Array;
  private readonly reynoldsBranch: Int32Array;
  private readonly reynoldsOfFlow: Float64Array;
  private readonly reynoldsCoefficient: Float64Array;
  private readonly reynoldsFactor: CubicCurve[];
  /** Whether a term was set since these terms were last evaluated. */
  private reynoldsChanged = true;
  private readonly reynoldsLosses: Float64Array;
  private readonly reynoldsSlopes: Float64Array;
  private readonly reynoldsPiece: Float64Array = new Float64Array(2);
  readonly fanBranch: Int32Array;
  private readonly fans: FanTerm[];
  /** The branches of each tee: from leg a, from leg b. */
  readonly teeBranch: Int32Array;
  /** ∂h_a/∂m_b and ∂h_b/∂m_a of each tee where last evaluated [Pa·s/kg] */
  readonly teeCross: Float64Array;
  private readonly tees: TeeTerm[];
  private readonly teeScale: Float64Array;
  private readonly teeValues: Float64Array = new Float64Array(6);
  private readonly openingBranch: Int32Array;
  private readonly openings: OpeningTerm[];
  /** Fan terms that are controlled. */
  private readonly controlledFan: Int32Array;
  /** By controller. */
  readonly controls: ControlTerm[];

  constructor(
    builder: EquationsBuilder,
    private readonly law: FrictionLaw,
    readonly names: Names,
  ) {
    this.points = builder.pointFixed.length;
    this.branches = builder.from.length;
    this.from = builder.from.toArray();
    this.to = builder.to.toArray();
    const fixed = builder.pointFixed.toArray();
    this.freeIndex = new Int32Array(this.points);
    const free = new IndexList(this.points);
    for (let i = 0; i < this.points; i++) this.freeIndex[i] = fixed[i] === 1 ? -1 : free.push(i);
    this.freePoints = free.toArray();
    this.fixedPressure = new Float64Array(this.points);
    this.inflow = new Float64Array(this.points);
    this.offset = new Float64Array(this.branches);
    this.startFlow = new Float64Array(this.branches);
    this.leastSlope = new Float64Array(this.branches);
    this.quadratic = new Float64Array(this.branches);
    this.perCoefficient = new Float64Array(this.branches);
    this.quadraticBase = new Float64Array(this.branches);
    this.forward = new Float64Array(this.branches);
    this.backward = new Float64Array(this.branches);
    this.frictionBranch = builder.frictionBranch.toArray();
    this.frictionReynolds = new Float64Array(this.frictionBranch.length);
    this.frictionResistance = new Float64Array(this.frictionBranch.length);
    this.frictionLosses = new Float64Array(this.frictionBranch.length);
    this.frictionSlopes = new Float64Array(this.frictionBranch.length);
    this.friction = frictionPoints(this.frictionBranch.length);
    this.powerBranch = builder.powerBranch.toArray();
    this.powerCoefficient = new Float64Array(this.powerBranch.length);
    this.powerExponent = new Float64Array(this.powerBranch.length).fill(2);
    this.reynoldsBranch = builder.reynoldsBranch.toArray();
    this.reynoldsOfFlow = new Float64Array(this.reynoldsBranch.length);
    this.reynoldsLosses = new Float64Array(this.reynoldsBranch.length);
    this.reynoldsSlopes = new Float64Array(this.reynoldsBranch.length);
    this.reynoldsCoefficient = new Float64Array(this.reynoldsBranch.length);
    this.reynoldsFactor = Array.from(this.reynoldsBranch, () => noFan.curve);
    this.fanBranch = builder.fanBranch.toArray();
    this.fans = Array.from(this.fanBranch, () => noFan);
    this.teeBranch = builder.teeBranch.toArray();
    this.teeCross = new Float64Array(this.teeBranch.length);
    this.tees = Array.from({ length: this.teeBranch.length / 2 }, () => noTee);
    this.teeScale = new Float64Array(this.tees.length);
    this.controlledFan = builder.controlledFan.toArray();
    this.controls = [];
    this.openingBranch = builder.openingBranch.toArray();
    this.openings = Array.from(this.openingBranch, () => anyOpening);
  }

  /** Sets the pressure by which P_i − P_j exceeds the losses of a branch [Pa]. */
  setOffset(branch: number, offset: number): void {
    this.offset[branch] = offset;
  }

  /** Sets what a loss coefficient of 1 adds to k of a branch, and what k is without any [Pa·s²/kg²]. */
  setFittings(branch: number, perCoefficient: number, without: number): void {
    this.perCoefficient[branch] = perCoefficient;
    this.quadraticBase[branch] = without;
  }

  /** Sets the loss coefficient of a branch in both directions [-], after `setFittings`. */
  setCoefficient(branch: number, coefficient: number): void {
    this.quadratic[branch] = coefficient * this.perCoefficient[branch] + this.quadraticBase[branch];
  }

  /** Sets the quadratic loss h = k·m|m| of a branch that both directions have [Pa·s²/kg²]. */
  setQuadratic(branch: number, both: number): void {
    this.quadratic[branch] = both;
  }

  /** Sets what is added to k for flow along the branch, and against it [Pa·s²/kg²]. */
  setDirectional(branch: number, forward: number, backward: number): void {
    this.forward[branch] = forward;
    this.backward[branch] = backward;
  }

  /** Sets the density of a branch [kg/m³], and the flow from which a cold solve starts [m³/s]. */
  setStart(branch: number, density: number, flow: number): void {
    this.leastSlope[branch] = leastSlope / density;
    this.startFlow[branch] = density * flow;
  }

  /**
   * Sets the wall friction of a duct: Re = reynolds·|m| and Δp = resistance·f·m|m|, m being the mass flow of all runs.
   *
   * @param relativeRoughness - ε/D [-].
   */
  setFriction(index: number, reynolds: number, resistance: number, relativeRoughness: number): void {
    const { friction, frictionReynolds, frictionResistance } = this;
    const rough = this.law.prepare(relativeRoughness);
    if (
      friction.rough[index] === rough &&
      frictionReynolds[index] === reynolds &&
      frictionResistance[index] === resistance
    ) {
      return;
    }
    this.frictionChanged = true;
    friction.rough[index] = rough;
    frictionReynolds[index] = reynolds;
    frictionResistance[index] = resistance;
  }

  /** Δp = coefficient·|m|ⁿ, odd in m. */
  setPower(index: number, coefficient: number, exponent: number): void {
    this.powerCoefficient[index] = coefficient;
    this.powerExponent[index] = exponent;
  }

  /**
   * Δp = coefficient·factor(ln Re)·m|m| with Re = reynolds·|m|, Re from 1 up.
   *
   * @param coefficient - In terms of mass flow [Pa·s²/kg²]; 0 for a term that another stands in for.
   */
  setReynoldsDependent(index: number, reynolds: number, coefficient: number, factor: CubicCurve): void {
    this.reynoldsChanged = true;
    this.reynoldsOfFlow[index] = reynolds;
    this.reynoldsCoefficient[index] = coefficient;
    this.reynoldsFactor[index] = factor;
  }

  setFan(index: number, term: FanTerm): void {
    this.fans[index] = term;
  }

  /** The speeds at which the search for the speeds of controlled fans begins. */
  startSpeeds(): Float64Array {
    return Float64Array.from(this.controls, ({ startSpeed }) => startSpeed);
  }

  setControl(index: number, term: ControlTerm): void {
    this.controls[index] = term;
  }

  /** Runs the fan of a controller at a speed. */
  setSpeed(control: number, speed: number): void {
    this.fans[this.controlledFan[control]] = this.controls[control].fanAt(speed);
  }

  /** The branch of a controller's fan. */
  controlBranch(control: number): number {
    return this.fanBranch[this.controlledFan[control]];
  }

  /** @param scale - Pascals per (kg/s)² of the term. */
  setTee(index: number, scale: number, term: TeeTerm): void {
    this.teeScale[index] = scale;
    this.tees[index] = term;
  }

  setOpening(index: number, term: OpeningTerm): void {
    this.openings[index] = term;
  }

  /** The Darcy factor of a friction term at a mass flow; 0 at rest, where it has no value, and next to it. */
  frictionFactor(index: number, massFlow: number): number {
    const reynolds = this.frictionReynolds[index] * Math.abs(massFlow);
    if (reynolds < leastReynolds) return 0;
    return factorBy(this.law, reynolds, this.friction.rough[index]);
  }

  /** The loss of a power-law term at a mass flow [Pa]. */
  powerLoss(index: number, massFlow: number): number {
    const size = Math.abs(massFlow);
    return this.powerCoefficient[index] * size ** this.powerExponent[index] * Math.sign(massFlow);
  }

  /** The pressure rise of a fan term at a mass flow [Pa]. */
  fanPressure(index: number, massFlow: number): number {
    return fanPressure(this.fans[index], massFlow);
  }

  /**
   * Writes h(m) [Pa] and dh/dm [Pa·s/kg] of every branch.
   *
   * @param sameFlows - The mass flows are the same as in the last call: then friction and coefficients by Reynolds number, which
   *   cost most, are not evaluated again unless one of their terms was set since.
   * @param withTees - Whether tees lose anything.
   */
  evaluate(massFlow: Float64Array, h: Float64Array, slope: Float64Array, sameFlows = false, withTees = true): void {
    const { quadratic, forward, backward } = this;
    for (let e = 0; e < massFlow.length; e++) {
      const m = massFlow[e];
      const k = quadratic[e] + (m >= 0 ? forward[e] : backward[e]);
      const size = Math.abs(m);
      h[e] = k * m * size;
      slope[e] = 2 * k * size;
    }
    if (!sameFlows || this.frictionChanged) this.evaluateFriction(massFlow);
    this.addFriction(h, slope);
    this.addPowers(massFlow, h, slope);
    if (!sameFlows || this.reynoldsChanged) this.evaluateReynoldsDependent(massFlow);
    this.addReynoldsDependent(h, slope);
    for (let t = 0; t < this.fanBranch.length; t++) {
      const e = this.fanBranch[t];
      const { curve, flow, scale } = this.fans[t];
      h[e] -= scale * valueAt(curve, flow * massFlow[e]);
      slope[e] -= scale * flow * slopeAt(curve, flow * massFlow[e]);
    }
    if (withTees) this.addTees(massFlow, h, slope);
    for (let t = 0; t < this.openingBranch.length; t++) {
      const e = this.openingBranch[t];
      addOpening(this.openings[t], massFlow[e], e, h, slope);
    }
  }

  /**
   * Whether the loss of every branch rises with its flow at any flow, apart from what controlled fans add. Says no where it
   * cannot tell, as with tees.
   */
  lossesRise(): boolean {
    const { backward, quadratic, controlledFan, fanBranch, fans, forward, powerCoefficient, reynoldsCoefficient } =
      this;
    if (this.teeBranch.length > 0 || powerCoefficient.some((coefficient) => coefficient < 0)) return false;
    for (let e = 0; e < this.branches; e++) {
      if (quadratic[e] + Math.min(forward[e], backward[e]) < 0) return false;
    }
    for (let t = 0; t < fanBranch.length; t++) {
      if (controlledFan.includes(t)) continue;
      const { curve, flow, scale } = fans[t];
      const [least, most] = slopeBounds(curve);
      if (Math.max(scale * flow * least, scale * flow * most) > 0) return false;
    }
    const seen = new Set<CubicCurve>();
    for (let t = 0; t < reynoldsCoefficient.length; t++) {
      if (reynoldsCoefficient[t] < 0) return false;
      if (reynoldsCoefficient[t] > 0) seen.add(this.reynoldsFactor[t]);
    }
    // factor·m|m| rises where 2·factor + d factor/d ln Re does.
    return [...seen].every((factor) => 2 * Math.min(...factor.values) + slopeBounds(factor)[0] >= 0);
  }

  private evaluateFriction(massFlow: Float64Array): void {
    const { friction, frictionBranch, frictionReynolds, frictionResistance, frictionLosses, frictionSlopes, law } =
      this;
    const { reynolds, factor, slope } = friction;
    for (let t = 0; t < frictionBranch.length; t++) {
      reynolds[t] = frictionReynolds[t] * Math.abs(massFlow[frictionBranch[t]]);
    }
    law.turbulent(friction);
    for (let t = 0; t < frictionBranch.length; t++) {
      const m = massFlow[frictionBranch[t]];
      const c = frictionResistance[t];
      if (reynolds[t] <= law.laminarTo) {
        // 64/Re·c·m|m| is straight in m.
        const straight = (64 * c) / frictionReynolds[t];
        frictionLosses[t] = straight * m;
        frictionSlopes[t] = straight;
        continue;
      }
      if (reynolds[t] < law.turbulentFrom) bridge(friction, t);
      const size = Math.abs(m);
      frictionLosses[t] = c * factor[t] * m * size;
      frictionSlopes[t] = c * size * (2 * factor[t] + slope[t] * reynolds[t]);
    }
    this.frictionChanged = false;
  }

  private addFriction(h: Float64Array, slope: Float64Array): void {
    const { frictionBranch, frictionLosses, frictionSlopes } = this;
    for (let t = 0; t < frictionBranch.length; t++) {
      const e = frictionBranch[t];
      h[e] += frictionLosses[t];
      slope[e] += frictionSlopes[t];
    }
  }

  private evaluateReynoldsDependent(massFlow: Float64Array): void {
    const { reynoldsBranch, reynoldsOfFlow, reynoldsCoefficient, reynoldsFactor, reynoldsPiece: piece } = this;
    let e = -1;
    let logReynolds = 0;
    for (let t = 0; t < reynoldsBranch.length; t++) {
      const k = reynoldsCoefficient[t];
      if (k === 0) {
        this.reynoldsLosses[t] = 0;
        this.reynoldsSlopes[t] = 0;
        continue;
      }
      // Fittings of a duct stand together and share its Reynolds number.
      if (reynoldsBranch[t] !== e) {
        e = reynoldsBranch[t];
        logReynolds = Math.log(Math.max(reynoldsOfFlow[t] * Math.abs(massFlow[e]), 1));
      }
      evaluateAt(reynoldsFactor[t], logReynolds, piece);
      const steep = k * Math.abs(massFlow[e]);
      this.reynoldsLosses[t] = steep * piece[0] * massFlow[e];
      this.reynoldsSlopes[t] = steep * (2 * piece[0] + piece[1]);
    }
    this.reynoldsChanged = false;
  }

  private addReynoldsDependent(h: Float64Array, slope: Float64Array): void {
    const { reynoldsBranch, reynoldsLosses, reynoldsSlopes } = this;
    for (let t = 0; t < reynoldsBranch.length; t++) {
      h[reynoldsBranch[t]] += reynoldsLosses[t];
      slope[reynoldsBranch[t]] += reynoldsSlopes[t];
    }
  }

  private addTees(massFlow: Float64Array, h: Float64Array, slope: Float64Array): void {
    const { teeBranch, teeCross, teeScale, teeValues: out } = this;
    for (let t = 0; t < this.tees.length; t++) {
      const a = teeBranch[2 * t];
      const b = teeBranch[2 * t + 1];
      const scale = teeScale[t];
      this.tees[t].evaluate(massFlow[a], massFlow[b], out);
      h[a] += scale * out[0];
      h[b] += scale * out[1];
      slope[a] += scale * out[2];
      teeCross[2 * t] = scale * out[3];
      teeCross[2 * t + 1] = scale * out[4];
      slope[b] += scale * out[5];
    }
  }

  private addPowers(massFlow: Float64Array, h: Float64Array, slope: Float64Array): void {
    const { powerBranch, powerCoefficient, powerExponent } = this;
    for (let t = 0; t < powerBranch.length; t++) {
      const e = powerBranch[t];
      const m = massFlow[e];
      const size = Math.abs(m);
      const n = powerExponent[t];
      const steep = powerCoefficient[t] * (n === 2 ? size : size ** (n - 1));
      h[e] += steep * m;
      slope[e] += n * steep;
    }
  }
}
