import type { NetworkDocument } from "../../src/index.js";
import { between, type Random, randomOf } from "./control-networks.js";

/** A falling curve, so that each fixed speed has one state. */
const curveOf = (random: Random) => {
  const pressure = between(random, 100, 500);
  const flow = between(random, 0.05, 0.25);
  return {
    pressureKind: "total",
    points: [
      { flow: 0, pressure },
      { flow: 0.5 * flow, pressure: between(random, 0.6, 0.9) * pressure },
      { flow, pressure: 0 },
    ],
  };
};

/**
 * A leaky room between a fan that supplies and one that extracts, one or both controlled, with set values near what can be
 * reached. Each controller may sense what the other's fan does, or follow its flow: then one of them alone turns another
 * way than both together, and states with all set values beside such with a fan at a limit are common.
 *
 * @param mark - Stands after every id.
 */
export const controlledRoom = (seed: number, mark = ""): NetworkDocument => {
  const random = randomOf(seed);
  const [entry, outlet, room, gap] = ["in", "out", "room", "gap"].map((name) => name + mark);
  const duct = (id: string, from: string, to: string, length: number) => {
    const fittings = random() < 0.5 ? [{ kind: "fixed", coefficient: between(random, 0.1, 3) }] : [];
    return { id: id + mark, from, to, length, section: { diameter: between(random, 0.12, 0.2) }, fittings };
  };
  const ducts = [
    duct("intake", entry, `S${mark}.inlet`, 3),
    duct("supply", `S${mark}.outlet`, room, between(random, 3, 20)),
    duct("extract", room, `E${mark}.inlet`, between(random, 3, 20)),
    duct("exhaust", `E${mark}.outlet`, outlet, 3),
  ];
  const both = random() < 0.8;
  const alone = random() < 0.5 ? "S" : "E";
  // What is held must not follow from what the other holds, and balances not from each other.
  const held = new Set<string>();
  const controlOf = (own: "S" | "E"): object => {
    const other = own === "S" ? "E" : "S";
    const choice = random();
    if (choice < 0.4 && !held.has("balance")) {
      held.add("balance");
      return { kind: "balance", to: other + mark, ratio: between(random, 0.7, 1.4) };
    }
    if (choice < 0.5) return { kind: "flow", flow: between(random, 0.02, 0.12) };
    if (choice < 0.75 && !held.has("room")) {
      held.add("room");
      return { kind: "pressure", pressure: between(random, -8, 8), sensor: { node: room } };
    }
    const duct = random() < 0.7 ? { S: "supply", E: "extract" }[own] : { S: "extract", E: "supply" }[own];
    const sensor = { duct: duct + mark, at: duct === "supply" ? "inlet" : "outlet" };
    if (held.has(duct)) return { kind: "flow", flow: between(random, 0.02, 0.12) };
    held.add(duct);
    const sign = duct === "supply" ? 1 : -1;
    return { kind: "pressure", pressure: sign * between(random, 2, 60), sensor };
  };
  const fan = (id: "S" | "E") => {
    const speed = between(random, 0.2, 1);
    const start = random() < 0.3 ? { speed } : {};
    if (!both && id !== alone) return { id: id + mark, kind: "fan", curve: curveOf(random), speed };
    return { id: id + mark, kind: "fan", curve: curveOf(random), ...start, control: controlOf(id) };
  };
  const nodes = [
    { id: entry, kind: "outdoors", coefficient: 1 },
    { id: outlet, kind: "outdoors", coefficient: 1 },
    { id: room, kind: "room" },
    fan("S"),
    fan("E"),
  ];
  const openings = [{ id: gap, from: room, to: entry, area: 10 ** between(random, -3.7, -1.3) }];
  return { format: "ductgraph/1", nodes, ducts, openings } as unknown as NetworkDocument;
};
