import {
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
  const terminal = document.nodes.find((node: Loose) => node.id === id);
  const inRoom = faced(document, solution, terminal);
  const valve = path.findIndex(({ path: step }, i) => step === `terminals.${id}` && (i > 0 || path.length === 1));
  /** Ends that the air has left behind: those of the step just done. */
  let at: string | undefined;
  path.forEach(({ path: step, loss, totalPressure }, i) => {
    const [list, ...rest] = step.split(".");
    const name = rest.join(".");
    if (i > 0) same(`behind ${step}`, totalPressure, path[i - 1].totalPressure - loss);
    if (i === 0) {
      if (valve === 1) same(`begins at ${step}`, totalPressure, inRoom);
      else {
        const node = solution.nodes[name];
        at = node.totalPressure === undefined ? undefined : name;
        same(`begins at ${step}`, totalPressure, node.totalPressure ?? totalPressure);
      }
      return;
    }
    if (i === valve) {
      if (valve === 1) at = id;
      else if (i !== path.length - 1) faults.push(`${id}: goes on behind its valve`);
      same(`valve ${step}`, totalPressure, valve === 1 ? pressureAt(solution, id) : inRoom);
      return;
    }
    if (list === "ducts") {
      const { from, to } = document.ducts.find((duct: Loose) => duct.id === name);
      const forward = solution.ducts[name].massFlow > 0;
      const [before, behind] = forward ? [from, to] : [to, from];
      if (at !== undefined && at !== before) faults.push(`${id}: ${step} begins at ${before}, not at ${at}`);
      at = behind;
    } else if (list === "fans") {
      const forward = solution.fans[name].massFlow > 0;
      const [before, behind] = forward ? ["inlet", "outlet"] : ["outlet", "inlet"];
      if (at !== `${name}.${before}`) faults.push(`${id}: ${step} does not begin at ${at}`);
      at = `${name}.${behind}`;
    } else faults.push(`${id}: unknown step ${step}`);
    if (at !== undefined) same(`behind ${step}`, totalPressure, pressureAt(solution, at));
  });
  if (path.length > 1 && valve < 0) faults.push(`${id}: no valve`);
  return faults;
};

/** What a terminal loses at design flow, fully open. */
const openLoss = ({ designFlow, loss, open = loss }: Loose): number =>
  open.pressure * (designFlow / open.flow) ** (open.exponent ?? 2);

/** The document with a fan of one pressure, and neutral rooms. */
const withPressure = (network: NetworkDocument, fan: string, pressure: number): NetworkDocument => {
  const document = structuredClone(network) as Loose;
  for (const node of document.nodes) {
    if (node.kind === "room") node.pressure ??= 0;
    if (node.id !== fan) continue;
    const points = [
      { flow: 0, pressure: pressure + 1e-6 },
      { flow: 1, pressure: pressure - 1e-6 },
    ];
    node.curve = { pressureKind: "total", points };
    delete node.control;
    delete node.speed;
  }
  return document;
};

/** The same with the pressure and the valves that an index run asks for. */
export const balancedBy = (
  network: NetworkDocument,
  { fan, requiredPressure, terminals }: IndexRun,
): NetworkDocument => {
  const document = withPressure(network, fan, requiredPressure) as Loose;
  const shortfalls = new Map(terminals.map(({ terminal, shortfall }) => [terminal, shortfall]));
  for (const node of document.nodes) {
    const shortfall = shortfalls.get(node.id);
    if (shortfall !== undefined) node.loss = { pressure: openLoss(node) + shortfall, flow: node.designFlow };
  }
  return document;
};

/** What came of asking for an index run. */
export type ElementProblem =
  | { readonly kind: "held"; readonly run: IndexRun; readonly faults: readonly string[] }
  | { readonly kind: "needless"; readonly faults: readonly string[] }
  | { readonly kind: "refused"; readonly why: string };

/** Points that supply air goes on to behind a fan, or from which extract air comes to it, up to where it rests. */
const passedPoints = (document: Loose, solution: Solution, fan: string, service: "supply" | "extract"): Set<string> => {
  const least = 1e-6 * Math.max(...Object.values(solution.ducts).map(({ massFlow }) => Math.abs(massFlow)));
  const links: (readonly [from: string, to: string])[] = [];
  const link = (from: string, to: string, massFlow: number): void => {
    if (Math.abs(massFlow) > least) links.push(massFlow > 0 ? [from, to] : [to, from]);
  };
  for (const { id, from, to } of document.ducts) link(from, to, solution.ducts[id].massFlow);
  for (const [id, { massFlow }] of Object.entries(solution.fans)) {
    if (id !== fan) link(`${id}.inlet`, `${id}.outlet`, massFlow);
  }
  const rests = new Set(document.nodes.filter(({ kind }: Loose) => kind === "room" || kind === "outdoors").map(idOf));
  if (!(solution.fans[fan].massFlow > least)) return new Set();
  const [start, here, there] = service === "supply" ? [`${fan}.outlet`, 0, 1] : [`${fan}.inlet`, 1, 0];
  const reached = new Set([start]);
  for (const point of reached) {
    if (!rests.has(point)) for (const one of links) if (one[here] === point) reached.add(one[there]);
  }
  return reached;
};

const idOf = ({ id }: Loose): string => id;

/** The network solved with a fan of one pressure and terminals held at design flow as junctions that take or give it. */
const heldAt = (network: NetworkDocument, fan: string, pressure: number, terminals: readonly Loose[]): Solution => {
  const document = withPressure(network, fan, pressure) as Loose;
  const held = new Map(
    terminals.map(({ id, service, designFlow }) => [id, (service === "supply" ? -1 : 1) * designFlow]),
  );
  document.nodes = document.nodes.map((node: Loose) =>
    held.has(node.id) ? { id: node.id, kind: "junction", inflow: held.get(node.id) } : node,
  );
  return solveNetwork(document, { tolerance: 1e-3 });
};

/**
 * Faults of the statement that a fan is not needed: just below the pressure that it names its terminals have enough, and
 * none of the fan's air passes them, or more of its pressure does not help them.
 */
const needlessFaults = (network: NetworkDocument, fan: string, why: string): string[] => {
  const named = [
    ...(why.match(/without it, other fans give (.*) their design flow/)?.[1] ?? "").matchAll(/'([^']+)'/g),
  ];
  const ids = named.map(([, id]) => id);
  const pressure = Number(why.match(/up to (\S+) Pa/)?.[1]);
  if (ids.length === 0 || !Number.isFinite(pressure)) return [`says neither terminals nor pressure: ${why}`];
  const document = withPressure(network, fan, pressure) as Loose;
  const terminals = document.nodes.filter(({ id }: Loose) => ids.includes(id));
  const below = pressure - 2e-3 * Math.max(1, Math.abs(pressure));
  const [less, more] = [below - 0.1, below].map((given) => heldAt(network, fan, given, terminals));
  const leftIn = (solution: Solution, terminal: Loose): number => {
    const there = pressureAt(solution, terminal.id) - faced(document, solution, terminal);
    return (terminal.service === "supply" ? there : -there) - openLoss(terminal);
  };
  return terminals.flatMap((terminal: Loose) => {
    const { id, service } = terminal;
    const [least, left] = [leftIn(less, terminal), leftIn(more, terminal)];
    if (!(left >= -1e-2)) return [`${id} lacks ${-left} Pa, though other fans are said to be enough`];
    const isHelped = passedPoints(document, more, fan, service).has(id) && left - least > 1e-3;
    return isHelped ? [`${id} is helped by the fan, though it is said not to be needed`] : [];
  });
};

/** Speeds from which controlled fans are sought too, where they can hold their flow in more than one state. */
const otherSpeeds = [undefined, 0.1, 0.3, 0.6] as const;

const startedAt = (network: NetworkDocument, speed: number | undefined): NetworkDocument => {
  const document = structuredClone(network) as Loose;
  for (const node of document.nodes) if (speed !== undefined && node.control !== undefined) node.speed = speed;
  return document;
};

const faultsOf = (network: NetworkDocument, run: IndexRun): string[] => {
  const solution = solveNetwork(network, { tolerance: 1e-4 });
  const faults: string[] = [];
  for (const { terminal, share, shortfall } of run.terminals) {
    const { ratio = Number.NaN } = solution.terminals[terminal];
    if (!(Math.abs(ratio - 1) <= 1e-6)) faults.push(`${terminal} has ${ratio} of its design flow`);
    if (!(shortfall >= 0)) faults.push(`${terminal} has a shortfall of ${shortfall} Pa`);
    if (!(share > 0 && share <= 1)) faults.push(`${terminal} has a share of ${share}`);
  }
  if (!(solution.fans[run.fan].massFlow > 0)) faults.push("air flows back through the fan");
  if (!run.path.some(({ path }) => path === `fans.${run.fan}`)) faults.push("the path misses the fan");
  return faults.length > 0 ? faults : pathFaults(network, solution, run.terminal, run.path);
};

/** Asks for the index run of a fan and holds it against the network. */
export const judged = (document: NetworkDocument, fan: string): ElementProblem => {
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
  return { kind: "held", run, faults };
};
