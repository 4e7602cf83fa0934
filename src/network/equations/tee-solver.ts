import { SymmetricPatternLU } from "../../numerics/lu.js";
import type { TriangularFactors } from "../../numerics/responses.js";
import type { Equations } from "./equations.js";
import {
  pressureTolerance,
  type Residuals,
  type Solved,
  type SolveLimits,
  Solver,
  trustedResidual,
} from "./gradient-solver.js";

/** Steps of a cold start in which tees lose nothing. */
const stepsWithoutTees = 3;
/** Majorised steps before each attempt by whole Newton steps. */
const rounds = [0, 6, 15, 30, 60, 120, 400];
/** A whole Newton step is good when it leaves at most this share of the worst residual. */
const goodShare = 0.5;
/** Least pivot of a tee's two slopes, as a share of what makes it up: below, the block counts as singular. */
const leastDeterminant = 1e-9;

/**
 * Newton's method where tees couple branches: the losses from legs a and b of a tee follow both flows, so that the matrix
 * of slopes has an unsymmetric block of two by two for each tee, and the matrix of the free points is unsymmetric on its
 * symmetric pattern.
 *
 * Whole Newton steps converge in a few steps once they are near. Far away, where flows in tees turn round, they may not;
 * there steps are majorised: the residual is exact, but each branch of a tee takes the sum of the sizes of its slopes, so
 * that the matrix is as with rising laws and the step is short. It is cut back as in a network without tees: these have no
 * content, but laws far steeper than any tee, such as regulators, have one, and would throw steps back and forth. Rounds of
 * more and more such steps are each followed by whole steps, as long as these halve the worst residual.
 */
export class CoupledSolver extends Solver {
  private readonly matrix: SymmetricPatternLU;
  /** The branches that no tee couples, in the order of their couplings in the matrix. */
  private readonly single: Int32Array;
  /** Inverse blocks of the slopes of tees: a and a, a and b, b and a, b and b [kg/(s·Pa)] */
  private readonly blocks: Float64Array;
  private readonly heldFlow: Float64Array;
  private readonly heldPressure: Float64Array;
  private cold = true;

  constructor(equations: Equations) {
    super(equations);
    const { branches, teeBranch } = equations;
    const coupled = new Uint8Array(branches);
    for (const e of teeBranch) coupled[e] = 1;
    this.single = Int32Array.from({ length: branches }, (_, e) => e).filter((e) => coupled[e] === 0);
    const tees = teeBranch.length / 2;
    const couplings = this.single.length + 3 * tees;
    const first = new Int32Array(couplings);
    const second = new Int32Array(couplings);
    this.single.forEach((e, coupling) => {
      first[coupling] = this.freeFrom[e];
      second[coupling] = this.freeTo[e];
    });
    for (let t = 0; t < tees; t++) {
      const [a, b] = [teeBranch[2 * t], teeBranch[2 * t + 1]];
      const at = this.single.length + 3 * t;
      first.set([this.freeFrom[a], this.freeFrom[b], this.freeFrom[a]], at);
      second.set([this.freeTo[a], this.freeTo[b], this.freeFrom[b]], at);
    }
    this.matrix = new SymmetricPatternLU(equations.freePoints.length, first, second);
    this.blocks = new Float64Array(4 * tees);
    this.heldFlow = new Float64Array(branches);
    this.heldPressure = new Float64Array(equations.points);
  }

  override startCold(): void {
    super.startCold();
    this.cold = true;
  }

  override startFrom(answer: Parameters<Solver["startFrom"]>[0]): void {
    super.startFrom(answer);
    this.cold = false;
  }

  protected override iterate({ tolerance, maxIterations }: SolveLimits): Solved {
    const { equations, massFlow, h, slope } = this;
    let iterations = 0;
    /** Whether the content along a step means something: mass is balanced, and more than rounding is left. */
    let guarded = false;
    const measured = (): { solved?: Solved; worst: number } => {
      const { mass, pressure } = this.measure();
      if (!Number.isFinite(mass + pressure)) return { worst: Number.NaN };
      const massLimit = this.massLimit(tolerance);
      guarded = mass <= massLimit && pressure >= trustedResidual;
      const worst = Math.max(mass / massLimit, pressure / (pressureTolerance * tolerance));
      if (worst > 1) return { worst };
      return { worst, solved: { iterations, massResidual: mass, pressureResidual: pressure } };
    };
    const count = (): void => {
      if (iterations >= maxIterations) throw this.failure("max-iterations", iterations);
      iterations++;
    };

    if (this.rests()) {
      equations.evaluate(massFlow, h, slope, false);
      const atRest = measured().solved;
      if (atRest !== undefined) return atRest;
    }
    if (this.cold) {
      for (let step = 0; step < stepsWithoutTees; step++) {
        equations.evaluate(massFlow, h, slope, false, false);
        this.measure();
        if (!this.stepAsRising()) throw this.failure("singular", iterations);
        count();
        this.advance();
      }
    }
    equations.evaluate(massFlow, h, slope, false);
    let { solved, worst } = measured();
    for (const steps of rounds) {
      for (let step = 0; step < steps && solved === undefined; step++) {
        if (!this.stepMajorised()) throw this.failure("singular", iterations);
        count();
        this.takeStep(guarded);
        ({ solved, worst } = measured());
        if (Number.isNaN(worst)) throw this.failure("not-finite", iterations);
      }
      if (solved !== undefined) break;
      this.hold();
      const atStart = worst;
      let last = worst;
      while (solved === undefined && this.stepWhole()) {
        count();
        this.takeStep(false);
        ({ solved, worst } = measured());
        if (!(worst <= goodShare * last)) break;
        last = worst;
      }
      if (solved !== undefined) break;
      if (!(worst < atStart)) {
        this.release();
        equations.evaluate(massFlow, h, slope);
        ({ solved, worst } = measured());
      }
    }
    this.cold = false;
    if (solved === undefined) throw this.failure("stalled", iterations);
    return solved;
  }

  /**
   * Sets air at rest where nothing moves it: no law gives power to the air, so that this is the only answer; but laws that
   * are flat at rest and couple would be a long way to it.
   */
  private rests(): boolean {
    const { fanBranch, fixedPressure, freeIndex, inflow, offset } = this.equations;
    if (fanBranch.length > 0 || inflow.some(Boolean) || offset.some(Boolean)) return false;
    const given = fixedPressure.filter((_, point) => freeIndex[point] < 0);
    if (given.some((pressure) => pressure !== given[0])) return false;
    this.massFlow.fill(0);
    this.pressure.fill(given[0] ?? 0);
    return true;
  }

  /** The residuals, where the three points of a tee are also one node, whose ducts balance. */
  protected override measure(): Residuals {
    const { imbalance, freeFrom, freeTo } = this;
    const { teeBranch } = this.equations;
    const { mass: atPoints, pressure } = super.measure();
    let mass = atPoints;
    for (let t = 0; t < teeBranch.length; t += 2) {
      const a = teeBranch[t];
      const b = teeBranch[t + 1];
      const together = imbalance[freeFrom[a]] + imbalance[freeFrom[b]] + imbalance[freeTo[a]];
      mass = Math.max(mass, Math.abs(together));
    }
    return { mass, pressure };
  }

  private hold(): void {
    this.heldFlow.set(this.massFlow);
    this.heldPressure.set(this.pressure);
  }

  private release(): void {
    this.massFlow.set(this.heldFlow);
    this.pressure.set(this.heldPressure);
  }

  /** Finds the step with all laws taken as rising and no coupling; false where there is none. */
  private stepAsRising(): boolean {
    this.setConductances(true);
    if (!this.factors.factor(this.conductance)) return false;
    this.substitute();
    return true;
  }

  /** Finds the step with the slopes of tees replaced by the sums of their sizes. */
  private stepMajorised(): boolean {
    const { slope, conductance } = this;
    const { leastSlope, teeBranch, teeCross } = this.equations;
    this.setConductances(true);
    for (let i = 0; i < teeBranch.length; i++) {
      const e = teeBranch[i];
      conductance[e] = 1 / (leastSlope[e] + Math.max(0, slope[e]) + Math.abs(teeCross[i]));
    }
    if (!this.factors.factor(conductance)) return false;
    this.substitute();
    return true;
  }

  /** Finds the step with all slopes as they are. */
  private stepWhole(): boolean {
    if (!this.factorWhole()) return false;
    this.substituteCoupled();
    return true;
  }

  /** Factors all slopes as they are; where that matrix has no factors, slopes of rising laws without coupling. */
  override factorHere(): boolean {
    return this.factorWhole() || this.factorMajorised();
  }

  private factorWhole(): boolean {
    this.setConductances(false);
    this.invertBlocks();
    this.assemble();
    return this.matrix.factor();
  }

  private factorMajorised(): boolean {
    const { blocks, slope } = this;
    const { leastSlope, teeBranch, teeCross } = this.equations;
    this.setConductances(true);
    blocks.fill(0);
    for (let i = 0; i < teeBranch.length; i++) {
      const e = teeBranch[i];
      blocks[4 * (i >> 1) + 3 * (i % 2)] = 1 / (leastSlope[e] + Math.max(0, slope[e]) + Math.abs(teeCross[i]));
    }
    this.assemble();
    return this.matrix.factor();
  }

  override stability(): Pick<Solved, "stable"> {
    return {};
  }

  override get lastFactors(): TriangularFactors {
    return this.matrix;
  }

  override findStepHere(): void {
    this.substituteCoupled();
  }

  /** Inverts the slopes of tees; a block that has no inverse is moved towards rising slopes until it has one. */
  private invertBlocks(): void {
    const { slope, blocks } = this;
    const { leastSlope, teeBranch, teeCross } = this.equations;
    for (let t = 0; t < teeBranch.length; t += 2) {
      const [a, b] = [teeBranch[t], teeBranch[t + 1]];
      const across = teeCross[t] * teeCross[t + 1];
      const size = Math.abs(slope[a]) + Math.abs(slope[b]) + Math.abs(teeCross[t]) + Math.abs(teeCross[t + 1]);
      let lift = leastSlope[a];
      let aa = slope[a] + lift;
      let bb = slope[b] + lift;
      let determinant = aa * bb - across;
      while (Math.abs(determinant) < leastDeterminant * (Math.abs(aa * bb) + Math.abs(across))) {
        lift += 1e-6 * size;
        aa = slope[a] + lift;
        bb = slope[b] + lift;
        determinant = aa * bb - across;
      }
      blocks[2 * t] = bb / determinant;
      blocks[2 * t + 1] = -teeCross[t] / determinant;
      blocks[2 * t + 2] = -teeCross[t + 1] / determinant;
      blocks[2 * t + 3] = aa / determinant;
    }
  }

  /** Writes the matrix of the free points: A·J⁻¹·Aᵀ, with the branches A and the slopes J. */
  private assemble(): void {
    const { blocks, conductance, matrix, single } = this;
    const { values, firstFirst, firstSecond, secondFirst, secondSecond } = matrix;
    values.fill(0);
    for (let i = 0; i < single.length; i++) {
      const c = conductance[single[i]];
      values[firstFirst[i]] += c;
      values[firstSecond[i]] -= c;
      values[secondFirst[i]] -= c;
      values[secondSecond[i]] += c;
    }
    let at = single.length;
    for (let t = 0; t < blocks.length; t += 4) {
      const aa = blocks[t];
      const ab = blocks[t + 1];
      const ba = blocks[t + 2];
      const bb = blocks[t + 3];
      // Legs a and b each to the branch leg, then leg a to leg b.
      values[firstFirst[at]] += aa;
      values[firstSecond[at]] -= aa + ab;
      values[secondFirst[at]] -= aa + ba;
      values[secondSecond[at]] += aa + ab + ba + bb;
      at++;
      values[firstFirst[at]] += bb;
      values[firstSecond[at]] -= ba + bb;
      values[secondFirst[at]] -= ab + bb;
      at++;
      values[firstSecond[at]] += ab;
      values[secondFirst[at]] += ba;
      at++;
    }
  }

  /** Solves for the step with the last factors of the whole matrix. */
  private substituteCoupled(): void {
    const { change, imbalance, matrix, residual, step } = this;
    for (let k = 0; k < change.length; k++) change[k] = imbalance[k];
    this.flowsOf(residual, step);
    this.addAtPoints(step, change);
    matrix.solve(change);
    const { freeFrom, freeTo } = this;
    for (let e = 0; e < step.length; e++) {
      const i = freeFrom[e];
      const j = freeTo[e];
      step[e] = residual[e] + (i >= 0 ? change[i] : 0) - (j >= 0 ? change[j] : 0);
    }
    this.flowsOf(step, step);
  }

  /** The flows that pressures in the branches drive: J⁻¹·pressures; both may be one array. */
  private flowsOf(pressures: Float64Array, flows: Float64Array): void {
    const { blocks, conductance, single } = this;
    const { teeBranch } = this.equations;
    for (let i = 0; i < single.length; i++) flows[single[i]] = pressures[single[i]] * conductance[single[i]];
    for (let t = 0; t < teeBranch.length; t += 2) {
      const [a, b] = [teeBranch[t], teeBranch[t + 1]];
      const [atA, atB] = [pressures[a], pressures[b]];
      flows[a] = blocks[2 * t] * atA + blocks[2 * t + 1] * atB;
      flows[b] = blocks[2 * t + 2] * atA + blocks[2 * t + 3] * atB;
    }
  }

  /** Takes flows of branches from what their first points have left, and gives it to their second. */
  private addAtPoints(flows: Float64Array, points: Float64Array): void {
    const { freeFrom, freeTo } = this;
    for (let e = 0; e < flows.length; e++) {
      const i = freeFrom[e];
      const j = freeTo[e];
      if (i >= 0) points[i] -= flows[e];
      if (j >= 0) points[j] += flows[e];
    }
  }
}
