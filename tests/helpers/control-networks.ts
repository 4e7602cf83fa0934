import { type NetworkDocument, parseNetwork, type Solution, SolveError, solveNetwork } from "../../src/index.js";
import { expectSolved } from "./evaluator.js";

/** A generator of numbers from 0 to 1 that always gives the same for a seed (mulberry, general numerics). */
export const randomOf = (seed: number): (() => number) => {
  let state = seed;
  return () => {
    state = (state + 0x6d2b79f5) | 0;
    let t = Math.imul(state ^ (state >>> 15), 1 | state);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 2 ** 32;
  };
};

/** Gives the next number from 0 to 1. */
export type Random = () => number;

/** A number of six digits from a range. */
export const between = (random: Random, from: number, to: number): number =>
  Number((from + (to - from) * random()).toPrecision(6));

/** Half of them near what can be reached, half from far below to far beyond it. */
export const setValue = (random: Random, usual: number): number => {
  const [least, most] = random() < 0.5 ? [-1.5, 1] : [-0.6, 0.1];
  return Number((usual * 10 ** between(random, least, most)).toPrecision(6));
};

const curveOf = (random: Random) => {
  const pressure = between(random, 100, 500);
  const flow = between(random, 0.03, 0.15);
  const start = random() < 0.25 ? 0.75 : 1.15;
  return {
    pressureKind: "total",
    points: [
      { flow: 0, pressure: start * pressure },
      { flow: 0.4 * flow, pressure },
      { flow: 0.75 * flow, pressure: 0.7 * pressure },
      { flow, pressure: 0.2 * pressure },
    ],
  };
};

/** A unit with a branching system on either side, and controllers of random kinds and set values. */
export const controlledDocument = (seed: number): NetworkDocument => {
  const random = randomOf(seed);
  const nodes: object[] = [
    { id: "in", kind: "outdoors", coefficient: 1 },
    { id: "out", kind: "outdoors", coefficient: 1 },
    { id: "room", kind: "room" },
  ];
  const ducts: object[] = [];
  const duct = (id: string, from: string, to: string, diameter: number): string => {
    const fittings = random() < 0.5 ? [{ kind: "fixed", coefficient: between(random, 0.1, 3) }] : [];
    ducts.push({ id, from, to, length: between(random, 0.5, 12), section: { diameter }, fittings });
    return id;
  };
  const main = between(random, 0.12, 0.25);
  const joined = random() < 0.5;
  duct("intake", "in", "unit.intake", main);
  duct("exhaust", "unit.exhaust", "out", main);
  const withTees = random() < 0.4;
  /** A main of meeting points with a terminal at each; half the terminals serve the room. */
  const system = (side: "supply" | "extract"): void => {
    const count = 2 + Math.floor(random() * 13);
    let last = `unit.${side}`;
    const run = (id: string, from: string, to: string, diameter: number) =>
      side === "supply" ? duct(id, from, to, diameter) : duct(id, to, from, diameter);
    for (let k = 0; k < count; k++) {
      const tee = withTees && random() < 0.7;
      const id = `${side}${k}`;
      const branch = between(random, 0.65, 1) * main;
      nodes.push(tee ? { id, kind: "tee" } : { id, kind: "junction" });
      run(`${side}-main${k}`, last, tee ? `${id}.a` : id, main);
      const terminals =
        k === count - 1 ? [tee ? `${id}.branch` : id, tee ? `${id}.b` : id] : [tee ? `${id}.branch` : id];
      terminals.forEach((from, t) => {
        const name = `${side}-t${k}-${t}`;
        const loss = { pressure: between(random, 5, 60), flow: between(random, 0.003, 0.02) };
        nodes.push({ id: name, kind: "terminal", service: side, loss, ...(joined ? { room: "room" } : {}) });
        run(`${side}-branch${k}-${t}`, from, name, Number(branch.toPrecision(6)));
      });
      last = tee ? `${id}.b` : id;
    }
  };
  system("supply");
  system("extract");
  const limits = () => ({ minSpeed: between(random, 0.05, 0.4), maxSpeed: between(random, 0.8, 1.3) });
  const controlOf = (side: "supply" | "extract", mayBalance: boolean): object | undefined => {
    const choice = random();
    const at = random() < 0.5 ? "inlet" : "outlet";
    if (mayBalance && choice < 0.4) {
      return { kind: "balance", to: "unit.supply", ratio: between(random, 0.5, 1.5), ...limits() };
    }
    if (choice < 0.6) return { kind: "flow", flow: setValue(random, 0.04), ...limits() };
    const sign = side === "supply" ? 1 : -1;
    const sensor = { duct: `${side}-main${Math.floor(random() * 2)}`, at };
    return { kind: "pressure", pressure: sign * setValue(random, 60), sensor, ...limits() };
  };
  const fan = (side: "supply" | "extract") => {
    const control = side === "supply" || random() < 0.8 ? controlOf(side, side === "extract") : undefined;
    return { curve: curveOf(random), ...(control === undefined ? {} : { control }) };
  };
  nodes.push({ id: "unit", kind: "airHandler", supply: { fan: fan("supply") }, extract: { fan: fan("extract") } });
  const openings = joined
    ? [{ id: "gap", from: "room", to: "out", coefficient: between(random, 0.001, 0.01), exponent: 0.6 }]
    : [];
  if (!joined) nodes.splice(2, 1);
  return { format: "ductgraph/1", nodes, ducts, openings } as unknown as NetworkDocument;
};

/** What came of a campaign. */
export interface ControlCampaign {
  readonly solved: number;
  /** By their controllers at a limit. */
  readonly limited: number;
  /** Seeds with the status of the refusal. */
  readonly refused: readonly string[];
  /** Wrong answers, or errors of another kind. */
  readonly wrong: readonly string[];
  /** Of those whose controllers all hold their set values. */
  readonly medianHeld: number;
  readonly mostHeld: number;
  /** Largest miss of a flow that is held, over what is allowed: 1e-9 of the largest mass flow, or 1e-12 kg/s [-] */
  readonly largestMiss: number;
  readonly medianIterations: number;
  readonly mostIterations: number;
}

/** The largest miss of a flow that is held, over 1e-9 of the largest mass flow or 1e-12 kg/s. */
const missOf = ({ ducts, fans }: Solution): number => {
  const largest = Math.max(...Object.values(ducts).map(({ massFlow }) => Math.abs(massFlow)));
  let worst = 0;
  for (const { control, flow, massFlow } of Object.values(fans)) {
    if (control === undefined || control.kind === "pressure" || control.limit !== undefined) continue;
    const density = control.kind === "flow" ? massFlow / flow : 1;
    worst = Math.max(worst, Math.abs(control.set - control.reached) * density);
  }
  return worst / Math.max(1e-9 * largest, 1e-12);
};

/** Solves the networks that a generator makes of a range of seeds; judges each answer anew. */
export const controlCampaign = (
  documentOf: (seed: number) => NetworkDocument,
  first: number,
  last: number,
): ControlCampaign => {
  const refused: string[] = [];
  const wrong: string[] = [];
  const iterations: number[] = [];
  const held: number[] = [];
  let largestMiss = 0;
  for (let seed = first; seed <= last; seed++) {
    try {
      const network = parseNetwork(documentOf(seed));
      const solution = solveNetwork(network);
      expectSolved(network, solution);
      iterations.push(solution.convergence.iterations);
      largestMiss = Math.max(largestMiss, missOf(solution));
      if (Object.values(solution.fans).every(({ control }) => control?.limit === undefined)) {
        held.push(solution.convergence.iterations);
      }
    } catch (error) {
      if (error instanceof SolveError && error.diagnostics.tried.length > 0) refused.push(`${seed}: ${error.status}`);
      else wrong.push(`${seed}: ${error instanceof Error ? error.message.slice(0, 400) : String(error)}`);
    }
  }
  iterations.sort((a, b) => a - b);
  held.sort((a, b) => a - b);
  return {
    solved: iterations.length,
    limited: iterations.length - held.length,
    refused,
    wrong,
    medianHeld: held[held.length >> 1],
    mostHeld: held[held.length - 1],
    largestMiss,
    medianIterations: iterations[iterations.length >> 1],
    mostIterations: iterations[iterations.length - 1],
  };
};

/** One line for a report. */
export const controlSummary = (what: string, first: number, last: number, found: ControlCampaign): string => {
  const statuses = found.refused.map((text) => text.split(": ")[1]);
  const count = (status: string) => statuses.filter((other) => other === status).length;
  const refusals = [...new Set(statuses)].map((status) => `${count(status)} ${status}`).join(", ") || "none";
  return `controlled ${what}, seeds ${first}–${last}: ${found.solved} solved (${found.limited} at a limit), refused: ${refusals}, iterations median ${found.medianIterations}, most ${found.mostIterations}, where all is held ${found.medianHeld} and ${found.mostHeld}`;
};
