import { SolveError } from "../../core/errors.js";
import { solveDense } from "../../numerics/dense.js";
import type { ControlGroup } from "./control-groups.js";
import type { Equations } from "./equations.js";
import { pressureTolerance, type SolveLimits, type Solver } from "./gradient-solver.js";
import { heldFlows } from "./known-flows.js";
import {
  firstTolerance,
  holdingLimit,
  largestChange,
  leastPressureBySpeed,
  limitStateOf,
  speedAt,
  within,
} from "./speeds.js";
import type { Answer } from "./state.js";
import { controlError } from "./terms.js";

/** Shares of the ranges of speeds at which the search begins, one after the other, of the members of a group in turn. */
const starts: readonly (readonly [number, number])[] = [
  [0.1, 0.1],
  [0.5, 0.5],
  [0, 0.4],
  [0.4, 0],
];
/**
 * From here on every other one is slow, so that others blow through it. That matters only where flows are not known: a fan
 * alone has no others, and where set values say all flows of fans there is but one state to go to.
 */
const firstSlowStart = 2;
/** Newton steps for the speeds from each. */
const stepsFromEach = 20;
/** Newton steps for the network at each, before. */
const stepsToBegin = 40;
/** Steps in a row that would take a speed beyond the limit at which it stands, after which a start has led nowhere. */
const stepsAgainstLimit = 2;
/** Change of a speed, as a share of it, below which it rests. */
const rest = 1e-6;

/**
 * Looks for speeds at which groups of controllers hold all their set values, where a search in which each turns its own
 * fan has ended at a limit. Where controllers feel one another, each may turn a way that leads away from there: a fan
 * that extracts lowers the pressure of a room, but with one that supplies at its heels it raises it. So this search has no
 * directions: it is Newton's method for all errors to be 0, from a few starts.
 */
export class HeldSearch {
  private readonly errors: Float64Array;
  private readonly bySpeed: Float64Array;
  private readonly requestedChange: Float64Array;
  /** By controller: steps in a row against the limit at which its speed stands. */
  private readonly against: Uint8Array;
  /** Newton steps that the last search took. */
  iterations = 0;

  /** @param speed - By controller; changed by the search. */
  constructor(
    private readonly equations: Equations,
    private readonly network: Solver,
    private readonly speed: Float64Array,
  ) {
    this.errors = new Float64Array(speed.length);
    this.bySpeed = new Float64Array(speed.length);
    this.requestedChange = new Float64Array(speed.length);
    this.against = new Uint8Array(speed.length);
  }

  /**
   * Seeks a state in which some groups hold all their set values, while all others keep the speeds that are set.
   *
   * @param beside - The answer at these speeds, from which the network starts: fans that are not moved are at rest there.
   * @returns Whether there is one for any of the groups; it is then set, with the speeds as they were of those for which
   *   there is none. Otherwise the state is of no use.
   */
  find(groups: readonly ControlGroup[], beside: Answer, limits: SolveLimits): boolean {
    const { equations, speed } = this;
    const best = speed.slice();
    const sought = new Set(groups);
    this.iterations = 0;
    for (const [at, start] of starts.entries()) {
      const moving = at < firstSlowStart ? [...sought] : [...sought].filter((group) => this.mayBlowThrough(group));
      if (moving.length === 0) break;
      speed.set(best);
      for (const { members } of moving) {
        members.forEach((c, i) => {
          speed[c] = speedAt(start[i % 2], equations.controls[c]);
        });
      }
      const held = this.findFrom(moving, beside, limits);
      if (held.length === groups.length) return true;
      for (const group of held) {
        sought.delete(group);
        for (const c of group.members) best[c] = speed[c];
      }
      if (sought.size === 0 || this.iterations >= limits.maxIterations) break;
    }
    const found = groups.filter((group) => !sought.has(group));
    speed.set(best);
    return found.length > 0 && this.findFrom(found, beside, limits).length === found.length;
  }

  private mayBlowThrough(group: ControlGroup): boolean {
    return group.members.length > 1 && heldFlows(group, this.equations) === undefined;
  }

  /** Solves the network roughly at the speeds as they are, from an answer at others; whether that went. */
  private begin(beside: Answer, { maxIterations }: SolveLimits): boolean {
    const { network } = this;
    this.applySpeeds();
    network.startFrom(beside);
    const most = Math.min(stepsToBegin, maxIterations);
    try {
      this.iterations += network.solve({ tolerance: firstTolerance, maxIterations: most }).iterations;
      return true;
    } catch (error) {
      if (!(error instanceof SolveError)) throw error;
      this.iterations += most;
      return false;
    }
  }

  /** Moves groups from the speeds as they are; returns those that come to hold all their set values. */
  private findFrom(groups: Iterable<ControlGroup>, beside: Answer, limits: SolveLimits): ControlGroup[] {
    const { network, requestedChange } = this;
    const held: ControlGroup[] = [];
    if (!this.begin(beside, limits)) return held;
    let moving = [...groups];
    this.against.fill(0);
    requestedChange.fill(Number.POSITIVE_INFINITY);
    for (let step = 0; ; step++) {
      const solved = this.evaluate(limits);
      moving = moving.filter((group) => {
        // Groups apart from it may never come to rest.
        const holds = (solved || this.rests(group)) && this.holds(group, limits);
        if (holds) held.push(group);
        return !holds;
      });
      if (moving.length === 0 || step >= stepsFromEach || !network.factorHere()) return held;
      network.findStepHere();
      requestedChange.fill(0);
      moving = moving.filter((group) => this.findSpeeds(group));
      this.move();
      this.iterations++;
    }
  }

  /** Whether the last step hardly changed a group's speeds. */
  private rests({ members }: ControlGroup): boolean {
    return members.every((c) => Math.abs(this.requestedChange[c]) <= rest * this.speed[c]);
  }

  /** Evaluates the network and all readings; whether it is solved. */
  private evaluate({ tolerance }: SolveLimits): boolean {
    const { equations, errors, network } = this;
    this.applySpeeds();
    const { mass, pressure } = network.evaluateHere();
    for (let c = 0; c < errors.length; c++) errors[c] = controlError(equations.controls[c], network);
    return mass <= network.massLimit(tolerance) && pressure <= pressureTolerance * tolerance;
  }

  private holds({ members }: ControlGroup, limits: SolveLimits): boolean {
    const massLimit = this.network.massLimit(limits.tolerance);
    const { controls } = this.equations;
    return members.every((c) => Math.abs(this.errors[c]) <= holdingLimit(controls[c], massLimit, limits));
  }

  private applySpeeds(): void {
    for (let c = 0; c < this.speed.length; c++) this.equations.setSpeed(c, this.speed[c]);
  }

  /** Writes the changes of a group's speeds that would take all its errors to 0; false where this start leads nowhere. */
  private findSpeeds(group: ControlGroup): boolean {
    const { against, bySpeed, equations, errors, network, speed, requestedChange } = this;
    const { members } = group;
    const { controls } = equations;
    const readings = group.readings();
    const added = Float64Array.from(members, (c, i) => -(errors[c] + group.directionalDerivative(i)));
    if (!solveDense(readings, added) || !added.every(Number.isFinite)) return false;
    let share = 1;
    for (let i = 0; i < members.length; i++) {
      const c = members[i];
      bySpeed[c] = controls[c].pressureBySpeed(speed[c], network.massFlow[equations.controlBranch(c)]);
      // Up means more pressure, though a fan that others blow through may first give less the faster it turns.
      requestedChange[c] = Math.abs(bySpeed[c]) < leastPressureBySpeed ? 0 : added[i] / Math.abs(bySpeed[c]);
      if (requestedChange[c] !== 0) share = Math.min(share, (largestChange * speed[c]) / Math.abs(requestedChange[c]));
      against[c] = requestedChange[c] * limitStateOf(speed[c], controls[c]) > 0 ? against[c] + 1 : 0;
    }
    const given = members.some((c) => against[c] >= stepsAgainstLimit);
    for (const c of members)
      requestedChange[c] = given ? 0 : within(speed[c] + share * requestedChange[c], controls[c]) - speed[c];
    return !given;
  }

  /** Moves the speeds by the requested changes, and the network along with them. */
  private move(): void {
    const { bySpeed, equations, network, speed, requestedChange } = this;
    for (let c = 0; c < speed.length; c++) {
      if (requestedChange[c] === 0) continue;
      network.addPressure(equations.controlBranch(c), bySpeed[c] * requestedChange[c]);
      speed[c] = within(speed[c] + requestedChange[c], equations.controls[c]);
    }
    network.findStepHere();
    network.advance();
  }
}
