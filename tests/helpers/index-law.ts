import {
  checkNetwork,
  type IndexRun,
  InputError,
  indexRun,
  type NetworkDocument,
  type PathStep,
  type Solution,
  SolveError,
  solveNetwork,
} from "../../src/index.js";

/*
 * What an index run promises, held against whole networks solved with a fan of the pressure that it found: nothing here
 * knows how it was found.
 */

// biome-ignore lint/suspicious/noExplicitAny: documents are taken apart by keys that the generator wrote
type Loose = any;

const gravity = 9.80665;

/** Where a place or port stands in a solution, and its pressure there. */
const pressureAt = ({ nodes }: Solution, end: string): number => {
  const [id, port] = end.split(".");
  const found = port === undefined ? nodes[id].totalPressure : nodes[id].ports?.[port].totalPressure;
  if (found === undefined) throw new Error(`no pressure at '${end}'`);
  return found;
};

/** What a terminal faces at its own height, airs being given by density. */
const faced = (document: Loose, solution: Solution, terminal: Loose): number => {
  if (terminal.room === undefined) return 0;
  const room = document.nodes.find(({ id }: Loose) => id === terminal.room);
  const rise = (terminal.elevation ?? 0) - (room.elevation ?? 0);
  const column = (document.air.density - (document.outdoorAir ?? document.air).density) * gravity * rise;
  return (solution.nodes[terminal.room].totalPressure ?? 0) - column;
};

/** A fan of a document, with what says how it runs. */
interface FanOf {
  readonly name: string;
  readonly part: Loose;
  readonly inlet: string;
  readonly outlet: string;
}

/** All fans of a document, those of air handlers included. */
export const fansOf = (network: NetworkDocument): FanOf[] =>
  (network as Loose).nodes.flatMap((node: Loose): FanOf[] => {
    const { id, kind } = node;
    if (kind === "fan") return [{ name: id, part: node, inlet: `${id}.inlet`, outlet: `${id}.outlet` }];
    if (kind !== "airHandler") return [];
    const sides = [
      ["supply", "intake", "supply"],
      ["extract", "extract", "exhaust"],
    ].filter(([side]) => node[side] !== undefined);
    return sides.map(([side, inlet, outlet]) => ({
      name: `${id}.${side}`,
      part: node[side].fan,
      inlet: `${id}.${inlet}`,
      outlet: `${id}.${outlet}`,
    }));
  });

/** Faults of a path through one terminal: each step against the solution, both ends against what they reach. */
export const pathFaults = (
  network: NetworkDocument,
  solution: Solution,
  id: string,
  path: readonly PathStep[],
): string[] => {
  const document = network as Loose;
  const faults: string[] = [];
  const pressures = Object.keys(solution.nodes).flatMap((node) => {
    const { ports, totalPressure = 0 } = solution.nodes[node];
    return [totalPressure, ...Object.values(ports ?? {}).map((port) => port.totalPressure)];
  });
  const near = 1e-6 * Math.max(1, ...pressures.map(Math.abs));
  const same = (what: string, found: number, expected: number): void => {
    if (!(Math.abs(found - expected) <= near)) faults.push(`${id}: ${what} ${found} instead of ${expected}`);
  };
  const terminalOf = (name: string): Loose =>
    document.nodes.find((node: Loose) => node.kind === "terminal" && node.id === name);
  const terminalIn = (step: string): Loose =>
    step.startsWith("terminals.") ? terminalOf(step.slice(step.indexOf(".") + 1)) : undefined;
  /** Its own valve, or that of another terminal by which the air comes from a room or goes to one. */
  const isValve = (i: number): boolean => i > 0 && terminalIn(path[i].path) !== undefined;
  const fans = new Map(fansOf(network).map((fan) => [fan.name, fan]));
  const endsOf = (duct: string): readonly [before: string, after: string] => {
    const { from, to } = document.ducts.find(({ id: one }: Loose) => one === duct);
    return solution.ducts[duct].massFlow > 0 ? [from, to] : [to, from];
  };
  /** Where the air has come to with the step just done. */
  let at: string | undefined;
  path.forEach(({ path: step, loss, totalPressure }, i) => {
    const [list, ...rest] = step.split(".");
    const name = rest.join(".");
    if (i > 0) same(`after ${step}`, totalPressure, path[i - 1].totalPressure - loss);
    if (i === 0) {
      const first = path.length > 1 && isValve(1) ? terminalIn(path[1].path) : undefined;
      if (first !== undefined) {
        const place = first.room === undefined ? `terminals.${first.id}` : `nodes.${first.room}`;
        if (step !== place) faults.push(`${id}: begins at ${step} instead of ${place}`);
        same(`begins at ${step}`, totalPressure, faced(document, solution, first));
      } else {
        if (terminalOf(name) !== undefined && path.length > 2) faults.push(`${id}: begins at a valve, not in its room`);
        const node = solution.nodes[name];
        at = node.totalPressure === undefined ? undefined : name;
        same(`begins at ${step}`, totalPressure, node.totalPressure ?? totalPressure);
      }
      return;
    }
    if (isValve(i)) {
      if (i > 1 && i !== path.length - 1) faults.push(`${id}: goes on after the valve ${step}`);
      if (i > 1 && at !== undefined && at !== name) faults.push(`${id}: ${step} does not begin at ${at}`);
      at = i === 1 ? name : undefined;
      const reached = i === 1 ? pressureAt(solution, name) : faced(document, solution, terminalOf(name));
      same(`valve ${step}`, totalPressure, reached);
      return;
    }
    if (list === "ducts") {
      const [before, after] = endsOf(name);
      if (at !== undefined && at !== before) faults.push(`${id}: ${step} begins at ${before}, not at ${at}`);
      at = after;
    } else if (list === "fans") {
      const { inlet, outlet } = fans.get(name) as FanOf;
      const [before, after] = solution.fans[name].massFlow > 0 ? [inlet, outlet] : [outlet, inlet];
      if (at !== before) faults.push(`${id}: ${step} does not begin at ${at}`);
      at = after;
    } else if (list === "nodes" && at?.startsWith(`${name}.`)) {
      // Through a tee, to the leg by which the path goes on.
      [at] = endsOf(path[i + 1].path.slice("ducts.".length));
      if (!at.startsWith(`${name}.`)) faults.push(`${id}: goes on from ${step} at ${at}`);
    } else faults.push(`${id}: unknown step ${step}`);
    if (at !== undefined) same(`after ${step}`, totalPressure, pressureAt(solution, at));
  });
  if (path.length > 1 && !path.some((step, i) => isValve(i) && step.path === `terminals.${id}`))
    faults.push(`${id}: no valve`);
  if (at !== undefined && path.length > 2 && terminalOf(at) !== undefined)
    faults.push(`${id}: ends before the valve of ${at}`);
  return faults;
};

/** What a regulator needs for a flow: as open below its band, its least pressure in it, as far shut as it goes above. */
const need = ({ flow, minPressure, maxPressure, accuracy }: Loose, q: number): number => {
  const [low, high] = [(1 - accuracy) * flow, (1 + accuracy) * flow];
  if (q > high) return maxPressure * (q / high) ** 2;
  return q < low ? minPressure * (q / low) ** 2 : minPressure;
};

/** Pressure drop of a terminal at design flow, fully open, its regulator included. */
const openLoss = ({ designFlow, loss, open = loss, regulator }: Loose): number =>
  open.pressure * (designFlow / open.flow) ** (open.exponent ?? 2) +
  (regulator === undefined ? 0 : need(regulator, designFlow));

/** Lets regulators in the ducts to some terminals take what they need for the design flows, and no more. */
const relieve = (document: Loose, terminals: readonly Loose[]): void => {
  for (const { id, designFlow } of terminals) {
    const ducts = document.ducts.filter(({ from, to }: Loose) => from === id || to === id);
    for (const duct of ducts.filter(({ fittings }: Loose) => fittings !== undefined)) {
      duct.fittings = duct.fittings.map((fitting: Loose) =>
        fitting.kind === "regulator"
          ? { kind: "rating", pressure: need(fitting, designFlow), flow: designFlow }
          : fitting,
      );
    }
  }
};

/** The document with a fan of one pressure, and neutral rooms. */
const withPressure = (network: NetworkDocument, fan: string, pressure: number): NetworkDocument => {
  const document = structuredClone(network) as Loose;
  for (const node of document.nodes) if (node.kind === "room") node.pressure ??= 0;
  for (const { name, part } of fansOf(document)) {
    if (name !== fan) continue;
    const points = [
      { flow: 0, pressure: pressure + 1e-6 },
      { flow: 1, pressure: pressure - 1e-6 },
    ];
    part.curve = { pressureKind: "total", points };
    delete part.control;
    delete part.speed;
  }
  return document;
};

/** The same with the pressure and the valves that an index run asks for. */
export const balancedBy = (
  network: NetworkDocument,
  { fan, requiredPressure, terminals }: IndexRun,
): NetworkDocument => {
  const document = withPressure(network, fan, requiredPressure) as Loose;
  const excesses = new Map(terminals.map(({ terminal, excess }) => [terminal, excess]));
  for (const node of document.nodes) {
    const excess = excesses.get(node.id);
    if (excess === undefined) continue;
    node.loss = { pressure: openLoss(node) + excess, flow: node.designFlow };
    delete node.regulator;
  }
  relieve(
    document,
    document.nodes.filter(({ id }: Loose) => excesses.has(id)),
  );
  return document;
};

/** What came of asking for an index run. */
export type Asked =
  | { readonly kind: "held"; readonly run: IndexRun; readonly beside: Beside; readonly faults: readonly string[] }
  | { readonly kind: "needless"; readonly faults: readonly string[] }
  | { readonly kind: "refused"; readonly why: string };

/** Points that supply air goes on to after a fan, or from which extract air comes to it, up to where it rests. */
const passedPoints = (document: Loose, solution: Solution, fan: string, service: "supply" | "extract"): Set<string> => {
  const least = 1e-6 * Math.max(...Object.values(solution.ducts).map(({ massFlow }) => Math.abs(massFlow)));
  const links: (readonly [from: string, to: string])[] = [];
  const link = (from: string, to: string, massFlow: number): void => {
    if (Math.abs(massFlow) > least) links.push(massFlow > 0 ? [from, to] : [to, from]);
  };
  for (const { id, from, to } of document.ducts) link(from, to, solution.ducts[id].massFlow);
  const fans = fansOf(document);
  for (const { name, inlet, outlet } of fans) if (name !== fan) link(inlet, outlet, solution.fans[name].massFlow);
  for (const { id, kind } of document.nodes) {
    if (kind !== "tee") continue;
    const intoTee = (port: string): number =>
      document.ducts.reduce((sum: number, { id: duct, from, to }: Loose) => {
        const { massFlow } = solution.ducts[duct];
        return sum + (to === port ? massFlow : 0) - (from === port ? massFlow : 0);
      }, 0);
    for (const leg of ["a", "b", "branch"]) link(`${id}.${leg}`, id, intoTee(`${id}.${leg}`));
  }
  const rests = new Set(document.nodes.filter(({ kind }: Loose) => kind === "room" || kind === "outdoors").map(idOf));
  if (!(solution.fans[fan].massFlow > least)) return new Set();
  const { inlet, outlet } = fans.find(({ name }) => name === fan) as FanOf;
  const [start, here, there] = service === "supply" ? [outlet, 0, 1] : [inlet, 1, 0];
  const reached = new Set([start]);
  for (const point of reached) {
    if (!rests.has(point)) for (const one of links) if (one[here] === point) reached.add(one[there]);
  }
  return reached;
};

const idOf = ({ id }: Loose): string => id;

/** Solved as sharply as it may be: where one of its fans has no slope, a regulator may keep a sharp solve from ending. */
const solvedSharply = (network: NetworkDocument): Solution => {
  try {
    return solveNetwork(network, { tolerance: 1e-4 });
  } catch (error) {
    if (!(error instanceof SolveError)) throw error;
    return solveNetwork(network);
  }
};

/** The network with terminals held at design flow, as junctions that take or give it. */
const withHeld = (network: NetworkDocument, terminals: readonly Loose[]): NetworkDocument => {
  const document = structuredClone(network) as Loose;
  const held = new Map(
    terminals.map(({ id, service, designFlow }) => [id, (service === "supply" ? -1 : 1) * designFlow]),
  );
  relieve(document, terminals);
  document.nodes = document.nodes.map((node: Loose) =>
    held.has(node.id)
      ? { id: node.id, kind: "junction", inflow: held.get(node.id), elevation: node.elevation ?? 0 }
      : node,
  );
  return document;
};

/** The same solved with a fan of one pressure. */
const heldAt = (network: NetworkDocument, fan: string, pressure: number, terminals: readonly Loose[]): Solution =>
  solvedSharply(withHeld(withPressure(network, fan, pressure), terminals));

/**
 * The pressure of a fan up to which none of its air reaches some terminals, near one that is given to four digits; a little
 * less than that one if its air does not begin to reach them there.
 */
const reachedFrom = (network: NetworkDocument, fan: string, pressure: number, terminals: readonly Loose[]): number => {
  const reaches = (given: number): boolean => {
    const solution = heldAt(network, fan, given, terminals);
    return terminals.some(({ id, service }) => passedPoints(network, solution, fan, service).has(id));
  };
  const size = Math.max(1, Math.abs(pressure));
  let [low, high] = [pressure - 2e-3 * size, pressure + 2e-3 * size];
  if (reaches(low) || !reaches(high)) return low;
  while (high - low > 1e-9 * size) {
    const middle = (low + high) / 2;
    if (reaches(middle)) high = middle;
    else low = middle;
  }
  return low;
};

/**
 * Faults of the statement that a fan is not needed: at the pressure that it names its terminals have enough, and up to there
 * none of the fan's air passes them, or more of its pressure does not help them.
 */
const needlessFaults = (network: NetworkDocument, fan: string, why: string): string[] => {
  const named = [...(why.match(/other fans or inflows give (.*) their design flow/)?.[1] ?? "").matchAll(/'([^']+)'/g)];
  const ids = named.map(([, id]) => id);
  const pressure = Number(why.match(/their design flow at (\S+) Pa/)?.[1]);
  if (ids.length === 0 || !Number.isFinite(pressure)) return [`says neither terminals nor pressure: ${why}`];
  const document = withPressure(network, fan, pressure) as Loose;
  const terminals = document.nodes.filter(({ id }: Loose) => ids.includes(id));
  const at = reachedFrom(network, fan, pressure, terminals);
  const [less, more] = [at - 0.1, at].map((given) => heldAt(network, fan, given, terminals));
  return terminals.flatMap((terminal: Loose) => {
    const { id, service } = terminal;
    const [least, left] = [leftIn(document, less, terminal), leftIn(document, more, terminal)];
    if (!(left >= -1e-2)) return [`${id} lacks ${-left} Pa, though other fans are said to be enough`];
    const isHelped = passedPoints(document, more, fan, service).has(id) && left - least > 1e-3;
    return isHelped ? [`${id} is helped by the fan, though it is said not to be needed`] : [];
  });
};

/** Where terminals are held at design flow, what is left at each as a function of a solution. */
const leftIn = (document: Loose, solution: Solution, terminal: Loose): number => {
  const there = pressureAt(solution, terminal.id) - faced(document, solution, terminal);
  return (terminal.service === "supply" ? there : -there) - openLoss(terminal);
};

/** The pressure of a fan at which what is left of it is 0, from another, by halves; undefined where none is near. */
const pressureWhere = (left: (pressure: number) => number, from: number): number | undefined => {
  const sign = Math.sign(left(from));
  let [near, far] = [from, from];
  for (let step = 1; Math.sign(left(far)) === sign; step *= 2) {
    if (step > 1e4) return undefined;
    [near, far] = [far, far - sign * step];
  }
  while (Math.abs(far - near) > 1e-4) {
    const middle = (near + far) / 2;
    if (Math.sign(left(middle)) === sign) near = middle;
    else far = middle;
  }
  return far;
};

/** Terminals that a run does not list, though they have air of its fan and more with more of its pressure. */
export interface Beside {
  /** As they are set. */
  readonly drawing: number;
  /** Of these, one at a time and with those listed, at design flow too: the list could have been another. */
  readonly open: number;
}

const beside = (network: NetworkDocument, { fan, requiredPressure, terminals }: IndexRun): Beside => {
  const all: Loose[] = (network as Loose).nodes.filter(({ kind }: Loose) => kind === "terminal");
  const listed = new Set(terminals.map(({ terminal }) => terminal));
  const held = all.filter(({ id }) => listed.has(id));
  const states = (pressure: number, among: readonly Loose[]): [Solution, Solution] => [
    heldAt(network, fan, pressure, among),
    heldAt(network, fan, pressure + 1, among),
  ];
  const [now, more] = states(requiredPressure, held);
  const drawing = all.filter(({ id, service, designFlow }: Loose) => {
    if (listed.has(id)) return false;
    const gain = more.terminals[id].flow - now.terminals[id].flow;
    return gain > 1e-5 * designFlow && passedPoints(network, now, fan, service).has(id);
  });
  const open = drawing.filter((terminal) => {
    // Held as well it may leave a controller of another fan no flow to change: then it cannot be listed.
    if (checkNetwork(withHeld(withPressure(network, fan, requiredPressure), [...held, terminal])).problems.length > 0)
      return false;
    const leastAt = (pressure: number): number => {
      const [state, document] = [
        heldAt(network, fan, pressure, [...held, terminal]),
        withPressure(network, fan, pressure),
      ];
      return Math.min(...held.map((one) => leftIn(document, state, one)));
    };
    const pressure = pressureWhere(leastAt, requiredPressure);
    if (pressure === undefined) return false;
    const [less, then] = states(pressure, [...held, terminal]);
    const gain = leftIn(network, then, terminal) - leftIn(network, less, terminal);
    return gain > 1e-3 && passedPoints(network, less, fan, terminal.service).has(terminal.id);
  });
  return { drawing: drawing.length, open: open.length };
};

/** Speeds from which controlled fans are sought too, where they can hold their flow in more than one state. */
const otherSpeeds = [undefined, 0.1, 0.3, 0.6] as const;

const startedAt = (network: NetworkDocument, speed: number | undefined): NetworkDocument => {
  const document = structuredClone(network) as Loose;
  for (const { part } of fansOf(document)) {
    if (speed !== undefined && part.control !== undefined) part.speed = speed;
  }
  return document;
};

const faultsOf = (network: NetworkDocument, run: IndexRun): string[] => {
  const faults: string[] = [];
  let solution: Solution;
  try {
    solution = solvedSharply(network);
  } catch (error) {
    if (!(error instanceof SolveError)) throw error;
    return [error.message];
  }
  for (const { terminal, share, excess } of run.terminals) {
    const { ratio = Number.NaN } = solution.terminals[terminal];
    if (!(Math.abs(ratio - 1) <= 1e-6)) faults.push(`${terminal} has ${ratio} of its design flow`);
    if (!(excess >= 0)) faults.push(`${terminal} has an excess of ${excess} Pa`);
    if (!(share > 0 && share <= 1)) faults.push(`${terminal} has a share of ${share}`);
  }
  if (!(solution.fans[run.fan].massFlow > 0)) faults.push("air flows back through the fan");
  if (!run.path.some(({ path }) => path === `fans.${run.fan}`)) faults.push("the path misses the fan");
  return faults.length > 0 ? faults : pathFaults(network, solution, run.terminal, run.path);
};

/** Asks for the index run of a fan and holds it against the network. */
export const judged = (document: NetworkDocument, fan: string): Asked => {
  let run: IndexRun;
  try {
    run = indexRun(document, fan);
  } catch (error) {
    if (!(error instanceof InputError || error instanceof SolveError)) throw error;
    const why = error.message;
    const isNeedless = error instanceof InputError && error.problems[0].code === "fan.not-needed";
    return isNeedless ? { kind: "needless", faults: needlessFaults(document, fan, why) } : { kind: "refused", why };
  }
  const balanced = balancedBy(document, run);
  let faults: string[] = [];
  for (const speed of otherSpeeds) {
    faults = faultsOf(startedAt(balanced, speed), run);
    if (faults.length === 0) break;
  }
  return { kind: "held", run, beside: beside(document, run), faults };
};
