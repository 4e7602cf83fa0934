import type { NetworkDocument } from "../../src/index.js";
import { randomOf } from "./control-networks.js";
import { openNetwork } from "./open-networks.js";

/*
 * The random networks with open ends, fitted with tees where three ducts meet, sides of air handlers in place of fans, and
 * constant-flow regulators at terminals and in the ducts to them. What is fitted comes from a random stream of its own.
 */

// biome-ignore lint/suspicious/noExplicitAny: documents are taken apart by keys that the generator wrote
type Loose = any;

/** The ends of ducts at a node or port. */
const endsAt = (document: Loose, place: string): [duct: Loose, end: "from" | "to"][] =>
  document.ducts.flatMap((duct: Loose) =>
    (["from", "to"] as const).filter((end) => duct[end] === place).map((end) => [duct, end]),
  );

/** The node as a tee, whose branch is the least of its three ducts. */
const asTee = (document: Loose, { id }: Loose, random: () => number): Loose => {
  const ends = endsAt(document, id).sort(([a], [b]) => b.section.diameter - a.section.diameter);
  for (const [i, [duct, end]] of ends.entries()) duct[end] = `${id}.${["a", "b", "branch"][i]}`;
  const model = ["gardel", "idelchik", "momentum"][Math.floor(3 * random())];
  return { id, kind: "tee", angle: 0.8 + 1.5 * random(), model };
};

/** The fan as one side of a unit, with a filter beside it. */
const asUnit = (document: Loose, { id, kind: _, ...fan }: Loose, random: () => number): Loose => {
  const { service } = document.nodes.find((node: Loose) => node.kind === "terminal" && node.id[0] === id[0]);
  const [inlet, outlet] = service === "supply" ? ["intake", "supply"] : ["extract", "exhaust"];
  for (const [duct, end] of endsAt(document, `${id}.inlet`)) duct[end] = `${id}.${inlet}`;
  for (const [duct, end] of endsAt(document, `${id}.outlet`)) duct[end] = `${id}.${outlet}`;
  const filter = { name: "filter", pressure: 10 + 40 * random(), flow: 0.1 };
  return { id, kind: "airHandler", [service]: { fan, components: [filter] } };
};

/** Puts a regulator at a terminal or in its duct: set to more than the design flow, to about as much, or to less. */
const regulate = (document: Loose, terminal: Loose, random: () => number): void => {
  const share = [0.7, 0.95, 1, 1.05, 1.4][Math.floor(5 * random())];
  const minPressure = 5 + 40 * random();
  const regulator = {
    flow: terminal.designFlow * share,
    minPressure,
    maxPressure: minPressure * (2 + 4 * random()),
    accuracy: 0.1,
  };
  if (random() < 0.5) terminal.regulator = regulator;
  else for (const [duct] of endsAt(document, terminal.id)) duct.fittings.push({ kind: "regulator", ...regulator });
};

/** The open network of a seed, fitted out. */
export const fittedNetwork = (seed: number): NetworkDocument => {
  const document = structuredClone(openNetwork(seed)) as Loose;
  const random = randomOf(seed + 1e6);
  const opened = new Set(document.openings.flatMap(({ from, to }: Loose) => [from, to]));
  document.nodes = document.nodes.map((node: Loose) => {
    const { id, inflow, kind } = node;
    const isHub = (kind === "junction" || kind === "plenum") && inflow === undefined && !opened.has(id);
    if (isHub && endsAt(document, id).length === 3 && random() < 0.8) return asTee(document, node, random);
    if (kind === "fan" && random() < 0.3) return asUnit(document, node, random);
    if (kind === "terminal" && random() < 0.3) regulate(document, node, random);
    return node;
  });
  return document as NetworkDocument;
};
