import { SolveError } from "../core/errors.js";
import { solveDense } from "../numerics/dense.js";
import { type ControlTerm, controlError, type Equations } from "./equations.js";
import type { Answer } from "./site.js";
import { pressureTolerance, type Solved, type SolveLimits, type Solver } from "./solver.js";

/** Largest change of a speed in one step, as a share of it. */
const largestChange = 0.4;
/** Steps without a new best residual after which the search has stalled. */
const patience = 20;
/** Changes of speed between solved states, and Newton steps in all, after which a search in turn ends. */
const turnsAllowed = 60;
const inTurnIterations = 1000;
/** Smallest share of a change of speed that is tried before the search goes on from where it is. */
const smallestShare = 1 / 64;
/** A change of speed that is none. */
const rounding = 1e-12;
/** Fans of which all ways to hold some at limits are tried. */
const mostPinned = 3;
/** Share of the range of speeds at which a search begins anew when the first has failed. */
const otherStarts = [1, 0.5, 0.2];

/**
 * Newton's method with the speeds of controlled fans among its unknowns, beside the mass flows and pressures.
 *
 * In each step the network is solved for its own residuals and, with the same factors, for a change of each speed; then
 * the speeds follow from the controllers' own equations, one a controller. A speed that would leave its limits stays at
 * the limit, and the others are found anew; it leaves the limit when its controller asks for it.
 *
 * Source: block elimination of a bordered system (general numerics).
 */
export class ControlledSolver implements Answer {
  readonly speed: Float64Array;
  /** The changes of speeds that the controllers want, within their limits. */
  private readonly wanted: Float64Array;
  /** Whether a fan is at a limit of its speed and does not hold its set value. */
  private readonly limited: Uint8Array;
  /** Fans that are held at a limit whatever their controllers want: −1 the slowest, 1 the fastest, 0 none. */
  private readonly pinned: Int8Array;
  private readonly steps: { readonly flow: Float64Array; readonly pressure: Float64Array }[];
  private cold = true;

  constructor(
    private readonly equations: Equations,
    private readonly network: Solver,
  ) {
    const count = equations.controls.length;
    this.speed = new Float64Array(count);
    this.wanted = new Float64Array(count);
    this.limited = new Uint8Array(count);
    this.pinned = new Int8Array(count);
    this.steps = Array.from({ length: count + 1 }, () => ({
      flow: new Float64Array(equations.branches),
      pressure: new Float64Array(equations.freePoints.length),
    }));
  }

  get massFlow(): Float64Array {
    return this.network.massFlow;
  }

  get pressure(): Float64Array {
    return this.network.pressure;
  }

  startCold(): void {
    this.cold = true;
  }

  startFrom(answer: Answer): void {
    this.cold = false;
    if (answer === this) return;
    this.speed.set(answer.speed);
    this.network.startFrom(answer);
  }

  /**
   * Solves from the state that is set; the answer takes its place.
   *
   * @throws SolveError when no answer meets the tolerance; the state is then of no use.
   */
  solve(limits: SolveLimits): Solved {
    const { controls } = this.equations;
    if (!this.cold) {
      for (let c = 0; c < controls.length; c++) this.speed[c] = within(this.speed[c], controls[c]);
      return this.iterate(limits, 0);
    }
    // Fans with a hump can throw whole steps to and fro: then each change of speed waits until the network is solved.
    const searches = [
      () => this.solveCold(limits, undefined, "together"),
      () => this.solveCold(limits, undefined, "in turn"),
      ...otherStarts.map((start) => () => this.solveCold(limits, start, "in turn")),
      () => this.solvePinned(limits),
    ];
    let failure: SolveError | undefined;
    for (const search of searches) {
      try {
        return search();
      } catch (error) {
        if (!(error instanceof SolveError)) throw error;
        failure ??= error;
      }
    }
    throw failure;
  }

  /** Solves at fixed speeds first, so that the search for the speeds begins at a real state of the network. */
  private solveCold(limits: SolveLimits, start: number | undefined, how: "together" | "in turn"): Solved {
    const { controls } = this.equations;
    controls.forEach((control, c) => {
      const { minSpeed, maxSpeed, startSpeed } = control;
      const speed = start === undefined ? startSpeed : minSpeed + start * (maxSpeed - minSpeed);
      const pin = this.pinned[c];
      this.speed[c] = pin === 0 ? within(speed, control) : pin > 0 ? maxSpeed : minSpeed;
    });
    this.applySpeeds();
    this.network.startCold();
    const { iterations } = this.network.solve({ ...limits, tolerance: 1 });
    return how === "together" ? this.iterate(limits, iterations) : this.iterateInTurn(limits, iterations);
  }

  /**
   * Where another fan or the wind drives a fan, slower is not always less: then no speed may hold a small flow, and the
   * search for one ends between the limits. Here fans are held at limits beforehand, as few as will do, and the others
   * sought; it is an answer where the errors of those held point beyond their limits.
   */
  private solvePinned(limits: SolveLimits): Solved {
    for (const pins of pinnings(this.equations.controls.length)) {
      this.pinned.set(pins);
      try {
        const solved = this.solveCold(limits, undefined, "together");
        if (this.pointBeyond(limits)) return solved;
      } catch (error) {
        if (!(error instanceof SolveError)) throw error;
      } finally {
        this.pinned.fill(0);
      }
    }
    const errors = Float64Array.from(this.equations.controls, (control) => controlError(control, this));
    throw this.failure("stalled", 0, errors);
  }

  /** Whether fans that are held at limits would have to go on beyond them to come nearer to their set values. */
  private pointBeyond({ tolerance }: SolveLimits): boolean {
    const { network, pinned, steps } = this;
    const { controls } = this.equations;
    network.evaluateHere();
    if (!this.findSteps()) return false;
    return controls.every((control, c) => {
      if (pinned[c] === 0) return true;
      const error = controlError(control, this);
      const senses = control.pressures.length > 0;
      if (Math.abs(error) <= (senses ? pressureTolerance * tolerance : network.massLimit(tolerance))) return true;
      // Of a flow the sign is plain: more is wanted at the fastest, less at the slowest.
      if (holdsOwnFlow(control)) return error < 0 === pinned[c] > 0;
      const change = -error / this.along(control, steps[c + 1]);
      return change > 0 === pinned[c] > 0;
    });
  }

  /** Changes speeds only between solved states of the network, by steps that are halved until the errors fall. */
  private iterateInTurn(limits: SolveLimits, before: number): Solved {
    const { equations, network, speed, wanted } = this;
    const { controls } = equations;
    const errors = new Float64Array(controls.length);
    const held = speed.slice();
    let iterations = before;
    let share = 1;
    let last = Number.POSITIVE_INFINITY;
    for (let turn = 0; turn < turnsAllowed; turn++) {
      this.applySpeeds();
      network.startFrom(network);
      iterations += network.solve(limits).iterations;
      const { mass, pressure } = network.evaluateHere();
      const massLimit = network.massLimit(limits.tolerance);
      let size = 0;
      for (let c = 0; c < controls.length; c++) {
        errors[c] = controlError(controls[c], this);
        const limit = controls[c].pressures.length > 0 ? pressureTolerance * limits.tolerance : massLimit;
        if (Math.abs(errors[c]) > limit) size += (errors[c] / limit) ** 2;
      }
      if (!this.findSteps() || !this.findSpeeds(errors)) throw this.failure("singular", iterations, errors);
      // Those at a limit stay there: they want to go on beyond it.
      const done = controls.every((control, c) => {
        const limit = control.pressures.length > 0 ? pressureTolerance * limits.tolerance : massLimit;
        return Math.abs(errors[c]) <= limit || (isAtLimit(speed[c], control) && Math.abs(wanted[c]) <= rounding);
      });
      if (done) return { iterations, massResidual: mass, pressureResidual: pressure, ...network.stability() };
      if (iterations >= inTurnIterations) throw this.failure("max-iterations", iterations, errors);
      if (size < last || share < smallestShare) {
        last = size;
        share = 1;
        held.set(speed);
      } else {
        // Worse than before: half the way back.
        share /= 2;
        for (let c = 0; c < speed.length; c++) speed[c] = (speed[c] + held[c]) / 2;
        continue;
      }
      for (let c = 0; c < speed.length; c++) {
        const most = largestChange * speed[c];
        speed[c] = within(speed[c] + Math.min(Math.max(wanted[c], -most), most), controls[c]);
      }
    }
    throw this.failure("stalled", iterations, errors);
  }

  private applySpeeds(): void {
    for (let c = 0; c < this.speed.length; c++) this.equations.setSpeed(c, this.speed[c]);
  }

  private iterate(limits: SolveLimits, before: number): Solved {
    const { equations, network, speed } = this;
    const { controls } = equations;
    const errors = new Float64Array(controls.length);
    let best = Number.POSITIVE_INFINITY;
    let sinceBest = 0;
    for (let iterations = before; ; iterations++) {
      this.applySpeeds();
      const { mass, pressure } = network.evaluateHere();
      const massLimit = network.massLimit(limits.tolerance);
      const pressureLimit = pressureTolerance * limits.tolerance;
      let worst = Math.max(mass / massLimit, pressure / pressureLimit);
      this.limited.fill(0);
      let limited = false;
      for (let c = 0; c < controls.length; c++) {
        errors[c] = controlError(controls[c], this);
        if (this.pinned[c] !== 0) continue;
        const size = Math.abs(errors[c]) / (controls[c].pressures.length > 0 ? pressureLimit : massLimit);
        if (isAtLimit(speed[c], controls[c]) && size > 1) {
          limited = true;
          this.limited[c] = 1;
        } else worst = Math.max(worst, size);
      }
      if (Number.isNaN(worst)) throw network.failure("not-finite", iterations);
      const settled = worst <= 1;
      if (settled && !limited)
        return { iterations, massResidual: mass, pressureResidual: pressure, ...network.stability() };
      if (iterations >= limits.maxIterations) throw this.failure("max-iterations", iterations, errors);
      sinceBest = worst < best ? 0 : sinceBest + 1;
      best = Math.min(best, worst);
      if (sinceBest > patience) throw this.failure("stalled", iterations, errors);
      if (!this.findSteps() || !this.findSpeeds(errors)) throw this.failure("singular", iterations, errors);
      // Those at a limit stay there: they want to go on beyond it.
      if (settled && this.wanted.every((change, c) => this.limited[c] === 0 || Math.abs(change) <= rounding)) {
        if (!controls.every((control, c) => this.limited[c] === 0 || isPlain(control, errors[c], speed[c])))
          throw this.failure("stalled", iterations, errors);
        return { iterations, massResidual: mass, pressureResidual: pressure, ...network.stability() };
      }
      this.move();
    }
  }

  /** Writes the step of the network by itself, and that for a change of each speed by 1; false where there is none. */
  private findSteps(): boolean {
    const { equations, network, speed, steps } = this;
    if (!network.factorHere()) return false;
    network.stepHere(steps[0]);
    for (let c = 0; c < speed.length; c++) {
      const branch = equations.controlBranch(c);
      const pressure = equations.controls[c].pressureBySpeed(speed[c], this.massFlow[branch]);
      network.stepFor(branch, pressure, steps[c + 1]);
    }
    return true;
  }

  /** How the error of a controller changes along a step. */
  private along(
    { pressures, flows }: ControlTerm,
    step: { readonly flow: Float64Array; readonly pressure: Float64Array },
  ): number {
    const { freeIndex } = this.equations;
    let sum = 0;
    for (const { point, head, weight } of pressures) {
      if (freeIndex[point] >= 0) sum += weight * step.pressure[freeIndex[point]];
      if (head === undefined) continue;
      const m = this.massFlow[head.branch];
      sum -= 2 * weight * (m >= 0 ? head.forward : head.backward) * m * step.flow[head.branch];
    }
    for (const { branch, weight } of flows) sum += weight * step.flow[branch];
    return sum;
  }

  /** Writes the change of each speed that the controllers want within its limits; false where they cannot be told apart. */
  private findSpeeds(errors: Float64Array): boolean {
    const { speed, steps, wanted } = this;
    const { controls } = this.equations;
    const count = controls.length;
    const rest = controls.map((control, c) => -(errors[c] + this.along(control, steps[0])));
    const matrix = controls.map((control) => controls.map((_, k) => this.along(control, steps[k + 1])));
    const held = Array.from(this.pinned, (pin) => pin !== 0);
    const released = held.slice();
    for (let c = 0; c < count; c++) wanted[c] = 0;
    for (;;) {
      const free = controls.flatMap((_, c) => (held[c] ? [] : [c]));
      const right = free.map(
        (c) => rest[c] - controls.reduce((sum, _, k) => sum + (held[k] ? matrix[c][k] * wanted[k] : 0), 0),
      );
      const found = solveDense(
        free.map((c) => free.map((k) => matrix[c][k])),
        right,
      );
      if (found === undefined) return false;
      // Only the one that goes farthest beyond is held at once: the others may have followed it there.
      let farthest = -1;
      let most = 0;
      free.forEach((c, i) => {
        wanted[c] = found[i];
        const beyond = Math.max(
          controls[c].minSpeed - (speed[c] + found[i]),
          speed[c] + found[i] - controls[c].maxSpeed,
        );
        if (!(beyond > most)) return;
        farthest = c;
        most = beyond;
      });
      if (farthest < 0) {
        // One that had followed another beyond its limit may want to come back now that the other is held; once, lest it swing.
        const back = controls.findIndex((_, c) => {
          if (!held[c] || released[c]) return false;
          const left = rest[c] - controls.reduce((sum, _, k) => sum + matrix[c][k] * wanted[k], 0);
          const step = left / matrix[c][c];
          return speed[c] + wanted[c] <= controls[c].minSpeed ? step > rounding : step < -rounding;
        });
        if (back < 0) return true;
        held[back] = false;
        released[back] = true;
        continue;
      }
      const { minSpeed, maxSpeed } = controls[farthest];
      wanted[farthest] = (wanted[farthest] > 0 ? maxSpeed : minSpeed) - speed[farthest];
      held[farthest] = true;
    }
  }

  /** Moves by the network's step and by those of the speeds; large changes of a speed are cut. */
  private move(): void {
    const { massFlow, network, speed, steps, wanted } = this;
    for (let c = 0; c < speed.length; c++) {
      const most = largestChange * speed[c];
      wanted[c] = Math.min(Math.max(wanted[c], -most), most);
    }
    const { freePoints } = this.equations;
    for (let s = 0; s < steps.length; s++) {
      const share = s === 0 ? 1 : wanted[s - 1];
      const { flow, pressure } = steps[s];
      for (let e = 0; e < massFlow.length; e++) massFlow[e] += share * flow[e];
      for (let k = 0; k < freePoints.length; k++) network.pressure[freePoints[k]] += share * pressure[k];
    }
    for (let c = 0; c < speed.length; c++) speed[c] = within(speed[c] + wanted[c], this.equations.controls[c]);
  }

  private failure(
    status: "max-iterations" | "stalled" | "singular",
    iterations: number,
    errors: Float64Array,
  ): SolveError {
    const failed = this.network.failure(status, iterations);
    const worst = errors.reduce((at, error, c) => (Math.abs(error) > Math.abs(errors[at]) ? c : at), 0);
    const fan = this.equations.names.branch(this.equations.controlBranch(worst));
    const message = `${failed.message}; speeds of controlled fans were sought, that of '${fan}' is farthest from its set value`;
    const tried = ["fixed speeds", "Newton steps with speeds"];
    return new SolveError(status, message, { ...failed.diagnostics, tried });
  }
}

/** Ways to hold some of a few fans at limits, those that hold fewer first; of many fans, one at a time. */
const pinnings = (count: number): number[][] => {
  const all: number[][] = count > mostPinned ? [] : waysOf(count);
  const single = Array.from({ length: count }, (_, c) => [-1, 1].map((pin) => at(count, c, pin))).flat();
  const pins = (way: readonly number[]): number => way.filter((pin) => pin !== 0).length;
  return all.length > 0 ? all.filter((way) => pins(way) > 0).sort((a, b) => pins(a) - pins(b)) : single;
};

const at = (count: number, which: number, pin: number): number[] =>
  Array.from({ length: count }, (_, c) => (c === which ? pin : 0));

const waysOf = (count: number): number[][] =>
  count === 0 ? [[]] : waysOf(count - 1).flatMap((way) => [0, -1, 1].map((pin) => [...way, pin]));

const within = (speed: number, { minSpeed, maxSpeed }: ControlTerm): number =>
  Math.min(Math.max(speed, minSpeed), maxSpeed);

/**
 * Whether an error at a limit is one that a fan's own flow can have there: too little at the fastest, too much at the
 * slowest. Of a pressure or a balance the sign does not tell, since more speed may move both sides.
 */
const isPlain = (control: ControlTerm, error: number, speed: number): boolean =>
  !holdsOwnFlow(control) || error < 0 === speed >= control.maxSpeed;

const holdsOwnFlow = ({ flows, pressures }: ControlTerm): boolean => pressures.length === 0 && flows.length === 1;

const isAtLimit = (speed: number, { minSpeed, maxSpeed }: ControlTerm): boolean =>
  speed <= minSpeed || speed >= maxSpeed;
