import { SymmetricPatternLU } from "../../numerics/lu.js";
import type { FanOutline } from "../elements/kinds/kind.js";
import { kindOf, type NetworkNode } from "../elements/kinds/list.js";
import { isTerminal, type TerminalNode } from "../elements/kinds/terminal.js";
import { type Layout, nodeIdOf } from "../layout/layout.js";
import type { System } from "../solve/assemble.js";

/** Share of a terminal's air from which it counts as passing a fan: less is what the tolerance leaves [-] */
export const leastShare = 1e-6;
/** Share of the largest flow that circulating air loses where all of it goes round for ever [-] */
const leastLost = 1e-12;

/** Terminals that ducts, fans and other passages join to a fan without passing a place of rest. */
export const terminalsJoined = (layout: Layout, fan: FanOutline): TerminalNode[] => {
  const terminals: TerminalNode[] = [];
  const reached = new Set([fan.from, fan.to]);
  // A set grows while it is walked through: each end is visited once.
  for (const end of reached) {
    const node = layout.node(nodeIdOf(end)) as NetworkNode;
    if (isTerminal(node)) terminals.push(node);
    if (kindOf(node).endsPaths) continue;
    const isPort = (name: string): boolean => name.startsWith(`${node.id}.`);
    for (const { from, to } of kindOf(node).links(node)) {
      if ((from === end || to === end) && isPort(from) && isPort(to)) reached.add(from).add(to);
    }
    for (const { from, to } of layout.ductsAt(end)) reached.add(from === end ? to : from);
  }
  return terminals;
};

/** How the air of a fan goes through its network in a state: by point, the share of the air there that is the fan's. */
export interface FanAir {
  /** Which has passed the fan at least once. */
  readonly after: Float64Array;
  /** Which is still to pass it. */
  readonly before: Float64Array;
}

/** The point from which the air of a branch comes, and that to which it goes; with the flow or, −1, against it. */
const endsIn = (
  { equations: { from, to } }: System,
  massFlow: Float64Array,
  sign: 1 | -1,
): ((branch: number) => readonly [from: number, to: number]) => {
  return (e) => (sign * massFlow[e] > 0 ? [from[e], to[e]] : [to[e], from[e]]);
};

/** Whether air comes to rest at a point: from there on it no longer counts as air of the fan. */
const restsAt = ({ layout: { connectivity } }: System, point: number): boolean =>
  point >= connectivity.nodeOf.length || connectivity.kinds[connectivity.nodeOf[point]].endsPaths;

/** Shares of a fan's air by point; streams that meet mix in proportion to their flows. */
const sharesOf = (system: System, massFlow: Float64Array, fan: number, sign: 1 | -1): Float64Array => {
  const { branches, inflow, points } = system.equations;
  const shares = new Float64Array(points);
  if (!(massFlow[fan] > 0)) return shares;
  const endsOf = endsIn(system, massFlow, sign);
  const rests = Array.from({ length: points }, (_, point) => restsAt(system, point));
  const first = new Int32Array(branches + points).fill(-1);
  const second = new Int32Array(branches + points);
  const arriving = inflow.map((mass) => Math.max(sign * mass, 0));
  for (let e = 0; e < branches; e++) {
    const [source, target] = endsOf(e);
    first[e] = rests[source] ? -1 : source;
    second[e] = rests[target] ? -1 : target;
    arriving[target] += Math.abs(massFlow[e]);
  }
  for (let point = 0; point < points; point++) second[branches + point] = point;
  const factors = new SymmetricPatternLU(points, first, second);
  const { secondFirst, secondSecond, values } = factors;
  const largest = arriving.reduce((most, mass) => Math.max(most, mass), 0);
  // At every point arriving·share = Σ flow·(share where it comes from). Air that only circulates has none: it loses some.
  for (const lost of [0, leastLost * largest]) {
    values.fill(0);
    shares.fill(0);
    for (let e = 0; e < branches; e++) {
      const mass = Math.abs(massFlow[e]);
      values[secondSecond[e]] += mass;
      if (e !== fan) values[secondFirst[e]] -= mass;
      else if (second[e] >= 0) shares[second[e]] = mass;
    }
    for (let point = 0; point < points; point++) {
      const known = rests[point] || arriving[point] === 0;
      values[secondSecond[branches + point]] += known ? 1 : Math.max(sign * inflow[point], 0) + lost;
    }
    if (factors.factor()) break;
  }
  factors.solve(shares);
  return shares.map((share) => Math.min(Math.max(share, 0), 1));
};

/** Follows the air of a fan, with the flow and against it; there is none where none flows forward through the fan. */
export const fanAirIn = (system: System, massFlow: Float64Array, fan: number): FanAir => ({
  after: sharesOf(system, massFlow, fan, 1),
  before: sharesOf(system, massFlow, fan, -1),
});

/** The share of a terminal's air that passes the fan. */
export const shareOf = ({ layout }: System, { after, before }: FanAir, { id, service }: TerminalNode): number =>
  (service === "supply" ? after : before)[layout.placeAt(id).point];

/** Points from which air flows on to some others, these included; or, −1, to which it flows from them. */
const pointsTo = (system: System, massFlow: Float64Array, targets: readonly number[], sign: 1 | -1): Set<number> => {
  const { branches, points } = system.equations;
  const endsOf = endsIn(system, massFlow, sign);
  const sources: number[][] = Array.from({ length: points }, () => []);
  for (let e = 0; e < branches; e++) {
    const [source, target] = endsOf(e);
    if (massFlow[e] !== 0) sources[target].push(source);
  }
  const reached = new Set(targets);
  for (const point of reached) if (!restsAt(system, point)) for (const source of sources[point]) reached.add(source);
  return reached;
};

/** The ducts on the ways of a fan's air to supply terminals, and from extract terminals. */
export const ductsOnWay = (
  system: System,
  massFlow: Float64Array,
  { after, before }: FanAir,
  terminals: readonly TerminalNode[],
): Set<string> => {
  const { layout, equations } = system;
  const pointsOf = (service: TerminalNode["service"]): number[] =>
    terminals.filter((terminal) => terminal.service === service).map(({ id }) => layout.placeAt(id).point);
  const [supplied, extracted] = [pointsOf("supply"), pointsOf("extract")];
  const toSupplied = pointsTo(system, massFlow, supplied, 1);
  const fromExtracted = pointsTo(system, massFlow, extracted, -1);
  const endsOf = endsIn(system, massFlow, 1);
  const found = new Set<string>();
  for (let e = 0; e < equations.branches; e++) {
    const [from, to] = endsOf(e);
    const isAfter = after[from] > leastShare && (extracted.length > 0 || toSupplied.has(to));
    const isBefore = before[to] > leastShare && (supplied.length > 0 || fromExtracted.has(from));
    if (isAfter || isBefore) found.add(equations.names.branch(e));
  }
  return found;
};
