import { InputError, problemOf, SolveError } from "../core/errors.js";
import type { SystemPoint } from "../fans/intersections.js";
import type { FanModel } from "../fans/model.js";
import { assemble } from "./assemble.js";
import type { Network } from "./document.js";
import type { Equations } from "./equations.js";
import type { FanPart } from "./fan-part.js";
import type { FanOutline } from "./kinds/kind.js";
import type { NetworkNode } from "./kinds/list.js";
import { readingOf } from "./known-curves.js";
import { nodeIdOf } from "./plan.js";
import type { FanResult } from "./results.js";
import type { Answer } from "./site.js";
import { emptySolution, limitsOf, solveFrom, solveNetwork } from "./solve.js";
import { type NetworkSolver, solverOf } from "./solver-of.js";

/** What a network needs of its fan at a flow, and the state in which it does. */
export interface Need extends SystemPoint {
  readonly state: Answer;
}

/** A network without one of its fans, ready to say what it needs of it. */
export interface Demand {
  /**
   * Total pressure needed at a flow of the fan [m³/s], found from that at another flow or from the cold start.
   *
   * @throws SolveError where there is no answer, or none within `mostPressure`.
   */
  at(flow: number, near?: Need): Need;
  /** The fan by its own curve; undefined where it stands still. */
  readonly fan: FanModel | undefined;
}

/**
 * Pressure beyond which nothing is said of a network [Pa]: no fan gives it, air is then no longer of one density, and it is
 * what things that are shut ask for (a backdraught damper at 50 l/s takes 1e8 Pa or more by its law).
 */
const mostPressure = 1e5;
/**
 * Tolerances of the solver, in the order in which they are tried. Where a fan meets a system is to be as sharp as rounding
 * allows; steep laws and high pressures round too coarsely for that, and then the standard is met.
 */
const tolerances = [1e-4, 1];
/** Steps of flow in which a state is followed where one step loses it: steep laws may lie between. */
const shorterSteps = 16;

const nodeOf = (network: Network, { name }: FanOutline): NetworkNode =>
  network.nodes.find(({ id }) => id === nodeIdOf(name)) as NetworkNode;

const partOf = (network: Network, fan: FanOutline): FanPart =>
  fan.keys.reduce<object>((held, key) => held[key as never], nodeOf(network, fan)) as FanPart;

/** The network with other keys of one of its fans. */
const withFan = (network: Network, fan: FanOutline, part: FanPart): Network => {
  const put = (held: object, [key, ...rest]: readonly string[]): object =>
    key === undefined ? { ...held, ...part } : { ...held, [key]: put(held[key as never], rest) };
  const node = nodeOf(network, fan);
  return {
    ...network,
    nodes: network.nodes.map((one) => (one === node ? (put(node, fan.keys) as NetworkNode) : one)),
  };
};

/** The network with the fan at a fixed speed: that which its controller, if it has one, finds. */
export const atFixedSpeed = (network: Network, fan: FanOutline): Network => {
  const part = partOf(network, fan);
  if (part.control === undefined) return network;
  const { airHandlers, fans } = solveNetwork(network);
  // Frost protection will leave of a fixed speed what it left of the set value.
  const left = fan.service === "supply" ? (airHandlers[nodeIdOf(fan.name)].frostSpeedFactor ?? 1) : 1;
  const speed = fans[fan.name].speed / left;
  return withFan(network, fan, { ...part, speed, setting: undefined, control: undefined });
};

/** Whether branches lead from a point to one of given pressure. */
const hasReference = ({ from, to, freeIndex }: Equations, start: number): boolean => {
  const beside = new Map<number, number[]>();
  const join = (one: number, other: number): void => {
    const already = beside.get(one);
    if (already === undefined) beside.set(one, [other]);
    else already.push(other);
  };
  for (let e = 0; e < from.length; e++) {
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

/** Solves within the sharpest tolerance that can be met; returns the steps taken. */
const settle = (solver: NetworkSolver, start: Answer | undefined): number => {
  const [sharp, standard] = tolerances.map((tolerance) => limitsOf({ tolerance }));
  try {
    return solveFrom(solver, start, sharp).iterations;
  } catch (error) {
    if (!(error instanceof SolveError)) throw error;
    return solveFrom(solver, start, standard).iterations;
  }
};

/** A network that asks for more than any fan gives, with the element that takes most of it. */
const shutError = ({ branches, from, to, names }: Equations, { pressure }: Answer, iterations: number): SolveError => {
  const fall = (branch: number): number => Math.abs(pressure[from[branch]] - pressure[to[branch]]);
  let worst = 0;
  for (let e = 1; e < branches; e++) if (fall(e) > fall(worst)) worst = e;
  const name = names.branch(worst);
  const message = `The network takes more than ${mostPressure} Pa, as where something is shut against the air: most of it is lost in '${name}'`;
  return new SolveError("stalled", message, {
    iterations,
    worstDuct: name,
    tried: ["the flow imposed in the fan's place"],
  });
};

/** Takes a fan out of a network. */
export const demandOf = (network: Network, fan: FanOutline): Demand => {
  // The fan's branch is cut off where it begins: what enters the network there is imposed, and the pressure on both sides
  // of the cut differs by what the fan gives too little.
  const { plan, equations, elements } = assemble(network, { cut: fan.from });
  const before = plan.placeAt(fan.from).point;
  const cut = elements.cutPoint as number;
  for (const point of [before, cut]) {
    if (hasReference(equations, point)) continue;
    const expected = "a fan whose air has another way back than through itself";
    const found = `'${fan.name}', before or behind which the network ends`;
    throw new InputError([problemOf("fan.no-way-round", "fanName", expected, found)]);
  }
  const { density } = plan.airIn(plan.placeAt(fan.at).duct(0));
  const position = network.nodes.indexOf(nodeOf(network, fan));
  const solver = solverOf(equations);
  const missing = (): number => solver.pressure[cut] - solver.pressure[before];
  const reported = (answer: Answer): FanResult => {
    const state = emptySolution({ iterations: 0, massResidual: 0, pressureResidual: 0 });
    elements.report(position, answer, state);
    return state.fans[fan.name];
  };
  // Its unit may run it at another speed than its own, or not at all.
  const { startFlow: massFlow, fixedPressure: pressure } = equations;
  const { speed } = reported({ massFlow, pressure, speed: equations.startSpeeds() });
  const { curve } = partOf(network, fan);
  const isBeyond = (): boolean => Math.abs(missing()) > mostPressure;
  const needAt = (flow: number, start: Answer | undefined): Need => {
    equations.inflow[before] = -flow * density;
    equations.inflow[cut] = flow * density;
    let iterations = 0;
    try {
      iterations = settle(solver, start);
    } catch (error) {
      // Pressures may be so high that their rounding is above the tolerance.
      if (!isBeyond()) throw error;
    }
    if (isBeyond()) throw shutError(equations, solver, iterations);
    const { massFlow, pressure, speed } = solver;
    const state = { massFlow: massFlow.slice(), pressure: pressure.slice(), speed: speed.slice() };
    return { flow, pressure: reported(solver).totalPressure + missing(), state };
  };
  return {
    at: (flow, near) => {
      try {
        return needAt(flow, near?.state);
      } catch (error) {
        if (near === undefined || !(error instanceof SolveError) || isBeyond()) throw error;
        let need = near;
        for (let i = 1; i < shorterSteps; i++) {
          need = needAt(near.flow + ((flow - near.flow) * i) / shorterSteps, need.state);
        }
        return needAt(flow, need.state);
      }
    },
    fan: curve === undefined || speed === 0 ? undefined : readingOf(curve).data?.at(speed, density),
  };
};
