import { SolveError, type SolveStatus } from "../../core/errors.js";
import { LaplacianFactors } from "../../numerics/ldl.js";
import type { TriangularFactors } from "../../numerics/responses.js";
import type { Equations } from "./equations.js";
import { SearchProgress } from "./search-progress.js";
import type { Answer } from "./state.js";

/** The largest residuals of a state. */
export interface Residuals {
  /** [kg/s] */
  readonly mass: number;
  /** [Pa] */
  readonly pressure: number;
}

/** How far a solve may stop from the exact answer, and how long it may take. */
export interface SolveLimits {
  /** Times the standard tolerance: 1e-9 of the largest mass flow (or 1e-12 kg/s) and 1e-6 Pa. */
  readonly tolerance: number;
  readonly maxIterations: number;
  /** Whether the state is to be followed: then no other one is sought where controllers stand at limits. */
  readonly following?: boolean;
}

/** A solved state. */
export interface Solved {
  readonly iterations: number;
  readonly massResidual: number;
  readonly pressureResidual: number;
  /** Absent where the equations are unsymmetric, so that pivots tell nothing of it. */
  readonly stable?: boolean;
  /** Present and true where the search has met another state of the equations as they are. */
  readonly otherStates?: boolean;
}

const massTolerance = 1e-9;
const leastMassTolerance = 1e-12; // kg/s
export const pressureTolerance = 1e-6; // Pa
/** No fan is controlled. */
const noSpeeds = new Float64Array(0);
/** A step is cut back while the content rises at its end by more than this share of how it fell at its start. */
const riseAllowed = 0.5;
const cutsAllowed = 12;
/** Pressure residual below which rounding, not the curvature, decides on a step [Pa]. */
export const trustedResidual = 1e-2;
/** How far an unstable answer is left, as a share of the flow at which a fan starts. */
const departure = 0.05;
/** Whole steps from near a crest to it. */
const stepsToSaddle = 4;

/**
 * Newton's method on the mass flows of a network (the global gradient method), kept descending.
 *
 * Each step solves for the pressures at the free points: with the slopes g = dh/dm, the mass balances after the step
 * give A·δP = b with the weighted Laplacian A of conductances 1/g, and δm = (residual + δP_i − δP_j)/g. The unknowns are
 * increments, so that rounding shrinks with them.
 *
 * Where all laws rise, the answer is the minimum of the content Σ∫h dm. Fans with a hump make it several valleys:
 * a step is used only when it points downhill — A has as many negative pivots as there are falling laws (otherwise their
 * slopes are taken as positive) — and is cut back where the content would rise. An answer is checked in the same way:
 * it is stable when the pivots match.
 *
 * Sources: Todini and Pilati 1988, A gradient algorithm for the analysis of pipe networks; content: Millar 1951,
 * Phil. Mag. 42 (memory).
 */
export class Solver {
  readonly massFlow: Float64Array;
  readonly pressure: Float64Array;
  readonly speed: Float64Array = noSpeeds;
  /** Whether the last step took falling laws as rising, since with their own slopes it would not have led downhill. */
  private convexified = false;
  /** How many laws fell with flow when conductances were last set. */
  private negativeSlopes = 0;
  /** Whether the equations were last evaluated at `massFlow`. */
  protected evaluated = false;
  protected readonly factors: LaplacianFactors;
  /** The free points at the ends of each branch; −1 for fixed ones. */
  protected readonly freeFrom: Int32Array;
  protected readonly freeTo: Int32Array;
  protected readonly h: Float64Array;
  protected readonly slope: Float64Array;
  protected readonly trial: Float64Array;
  protected readonly residual: Float64Array;
  readonly conductance: Float64Array;
  /** The last step: of mass flows. */
  readonly step: Float64Array;
  protected readonly imbalance: Float64Array;
  /** The last step: of the pressures at free points. */
  readonly change: Float64Array;

  constructor(protected readonly equations: Equations) {
    const { branches, points, freePoints, freeIndex, from, to } = equations;
    this.massFlow = new Float64Array(branches);
    this.pressure = new Float64Array(points);
    this.h = new Float64Array(branches);
    this.slope = new Float64Array(branches);
    this.trial = new Float64Array(branches);
    this.residual = new Float64Array(branches);
    this.conductance = new Float64Array(branches);
    this.step = new Float64Array(branches);
    this.imbalance = new Float64Array(freePoints.length);
    this.change = new Float64Array(freePoints.length);
    this.freeFrom = from.map((i) => freeIndex[i]);
    this.freeTo = to.map((i) => freeIndex[i]);
    this.factors = new LaplacianFactors(freePoints.length, this.freeFrom, this.freeTo);
  }

  /** Sets the state from which a solve starts when nothing is known. */
  startCold(): void {
    this.evaluated = false;
    this.massFlow.set(this.equations.startFlow);
    this.pressure.set(this.equations.fixedPressure);
  }

  /** Sets the state from which the next solve starts. */
  startFrom(answer: Answer): void {
    if (answer === this) return;
    this.evaluated = false;
    this.massFlow.set(answer.massFlow);
    this.pressure.set(answer.pressure);
  }

  /**
   * Solves from the state that is set; the answer takes its place.
   *
   * @throws SolveError when no answer meets the tolerance; the state is then of no use.
   */
  solve(limits: SolveLimits): Solved {
    const { fixedPressure, freeIndex } = this.equations;
    for (let i = 0; i < fixedPressure.length; i++) if (freeIndex[i] < 0) this.pressure[i] = fixedPressure[i];
    return this.iterate(limits);
  }

  /** Evaluates the equations at the state that is set, after any change in them; returns the largest residuals. */
  evaluateHere(): Residuals {
    const { fixedPressure, freeIndex } = this.equations;
    for (let i = 0; i < fixedPressure.length; i++) if (freeIndex[i] < 0) this.pressure[i] = fixedPressure[i];
    this.equations.evaluate(this.massFlow, this.h, this.slope, this.evaluated);
    this.evaluated = true;
    return this.measure();
  }

  /** Factors the slopes where the equations were last evaluated; false where there are no factors. */
  factorHere(): boolean {
    return this.factorDownhill();
  }

  /** The factors that `factorHere` writes. */
  get lastFactors(): TriangularFactors {
    return this.factors;
  }

  /** Whether the state is stable, where pivots tell. */
  stability(): Pick<Solved, "stable"> {
    return { stable: this.isStable() };
  }

  /** Adds a pressure in a branch [Pa] to the residuals that the next step answers. */
  addPressure(branch: number, pressure: number): void {
    this.residual[branch] += pressure;
  }

  /** Solves for the step of all mass flows and pressures that the residuals ask for, with the last factors. */
  findStepHere(): void {
    this.substitute();
  }

  /** Moves by the whole step. */
  advance(): void {
    const { change, massFlow, pressure, step } = this;
    const { freePoints } = this.equations;
    for (let k = 0; k < change.length; k++) pressure[freePoints[k]] += change[k];
    for (let e = 0; e < step.length; e++) massFlow[e] += step[e];
    this.evaluated = false;
  }

  protected iterate({ tolerance, maxIterations }: SolveLimits): Solved {
    const { equations, massFlow, h, slope } = this;
    equations.evaluate(massFlow, h, slope, this.evaluated);
    this.evaluated = true;
    this.convexified = false;
    const progress = new SearchProgress();
    for (let iterations = 0; ; iterations++) {
      const { mass, pressure } = this.measure();
      if (!Number.isFinite(mass + pressure)) throw this.failure("not-finite", iterations);
      const massLimit = this.massLimit(tolerance);
      const settled = mass <= massLimit && pressure <= pressureTolerance * tolerance;
      if (settled) {
        const stable = this.isStable();
        if (stable || !progress.mayEscape) {
          const solved = { iterations, massResidual: mass, pressureResidual: pressure, stable };
          return stable && progress.leftUnstable ? { ...solved, otherStates: true } : solved;
        }
        progress.leftUnstable = true;
        this.escapeSaddle(progress.escape());
        continue;
      }
      if (iterations >= maxIterations) throw this.failure("max-iterations", iterations);
      if (this.convexified && pressure < trustedResidual && progress.mayEscape) {
        // Close to a crest between valleys: steps would shrink towards it, then grow away from it ever so slowly.
        this.convexified = false;
        progress.leftUnstable ||= this.isNearSaddle(tolerance);
        this.escapeSaddle(progress.escape());
        continue;
      }
      progress.record(Math.max(mass / massLimit, pressure / (pressureTolerance * tolerance)), this.convexified);
      if (progress.stalled) throw this.failure("stalled", iterations);
      if (!this.findStep()) throw this.failure("singular", iterations);
      progress.guard(this.negativeSlopes > 0);
      this.takeStep(progress.guarded && iterations > 0 && mass <= massLimit && pressure >= trustedResidual);
    }
  }

  /** The largest mass residual of an answer within tolerance [kg/s] */
  massLimit(tolerance: number): number {
    const { massFlow } = this;
    let largest = 0;
    for (let e = 0; e < massFlow.length; e++) largest = Math.max(largest, Math.abs(massFlow[e]));
    return Math.max(massTolerance * largest, leastMassTolerance) * tolerance;
  }

  /** Whether a few whole steps end in an unstable answer; the state stays what it is. */
  private isNearSaddle(tolerance: number): boolean {
    const { equations, factors, h, slope } = this;
    const [massFlow, pressure] = [this.massFlow.slice(), this.pressure.slice()];
    let crest = false;
    for (let steps = 0; steps < stepsToSaddle && !crest; steps++) {
      this.setConductances(false);
      if (!factors.factor(this.conductance)) break;
      this.substitute();
      this.advance();
      equations.evaluate(this.massFlow, h, slope);
      const found = this.measure();
      const settled = found.mass <= this.massLimit(tolerance) && found.pressure <= pressureTolerance * tolerance;
      crest = settled && !this.isStable();
    }
    this.massFlow.set(massFlow);
    this.pressure.set(pressure);
    equations.evaluate(this.massFlow, h, slope);
    this.evaluated = true;
    return crest;
  }

  /** Writes the residuals of all branches and points; returns the largest. */
  protected measure(): Residuals {
    const { equations, massFlow, pressure, h, residual, imbalance, freeFrom, freeTo } = this;
    const { from, to, freePoints, offset, inflow } = equations;
    for (let k = 0; k < freePoints.length; k++) imbalance[k] = inflow[freePoints[k]];
    let worst = 0;
    for (let e = 0; e < residual.length; e++) {
      const r = pressure[from[e]] - pressure[to[e]] - offset[e] - h[e];
      residual[e] = r;
      const size = Math.abs(r);
      if (!(size <= worst)) worst = size; // NaN passes on
      const i = freeFrom[e];
      const j = freeTo[e];
      if (i >= 0) imbalance[i] -= massFlow[e];
      if (j >= 0) imbalance[j] += massFlow[e];
    }
    let mass = 0;
    for (let k = 0; k < imbalance.length; k++) {
      const size = Math.abs(imbalance[k]);
      if (!(size <= mass)) mass = size;
    }
    return { mass, pressure: worst };
  }

  /** Writes the step of all mass flows and pressures; false where the matrix has no factors. */
  private findStep(): boolean {
    if (!this.factorDownhill()) return false;
    this.substitute();
    return true;
  }

  /** Solves for the step that the residuals and imbalances ask for, with the last factors. */
  protected substitute(): void {
    const { factors, residual, conductance, imbalance, change, step, freeFrom, freeTo } = this;
    for (let k = 0; k < change.length; k++) change[k] = imbalance[k];
    for (let e = 0; e < step.length; e++) {
      const i = freeFrom[e];
      const j = freeTo[e];
      const flow = residual[e] * conductance[e];
      if (i >= 0) change[i] -= flow;
      if (j >= 0) change[j] += flow;
    }
    factors.solve(change, change);
    for (let e = 0; e < step.length; e++) {
      const i = freeFrom[e];
      const j = freeTo[e];
      const fall = (i >= 0 ? change[i] : 0) - (j >= 0 ? change[j] : 0);
      step[e] = (residual[e] + fall) * conductance[e];
    }
  }

  /** Factors the conductances such that the step points downhill. */
  private factorDownhill(): boolean {
    const { factors, conductance } = this;
    this.negativeSlopes = this.setConductances(false);
    this.convexified = false;
    if (this.negativeSlopes === 0) return factors.factor(conductance);
    if (factors.factor(conductance) && factors.negativePivots === this.negativeSlopes) return true;
    this.convexified = true;
    this.setConductances(true);
    return factors.factor(conductance);
  }

  /** Writes 1/g, falling laws with their own sign or as if they rose; returns how many fall. */
  protected setConductances(allRising: boolean): number {
    const { slope, conductance } = this;
    const { leastSlope } = this.equations;
    let negativeSlopes = 0;
    for (let e = 0; e < slope.length; e++) {
      const g = slope[e];
      const least = leastSlope[e];
      if (g < 0) negativeSlopes++;
      conductance[e] = 1 / (g >= 0 || allRising ? Math.max(Math.abs(g), least) : Math.min(g, -least));
    }
    return negativeSlopes;
  }

  /**
   * Moves by the step, cut back (if guarded) where the content would rise; leaves h and slope evaluated at the end. A guarded
   * step uses the conductances as last set.
   */
  protected takeStep(guarded: boolean): void {
    const { equations, massFlow, pressure, change, step, trial, h, slope } = this;
    const { freePoints } = equations;
    for (let k = 0; k < freePoints.length; k++) pressure[freePoints[k]] += change[k];
    const atStart = guarded ? this.descent() : 0;
    let length = 1;
    for (let cut = 0; ; cut++) {
      for (let e = 0; e < trial.length; e++) trial[e] = massFlow[e] + length * step[e];
      equations.evaluate(trial, h, slope);
      if (atStart >= 0 || cut >= cutsAllowed) break;
      const atEnd = this.contentSlope();
      if (atEnd <= -riseAllowed * atStart) break;
      length *= Math.min(0.7, Math.max(0.1, atStart / (atStart - atEnd)));
    }
    massFlow.set(trial);
  }

  /** Slope of the content along the step at its start: each branch has the residual g·δm there. */
  private descent(): number {
    const { conductance, step } = this;
    let sum = 0;
    for (let e = 0; e < step.length; e++) sum -= (step[e] * step[e]) / conductance[e];
    return sum;
  }

  /** Slope of the content along the step at the flows where h was last evaluated: Σ (h + offset − ΔP)·δm. */
  private contentSlope(): number {
    const { equations, pressure, h, step } = this;
    const { from, to, offset } = equations;
    let sum = 0;
    for (let e = 0; e < step.length; e++) {
      sum += (h[e] + offset[e] - pressure[from[e]] + pressure[to[e]]) * step[e];
    }
    return sum;
  }

  /** Whether the answer is a minimum of the content: no more free descent than the falling laws account for. */
  private isStable(): boolean {
    const negativeSlopes = this.setConductances(false);
    if (negativeSlopes === 0) return true;
    return this.factors.factor(this.conductance) && this.factors.negativePivots === negativeSlopes;
  }

  /**
   * Leaves an unstable answer, along the circulation in which a push on one falling law makes the content fall most.
   * Two equal fans side by side need it: they may start alike, and then nothing else would ever part them.
   */
  private escapeSaddle(times: number): void {
    const { equations, massFlow, step, trial, h, slope } = this;
    this.setConductances(true);
    this.factors.factor(this.conductance);
    let lowest = Number.POSITIVE_INFINITY;
    let chosen = -1;
    for (let e = 0; e < slope.length; e++) {
      if (slope[e] >= 0) continue;
      this.unitCirculation(e);
      let curvature = 0;
      let size = 0;
      for (let i = 0; i < step.length; i++) {
        curvature += slope[i] * step[i] * step[i];
        size += Math.abs(slope[i]) * step[i] * step[i];
      }
      if (curvature < lowest * size) {
        lowest = curvature / size;
        chosen = e;
      }
    }
    if (chosen < 0) return; // the last step may have left the falling part of every law, and with it the crest
    this.unitCirculation(chosen);
    const length = (departure * times * equations.startFlow[chosen]) / step[chosen];
    for (let e = 0; e < trial.length; e++) trial[e] = massFlow[e] + (times % 2 === 0 ? -length : length) * step[e];
    massFlow.set(trial);
    equations.evaluate(massFlow, h, slope);
  }

  /** Writes the step that a pressure of 1 Pa in one branch drives, with the last factors. */
  private unitCirculation(branch: number): void {
    this.residual.fill(0);
    this.residual[branch] = 1;
    this.imbalance.fill(0);
    this.substitute();
  }

  failure(status: SolveStatus, iterations: number): SolveError {
    const { equations, residual, imbalance } = this;
    const worstBranch = largestAt(residual);
    const worstPoint = largestAt(imbalance);
    const worstDuct = residual.length === 0 ? undefined : equations.names.branch(worstBranch);
    const worstNode = imbalance.length === 0 ? undefined : equations.names.point(equations.freePoints[worstPoint]);
    const massResidual = Math.abs(imbalance[worstPoint] ?? 0);
    const pressureResidual = Math.abs(residual[worstBranch] ?? 0);
    const reason = {
      "max-iterations": `no answer within ${iterations} iterations`,
      stalled: `the search stalled after ${iterations} iterations`,
      "not-finite": `a number left the finite range in iteration ${iterations}`,
      singular: `the equations lost their rank in iteration ${iterations}`,
    }[status];
    const pressurePart = worstText("pressure", pressureResidual, "Pa", worstDuct);
    const massPart = worstText("mass", massResidual, "kg/s", worstNode);
    return new SolveError(status, `The network was not solved: ${reason}${pressurePart}${massPart}`, {
      iterations,
      ...(Number.isFinite(massResidual) ? { massResidual } : {}),
      ...(Number.isFinite(pressureResidual) ? { pressureResidual } : {}),
      ...(worstNode === undefined ? {} : { worstNode }),
      ...(worstDuct === undefined ? {} : { worstDuct }),
      tried: [],
    });
  }
}

/** Where a residual is worst, in words; nothing where there is no such place. */
const worstText = (what: string, residual: number, unit: string, place: string | undefined): string => {
  if (place === undefined) return "";
  const size = Number.isFinite(residual) ? `${residual.toPrecision(3)} ${unit}` : "out of range";
  return `; largest ${what} residual ${size} at '${place}'`;
};

/** Index of the number that is largest in size, or that is none. */
const largestAt = (values: Float64Array): number => {
  let at = 0;
  for (let i = 1; i < values.length; i++) {
    if (!(Math.abs(values[i]) <= Math.abs(values[at]))) at = i;
  }
  return at;
};
