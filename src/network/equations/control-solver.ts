import { SolveError } from "../../core/errors.js";
import { solveInBox } from "../../numerics/box-equations.js";
import { type ControlGroup, controlGroups } from "./control-groups.js";
import type { Equations } from "./equations.js";
import { pressureTolerance, type Solved, type SolveLimits, type Solver } from "./gradient-solver.js";
import { HeldSearch } from "./held-search.js";
import { cannotBeHeld, heldFlows } from "./known-flows.js";
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

/** The search has stalled after this many steps without a new best residual. */
const patience = 20;
/** Rounds in which each controller moves alone, and Newton steps in all over those allowed, after which that search ends. */
const roundsAllowed = 12;
const inTurnShare = 5;
/** Steps of a speed, as a share of it, until its controller's error changes its sign. */
const strideInTurn = 0.25;
/** Nearness of two speeds between which the error changes its sign, as a share of them. */
const nearInTurn = 1e-4;
/** Share of the range of speeds at which a search begins again when the first has failed. */
const otherStarts = [1, 0.5, 0.2, 0];

/**
 * Newton's method with the speeds of controlled fans among its unknowns, beside the mass flows and pressures.
 *
 * A controller turns its fan up while more pressure of the fan would bring it nearer to its set value, and down while
 * less would; so it comes to rest where it holds the value, or at the limit towards which it turns. In each step the
 * network is factored once; with the same factors the readings of all controllers are found for the pressure that each
 * fan may add, and from these the speeds, within their limits.
 *
 * Sources: block elimination of a bordered system (general numerics); rest at a root or a limit is a mixed
 * complementarity problem, Ferris and Pang, Engineering and economic applications of complementarity problems, SIAM
 * Review 39 (1997) (memory).
 *
 * Where it comes to rest with one at a limit, a state in which all hold their set values may exist beside: it is sought,
 * and preferred.
 */
export class ControlledSolver implements Answer {
  readonly speed: Float64Array;
  private readonly groups: readonly ControlGroup[];
  /** What controllers read, less their set values. */
  private readonly errors: Float64Array;
  /** The sign of each reading's response to the pressure of its fan; 0 while unknown. */
  private readonly responseSign: Float64Array;
  /** Whether that sign changed while its speed was sought. */
  private readonly signChanged: Uint8Array;
  /** What a change of each speed adds to the pressure of its fan [Pa per unit of speed] */
  private readonly bySpeed: Float64Array;
  /** The changes of speeds that the controllers request, within their limits. */
  private readonly requestedChange: Float64Array;
  private cold = true;
  private readonly search: HeldSearch;
  /** The limits of the last answer, by controller: beside these no state that holds more is known. */
  private readonly searched: Int8Array;

  constructor(
    private readonly equations: Equations,
    private readonly network: Solver,
  ) {
    const count = equations.controls.length;
    this.groups = controlGroups(network, equations);
    this.speed = new Float64Array(count);
    this.search = new HeldSearch(equations, network, this.speed);
    this.searched = new Int8Array(count);
    this.errors = new Float64Array(count);
    this.responseSign = new Float64Array(count);
    this.signChanged = new Uint8Array(count);
    this.bySpeed = new Float64Array(count);
    this.requestedChange = new Float64Array(count);
  }

  get massFlow(): Float64Array {
    return this.network.massFlow;
  }

  get pressure(): Float64Array {
    return this.network.pressure;
  }

  startCold(): void {
    this.cold = true;
    this.searched.fill(0);
  }

  startFrom(answer: Answer): void {
    this.cold = false;
    if (answer === this) return;
    this.searched.fill(0);
    this.speed.set(answer.speed);
    this.network.startFrom(answer);
  }

  /**
   * Solves from the state that is set; the answer takes its place.
   *
   * @throws SolveError when no answer meets the tolerance; the state is then of no use.
   */
  solve(limits: SolveLimits): Solved {
    const found = this.solveToRest(limits);
    return limits.following === true ? found : this.preferHeld(found, limits);
  }

  /**
   * The answer that was found, or one beside it in which groups with a controller at a limit hold all their set values. A
   * solve from the last answer that ends at the same limits does not search again.
   */
  private preferHeld(found: Solved, limits: SolveLimits): Solved {
    const { groups, network, search, searched, speed } = this;
    const limitStates = this.limitStates(limits);
    const limited = groups.filter(({ members }) => members.some((c) => limitStates[c] !== 0));
    const known = limitStates.every((state, c) => state === searched[c]);
    searched.set(limitStates);
    if (limited.length === 0 || known) return found;
    const sought = this.notRuledOut(limited);
    if (sought.length === 0) return found;
    const rest = { speed: speed.slice(), massFlow: network.massFlow.slice(), pressure: network.pressure.slice() };
    if (search.find(sought, rest, limits)) {
      const solved = this.solveAtHeld(limits, found.iterations + search.iterations);
      const left = this.limitStates(limits);
      const fewer = limitStates.some((state, c) => state !== 0 && left[c] === 0);
      if (solved !== undefined && fewer && left.every((state, c) => state === 0 || limitStates[c] !== 0)) {
        searched.set(left);
        return { ...solved, otherStates: true };
      }
    }
    this.startFrom(rest);
    this.applySpeeds();
    searched.set(limitStates);
    return { ...found, iterations: found.iterations + search.iterations };
  }

  /** The groups for which a state that holds all their set values may exist beside the one that is set. */
  private notRuledOut(groups: readonly ControlGroup[]): readonly ControlGroup[] {
    const { equations, massFlow, network, pressure, speed } = this;
    const flows = groups.map((group) => heldFlows(group, equations));
    if (flows.every((held) => held === undefined) || !equations.lossesRise()) return groups;
    const left = groups.filter((group, g) => {
      const held = flows[g];
      return held === undefined || !cannotBeHeld(group, held, equations, this);
    });
    network.startFrom({ massFlow, pressure, speed }); // evaluated elsewhere since
    return left;
  }

  /** The answer at the state that a search has found; undefined where there is none. */
  private solveAtHeld(limits: SolveLimits, before: number): Solved | undefined {
    try {
      return this.iterate(limits, before);
    } catch (error) {
      if (!(error instanceof SolveError)) throw error;
      return undefined;
    }
  }

  /** The limit state of each controller that does not hold its set value, in the state that is set; 0 for all others. */
  private limitStates(limits: SolveLimits): Int8Array {
    const { equations, network, speed } = this;
    const limitStates = new Int8Array(speed.length);
    const massLimit = network.massLimit(limits.tolerance);
    for (let c = 0; c < limitStates.length; c++) {
      const control = equations.controls[c];
      const holds = Math.abs(controlError(control, network)) <= holdingLimit(control, massLimit, limits);
      limitStates[c] = holds ? 0 : limitStateOf(speed[c], control);
    }
    return limitStates;
  }

  /** Solves for a state in which every controller holds its set value or rests at the limit towards which it turns. */
  private solveToRest(limits: SolveLimits): Solved {
    const { controls } = this.equations;
    this.responseSign.fill(0);
    this.signChanged.fill(0);
    if (!this.cold) {
      for (let c = 0; c < controls.length; c++) this.speed[c] = within(this.speed[c], controls[c]);
      return this.iterate(limits, 0);
    }
    // Fans with a hump, and fans that others blow through, can throw steps back and forth: then one speed moves at a time.
    const searches: readonly (readonly [how: string, search: () => Solved])[] = [
      ["all speeds together", () => this.iterate(limits, this.solveCold(limits))],
      ["one speed at a time", () => this.iterateInTurn(limits, this.solveCold(limits))],
      ...otherStarts.map((start): [string, () => Solved] => [
        `one speed at a time from ${100 * start} % of its range`,
        () => this.iterateInTurn(limits, this.solveCold(limits, start)),
      ]),
    ];
    const tried: string[] = [];
    let failure: SolveError | undefined;
    for (const [how, search] of searches) {
      try {
        return search();
      } catch (error) {
        if (!(error instanceof SolveError)) throw error;
        tried.push(`${how}: ${error.status}`);
        failure ??= error;
      }
    }
    const { status, message, diagnostics } = failure as SolveError;
    throw new SolveError(status, message, { ...diagnostics, tried });
  }

  /** Solves roughly at fixed speeds, so that the search for the speeds begins at a real state; returns the iterations. */
  private solveCold(limits: SolveLimits, start?: number): number {
    this.equations.controls.forEach((control, c) => {
      this.speed[c] = start === undefined ? within(control.startSpeed, control) : speedAt(start, control);
    });
    this.applySpeeds();
    this.network.startCold();
    return this.network.solve({ ...limits, tolerance: firstTolerance }).iterations;
  }

  private applySpeeds(): void {
    for (let c = 0; c < this.speed.length; c++) this.equations.setSpeed(c, this.speed[c]);
  }

  private iterate(limits: SolveLimits, before: number): Solved {
    const { errors, network, speed } = this;
    const { controls } = this.equations;
    for (const { members, limitState } of this.groups) {
      members.forEach((c, i) => {
        limitState[i] = limitStateOf(speed[c], controls[c]);
      });
    }
    let best = Number.POSITIVE_INFINITY;
    let sinceBest = 0;
    for (let iterations = before; ; iterations++) {
      this.applySpeeds();
      const { mass, pressure } = network.evaluateHere();
      const massLimit = network.massLimit(limits.tolerance);
      let worst = Math.max(mass / massLimit, pressure / (pressureTolerance * limits.tolerance));
      let limited = false;
      for (let c = 0; c < controls.length; c++) {
        errors[c] = controlError(controls[c], this);
        const size = Math.abs(errors[c]) / holdingLimit(controls[c], massLimit, limits);
        if (size > 1 && limitStateOf(speed[c], controls[c]) !== 0) limited = true;
        else worst = Math.max(worst, size);
      }
      if (Number.isNaN(worst)) throw network.failure("not-finite", iterations);
      const settled = worst <= 1;
      const solved = { iterations, massResidual: mass, pressureResidual: pressure };
      if (settled && !limited) return { ...solved, ...network.stability() };
      if (iterations >= limits.maxIterations) throw this.failure("max-iterations", iterations, limits);
      sinceBest = worst < best ? 0 : sinceBest + 1;
      best = Math.min(best, worst);
      if (sinceBest > patience) throw this.failure("stalled", iterations, limits);
      if (!this.findSpeeds()) throw this.failure("singular", iterations, limits);
      if (settled && this.atRest(massLimit, limits)) return { ...solved, ...network.stability() };
      this.move();
    }
  }

  /** Whether every controller holds its set value or rests at the limit towards which it turns. */
  private atRest(massLimit: number, limits: SolveLimits): boolean {
    return this.equations.controls.every((control, c) => {
      const error = this.errors[c];
      if (Math.abs(error) <= holdingLimit(control, massLimit, limits)) return true;
      return this.responseSign[c] * error > 0 ? this.speed[c] <= control.minSpeed : this.speed[c] >= control.maxSpeed;
    });
  }

  /** Writes the changes of all speeds that the controllers request, within limits; false where the network has no factors. */
  private findSpeeds(): boolean {
    const { bySpeed, equations, errors, groups, massFlow, network, requestedChange, responseSign, speed } = this;
    const { controls } = equations;
    if (!network.factorHere()) return false;
    network.findStepHere();
    for (const group of groups) {
      const { members } = group;
      const count = members.length;
      const readings = group.readings();
      const right = new Float64Array(count);
      const low = new Float64Array(count);
      const high = new Float64Array(count);
      for (let i = 0; i < count; i++) {
        const c = members[i];
        const { minSpeed, maxSpeed } = controls[c];
        const own = i * count + i;
        // More speed for more flow, regardless of the rest; of a pressure the place of its sensor decides. Where the reading
        // does not respond to the fan, the controller goes on as it went.
        const isPressure = controls[c].pressures.length > 0;
        if (isPressure && group.responds(i)) this.setResponseSign(c, readings[own] < 0 ? -1 : 1);
        else if (responseSign[c] === 0) responseSign[c] = 1;
        right[i] = -responseSign[c] * (errors[c] + group.directionalDerivative(i));
        for (let k = 0; k < count; k++) readings[i * count + k] *= responseSign[c];
        readings[own] = Math.abs(readings[own]);
        bySpeed[c] = controls[c].pressureBySpeed(speed[c], massFlow[equations.controlBranch(c)]);
        // A fan whose pressure does not follow its speed is free to move.
        const perSpeed = Math.max(Math.abs(bySpeed[c]), leastPressureBySpeed);
        const most = largestChange * speed[c];
        low[i] = perSpeed * Math.max(minSpeed - speed[c], -most);
        high[i] = perSpeed * Math.min(maxSpeed - speed[c], most);
      }
      const addedPressures = solveInBox(readings, right, low, high, group.limitState);
      for (let i = 0; i < count; i++) {
        const c = members[i];
        const alone = right[i] / readings[i * count + i];
        const added = addedPressures === undefined ? Math.min(Math.max(alone, low[i]), high[i]) : addedPressures[i];
        requestedChange[c] = (added || 0) / Math.max(Math.abs(bySpeed[c]), leastPressureBySpeed);
      }
    }
    return true;
  }

  /** Takes on the sign of a reading's response to its fan. */
  private setResponseSign(c: number, sign: 1 | -1): void {
    if (this.responseSign[c] === -sign) this.signChanged[c] = 1;
    this.responseSign[c] = sign;
  }

  /** Moves the speeds by the requested changes, and the network along with them. */
  private move(): void {
    const { bySpeed, equations, network, requestedChange, speed } = this;
    for (let c = 0; c < speed.length; c++) {
      network.addPressure(equations.controlBranch(c), bySpeed[c] * requestedChange[c]);
      speed[c] = within(speed[c] + requestedChange[c], equations.controls[c]);
    }
    network.findStepHere();
    network.advance();
  }

  /** Lets one controller after the other move its fan, then all together. */
  private iterateInTurn(limits: SolveLimits, before: number): Solved {
    const { network, speed } = this;
    const allowed = inTurnShare * limits.maxIterations;
    let iterations = before;
    let failure = this.failure("stalled", iterations, limits);
    for (let round = 0; round < roundsAllowed && iterations < allowed; round++) {
      for (let c = 0; c < speed.length; c++) iterations += this.settleAlone(c, limits, allowed - iterations);
      const start = { speed: speed.slice(), massFlow: network.massFlow.slice(), pressure: network.pressure.slice() };
      try {
        return this.iterate({ ...limits, maxIterations: Math.min(iterations + patience, allowed) }, iterations);
      } catch (error) {
        if (!(error instanceof SolveError)) throw error;
        failure = error;
      }
      this.startFrom(start);
    }
    throw failure;
  }

  /**
   * Moves one fan to where its controller comes to rest while all others keep their speeds; returns the iterations.
   *
   * @param allowed - Iterations that this may take; a solve that needs none counts as one, so that the search ends.
   */
  private settleAlone(c: number, limits: SolveLimits, allowed: number): number {
    const { network, speed } = this;
    const control = this.equations.controls[c];
    let iterations = 0;
    let solves = 0;
    /** Positive where the controller turns down. */
    const excessAt = (at: number): number => {
      const left = allowed - Math.max(iterations, solves++);
      if (left <= 0) throw this.failure("max-iterations", iterations, limits);
      speed[c] = at;
      this.applySpeeds();
      network.startFrom(network);
      iterations += network.solve({ ...limits, maxIterations: Math.min(limits.maxIterations, left) }).iterations;
      network.evaluateHere();
      this.errors[c] = controlError(control, this);
      this.findSpeeds();
      return this.responseSign[c] * this.errors[c];
    };
    let here = speed[c];
    let excess = excessAt(here);
    const down = excess > 0;
    for (;;) {
      const next = within(here * (down ? 1 - strideInTurn : 1 + strideInTurn), control);
      if (next === here || excess === 0) return iterations;
      const there = excessAt(next);
      if (there > 0 === down) {
        here = next;
        excess = there;
        continue;
      }
      this.narrowBracket([here, excess], [next, there], excessAt);
      return iterations;
    }
  }

  /** Brings two speeds with excesses of opposite signs near to one another. */
  private narrowBracket(one: [number, number], other: [number, number], excessAt: (speed: number) => number): void {
    let [a, fa] = one;
    let [b, fb] = other;
    // Regula falsi; the value that stays is halved, so that it does not stay for ever (Illinois).
    while (Math.abs(b - a) > nearInTurn * b && fb !== 0) {
      const middle = b - (fb * (b - a)) / (fb - fa);
      const value = excessAt(middle);
      if (value > 0 === fb > 0) fa /= 2;
      else [a, fa] = [b, fb];
      [b, fb] = [middle, value];
    }
  }

  /** @param limits - Within which controllers hold their set values. */
  private failure(
    status: "max-iterations" | "stalled" | "singular",
    iterations: number,
    limits: SolveLimits,
  ): SolveError {
    const { errors, equations, network } = this;
    const { controls } = equations;
    const failed = network.failure(status, iterations);
    const massLimit = network.massLimit(limits.tolerance);
    const size = (c: number): number => Math.abs(errors[c]) / holdingLimit(controls[c], massLimit, limits);
    let worst = 0;
    for (let c = 1; c < controls.length; c++) if (size(c) > size(worst)) worst = c;
    const { fan, pressures } = controls[worst];
    const unit = pressures.length > 0 ? "Pa" : "kg/s";
    const off = `${Math.abs(errors[worst]).toPrecision(3)} ${unit} ${errors[worst] < 0 ? "below" : "above"} it`;
    const unsettled =
      this.signChanged[worst] === 0 ? "" : "; its reading rises and falls with its speed, so it may not settle";
    const missed = controls.filter((_, c) => !(size(c) <= 1)).map((control) => `'${control.fan}'`);
    const hint =
      missed.length === 0
        ? ""
        : `; fans that do not hold their set values: ${missed.join(", ")}; with another initial 'speed' for them an answer may be found`;
    const message = `${failed.message}; of the controlled fans, '${fan}' is farthest from its set value: it reads ${off}${unsettled}${hint}`;
    return new SolveError(status, message, failed.diagnostics);
  }
}
