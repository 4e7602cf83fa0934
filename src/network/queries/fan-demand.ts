import { InputError, problemOf, SolveError } from "../../core/errors.js";
import type { SystemPoint } from "../../fans/intersections.js";
import type { FanModel } from "../../fans/model.js";
import { fanReadingOf } from "../elements/curve-cache.js";
import { type FanPart, fanAt } from "../elements/fan.js";
import type { FanOutline } from "../elements/kinds/kind.js";
import type { NetworkNode } from "../elements/kinds/list.js";
import type { Equations } from "../equations/equations.js";
import { type NetworkSolver, solverOf } from "../equations/solver.js";
import type { Answer } from "../equations/state.js";
import { type Elements, type Layout, nodeIdOf } from "../layout/layout.js";
import type { Convergence, FanResult, Solution } from "../results/solution.js";
import { assemble } from "../solve/assemble.js";
import { emptySolution, limitsOf, resumed, solveFrom } from "../solve/solve.js";

/** What a network needs of its fan at a flow, and the state in which it does. */
export interface Need extends SystemPoint {
  readonly state: Answer;
}

/** A network without one of its fans, ready to say what it needs of it. */
export interface Demand {
  /** What is needed where the network itself runs; undefined where it was not solved. */
  readonly solved: Need | undefined;
  /**
   * Total pressure needed at a flow of the fan [m³/s], found again.
   *
   * @throws SolveError where there is no answer, or none within `mostPressure`.
   */
  at(flow: number): Need;
  /**
   * The same from the state at another flow, or from the cold start, in a few steps or not at all.
   *
   * @throws SolveError likewise.
   */
  from(near: Need | undefined, flow: number): Need;
  /** The fan by its own curve; undefined where it stands still. */
  readonly fan: FanModel | undefined;
}

/**
 * Pressure beyond which nothing is said of a network [Pa]: no fan gives it, air is then no longer of one density, and it is
 * what things that are shut ask for (a backdraught damper at 50 l/s takes 1e8 Pa or more by its law).
 */
export const mostPressure = 1e5;
/**
 * Tolerance of the solver once the standard one is met. Where a fan meets a system is to be as sharp as rounding allows;
 * steep laws and high pressures round too coarsely for that, and then the standard is enough.
 */
const sharp = 1e-4;
/** Newton steps in which a state is followed to another flow, or given up: few, since many a flow has no answer. */
const stepsFollowing = 40;

const nodeOf = (network: Elements, { name }: FanOutline): NetworkNode =>
  network.nodes.find(({ id }) => id === nodeIdOf(name)) as NetworkNode;

const partOf = (network: Elements, fan: FanOutline): FanPart => fanAt(nodeOf(network, fan), fan.keys);

/** The network with other keys of one of its fans. */
export const withFan = (network: Elements, fan: FanOutline, part: Partial<FanPart>): Elements => {
  const put = (held: object, [key, ...rest]: readonly string[]): object =>
    key === undefined ? { ...held, ...part } : { ...held, [key]: put(held[key as never], rest) };
  const node = nodeOf(network, fan);
  return {
    ...network,
    nodes: network.nodes.map((one) => (one === node ? (put(node, fan.keys) as NetworkNode) : one)),
  };
};

/** Whether a controller finds the speed of the fan. */
export const hasController = (network: Elements, fan: FanOutline): boolean =>
  partOf(network, fan).control !== undefined;

/** The network with the fan at a fixed speed: that which its controller, if it has one, has found. */
export const atFixedSpeed = (network: Elements, fan: FanOutline, { airHandlers, fans }: Solution): Elements => {
  const part = partOf(network, fan);
  if (part.control === undefined) return network;
  // Frost protection will leave of a fixed speed what it left of the set value.
  const left = fan.service === "supply" ? (airHandlers[nodeIdOf(fan.name)].frostSpeedFactor ?? 1) : 1;
  const speed = fans[fan.name].speed / left;
  return withFan(network, fan, { ...part, speed, setting: undefined, control: undefined });
};

/** Whether branches, all but one, lead from a point to one of given pressure. */
export const hasReference = ({ from, to, freeIndex }: Equations, start: number, without?: number): boolean => {
  const beside = new Map<number, number[]>();
  const join = (one: number, other: number): void => {
    const already = beside.get(one);
    if (already === undefined) beside.set(one, [other]);
    else already.push(other);
  };
  for (let e = 0; e < from.length; e++) {
    if (e === without) continue;
    join(from[e], to[e]);
    join(to[e], from[e]);
  }
  const reached = new Set([start]);
  for (const point of reached) {
    if (freeIndex[point] < 0) return true;
    for (const next of beside.get(point) ?? []) reached.add(next);
  }
  return false;
};

/** What a search finds; undefined where that is not solved. */
export const undefinedIfUnsolved = <T>(search: () => T): T | undefined => {
  try {
    return search();
  } catch (error) {
    if (!(error instanceof SolveError)) throw error;
    return undefined;
  }
};

/** A network that asks for more than any fan gives, with the element that takes most of it. */
const shutError = ({ branches, from, to, names }: Equations, { pressure }: Answer, iterations: number): SolveError => {
  const fall = (branch: number): number => Math.abs(pressure[from[branch]] - pressure[to[branch]]);
  let worst = 0;
  for (let e = 1; e < branches; e++) if (fall(e) > fall(worst)) worst = e;
  const name = names.branch(worst);
  const message = `The network needs more than ${mostPressure} Pa, as when something blocks the air: most of it is lost in '${name}'`;
  return new SolveError("stalled", message, {
    iterations,
    worstDuct: name,
    tried: ["the flow imposed in the fan's place"],
  });
};

const reachedState = ({ massFlow, pressure, speed }: Answer): Answer => ({
  massFlow: massFlow.slice(),
  pressure: pressure.slice(),
  speed: speed.slice(),
});

/** The state that a solver has reached, as sharp as rounding allows. */
export const sharpened = (solver: NetworkSolver): Answer => {
  const standard = reachedState(solver);
  const sharper = undefinedIfUnsolved(() => {
    solver.startFrom(solver);
    solver.solve({ ...limitsOf({ tolerance: sharp, maxIterations: stepsFollowing }), following: true });
    return reachedState(solver);
  });
  return sharper ?? standard;
};

/**
 * Takes a fan out of a network.
 *
 * @param solution - Of the whole network, where it was solved.
 */
export const demandOf = (layout: Layout, fan: FanOutline, solution: Solution | undefined): Demand => {
  // The fan's branch is cut off where it begins: what enters the network there is imposed, and the pressure on both sides
  // of the cut differs by what the fan gives too little.
  const system = assemble(layout, { cut: fan.from });
  const { equations, elements } = system;
  const network = layout.elements;
  const before = layout.placeAt(fan.from).point;
  const cut = elements.cutPoint as number;
  for (const point of [before, cut]) {
    if (hasReference(equations, point)) continue;
    const expected = "a fan whose air has a way back that does not lead through the fan";
    const found = `'${fan.name}', with no network upstream or downstream of it`;
    throw new InputError([problemOf("fan.no-way-round", "fanName", expected, found)]);
  }
  const { density } = layout.airIn(layout.placeAt(fan.at).duct(0));
  const position = network.nodes.indexOf(nodeOf(network, fan));
  const solver = solverOf(equations);
  const missing = ({ pressure }: Answer): number => pressure[cut] - pressure[before];
  const isBeyond = (answer: Answer): boolean => Math.abs(missing(answer)) > mostPressure;
  const reported = (answer: Answer): FanResult => {
    const state = emptySolution({ iterations: 0, massResidual: 0, pressureResidual: 0 });
    elements.report(position, answer, state);
    return state.fans[fan.name];
  };
  // Its unit may run it at another speed than its own, or not at all.
  const { startFlow, fixedPressure } = equations;
  const cold: Answer = { massFlow: startFlow, pressure: fixedPressure, speed: equations.startSpeeds() };
  const { speed } = reported(cold);
  const { curve } = partOf(network, fan);

  const needAt = (flow: number, solve: () => Convergence): Need => {
    equations.inflow[before] = -flow * density;
    equations.inflow[cut] = flow * density;
    let iterations = 0;
    try {
      ({ iterations } = solve());
    } catch (error) {
      // Pressures may be so high that their rounding is above the tolerance.
      if (!(error instanceof SolveError) || !isBeyond(solver)) throw error;
    }
    if (isBeyond(solver)) throw shutError(equations, solver, iterations);
    const state = sharpened(solver);
    return { flow, pressure: reported(state).totalPressure + missing(state), state };
  };
  const at = (flow: number): Need => needAt(flow, () => solveFrom(solver, undefined, limitsOf()));
  const following = (state: Answer, flow: number): Need =>
    needAt(flow, () => {
      solver.startFrom(state);
      return solver.solve({ ...limitsOf({ maxIterations: stepsFollowing }), following: true });
    });
  const inSolved = (known: Solution): Need => {
    const start = resumed(system, known);
    start.pressure[cut] = start.pressure[before];
    return following(start, known.fans[fan.name].flow);
  };
  return {
    solved: solution && undefinedIfUnsolved(() => inSolved(solution)),
    at,
    from: (near, flow) => following(near?.state ?? cold, flow),
    fan: curve === undefined || speed === 0 ? undefined : fanReadingOf(curve).data?.at(speed, density),
  };
};
