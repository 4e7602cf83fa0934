import { describe, expect, test } from "vitest";
import { checkNetwork } from "../../../src/index.js";

const points = [
  { flow: 0, pressure: 300 },
  { flow: 0.1, pressure: 200 },
  { flow: 0.2, pressure: 20 },
];
const fan = (id: string, control?: object): object => ({
  id,
  kind: "fan",
  curve: { pressureKind: "total", points },
  ...(control === undefined ? {} : { control }),
});
const flow = { kind: "flow", flow: 0.05 };
const balance = (to: string, ratio = 1): object => ({ kind: "balance", to, ratio });
const pressureAt = (node: string, against?: string): object => ({
  kind: "pressure",
  pressure: 20,
  sensor: { node },
  ...(against === undefined ? {} : { against: { node: against } }),
});
const outdoors = (id: string): object => ({ id, kind: "outdoors", coefficient: 1 });
const junction = (id: string, more: object = {}): object => ({ id, kind: "junction", ...more });
const room = (id: string): object => ({ id, kind: "room" });

/** A document of nodes and of ducts written "from to". */
const documentOf = (nodes: readonly object[], ways: readonly string[], openings: readonly object[] = []): object => ({
  format: "ductgraph/1",
  nodes,
  ducts: ways.map((way, i) => {
    const [from, to] = way.split(" ");
    return { id: `d${i}`, from, to, length: 3 + i, section: { diameter: 0.15 } };
  }),
  openings,
});

/** Code, id and what was found of each fault. */
const faultsOf = (document: object): unknown[] =>
  checkNetwork(document).problems.map(({ code, id, found }) => [code, id, found]);

const doubled = (id: string, found: string): unknown[] => ["control.doubled", id, found];

describe("controllers of which one follows from the others", () => {
  test("flows of two fans in one line, also through a plenum and a closed end", () => {
    const nodes = [outdoors("in"), fan("f", flow), { id: "box", kind: "plenum" }, junction("end"), fan("g", flow)];
    const ways = ["in f.inlet", "f.outlet box", "box end", "box g.inlet", "g.outlet out"];
    expect(faultsOf(documentOf([...nodes, outdoors("out")], ways))).toEqual([
      doubled("f", "its flow, which follows from what 'g' holds"),
    ]);
  });

  test("flows of two fans side by side and of the third that both blow into", () => {
    const nodes = [outdoors("in"), fan("f", flow), fan("g", flow), junction("j"), fan("h", flow), outdoors("out")];
    const ways = ["in f.inlet", "in g.inlet", "f.outlet j", "g.outlet j", "j h.inlet", "h.outlet out"];
    expect(faultsOf(documentOf(nodes, ways))).toEqual([
      doubled("f", "its flow, which follows from what 'g' and 'h' hold"),
    ]);
    const two = nodes.map((node) => ("id" in node && node.id === "h" ? fan("h") : node));
    expect(faultsOf(documentOf(two, ways))).toEqual([]);
  });

  test("halves of one flow: two fans balanced to half of the third that takes the air of both", () => {
    const nodes = (share: number) => [
      outdoors("in"),
      fan("f", balance("h", share)),
      fan("g", balance("h", 0.5)),
      junction("j"),
      fan("h", flow),
      outdoors("out"),
    ];
    const ways = ["in f.inlet", "in g.inlet", "f.outlet j", "g.outlet j", "j h.inlet", "h.outlet out"];
    expect(faultsOf(documentOf(nodes(0.5), ways))).toEqual([
      doubled("f", "its share of a flow, which follows from what 'g' holds"),
    ]);
  });

  test("pressures after two fans in one line: both rise with the one flow", () => {
    const nodes = [outdoors("in"), fan("f", pressureAt("j")), fan("g", pressureAt("k")), junction("j"), junction("k")];
    const ways = ["in f.inlet", "f.outlet g.inlet", "g.outlet j", "j k", "k out"];
    expect(faultsOf(documentOf([...nodes, outdoors("out")], ways))).toEqual([
      doubled("f", "its pressure, which follows from what 'g' holds"),
    ]);
    const between = [outdoors("in"), fan("f", pressureAt("m")), junction("m"), fan("g", pressureAt("k"))];
    const through = ["in f.inlet", "f.outlet m", "m g.inlet", "g.outlet k", "k out"];
    expect(faultsOf(documentOf([...between, junction("k"), outdoors("out")], through))).toEqual([]);
  });

  test("three differences of pressure of which the third is the sum of the others", () => {
    const rooms = ["a", "b", "c"];
    const supplies = (last: object): object => {
      const fans = [fan("fa", pressureAt("a", "b")), fan("fb", pressureAt("b", "c")), fan("fc", last)];
      const openings = rooms.map((id) => ({ id: `gap-${id}`, from: id, to: "out", coefficient: 0.003 }));
      const ways = rooms.flatMap((id) => [`out f${id}.inlet`, `f${id}.outlet ${id}`]);
      return documentOf([outdoors("out"), ...rooms.map(room), ...fans], ways, openings);
    };
    expect(faultsOf(supplies(pressureAt("a", "c")))).toEqual([
      doubled("fa", "its pressure, which follows from what 'fb' and 'fc' hold"),
    ]);
    expect(faultsOf(supplies(pressureAt("c")))).toEqual([]);
  });

  test("a flow and a balance between the two fans of a house without any leak; none where it leaks", () => {
    const nodes = [outdoors("in"), fan("f", flow), room("house"), fan("g", balance("f")), outdoors("out")];
    const ways = ["in f.inlet", "f.outlet house", "house g.inlet", "g.outlet out"];
    const [code, id, found] = faultsOf(documentOf(nodes, ways))[0] as string[];
    expect([code, id]).toEqual(["control.no-effect", "g"]);
    expect(found).toContain("all air passes both");
    const leak = { id: "leak", from: "house", to: "out", coefficient: 0.002, exponent: 0.65 };
    expect(faultsOf(documentOf(nodes, ways, [leak]))).toEqual([]);
  });
});

test("a unit that is off holds nothing: the other in its line may", () => {
  const stopped = { pressure: 5, flow: 0.05 };
  const unit = (id: string, state: string): object => ({
    id,
    kind: "airHandler",
    state,
    supply: { fan: { curve: { pressureKind: "total", points }, stopped, control: flow } },
  });
  const ways = ["in u.intake", "u.supply v.intake", "v.supply out"];
  const both = (state: string): object =>
    documentOf([outdoors("in"), unit("u", "on"), unit("v", state), outdoors("out")], ways);
  expect(faultsOf(both("off"))).toEqual([]);
  expect(faultsOf(both("bypass"))).toEqual([doubled("u", "its flow, which follows from what 'v.supply' holds")]);
});

describe("a controller whose fan cannot change what it holds", () => {
  test("the flow that an inflow forces through it", () => {
    const nodes = [junction("source", { inflow: 0.03 }), fan("f", flow), outdoors("out")];
    expect(faultsOf(documentOf(nodes, ["source f.inlet", "f.outlet out"]))).toEqual([
      ["control.no-effect", "f", "one that the network fixes, by an inflow or a dead end"],
    ]);
  });

  test("a pressure that only another fan changes", () => {
    const nodes = [outdoors("in"), fan("f", pressureAt("k")), fan("g", pressureAt("j")), junction("j"), junction("k")];
    const ways = ["in f.inlet", "f.outlet j", "j out", "in g.inlet", "g.outlet k", "k out"];
    const codes = faultsOf(documentOf([...nodes, outdoors("out")], ways)).map((fault) =>
      (fault as string[]).slice(0, 2),
    );
    expect(codes).toEqual([
      ["sensor.isolated", "f"],
      ["sensor.isolated", "g"],
    ]);
  });

  test("but not a pressure that is merely far away: a hundred branches from the fan", () => {
    const far = 100;
    const line = Array.from({ length: far }, (_, i) => junction(`j${i}`));
    const valves = Array.from({ length: far }, (_, i) => ({
      id: `t${i}`,
      kind: "terminal",
      service: "supply",
      loss: { pressure: 5, flow: 0.01 },
    }));
    const ways = Array.from({ length: far }, (_, i) => [i === 0 ? "f.outlet j0" : `j${i - 1} j${i}`, `j${i} t${i}`]);
    const nodes = [outdoors("in"), fan("f", pressureAt(`j${far - 1}`)), ...line, ...valves];
    expect(faultsOf(documentOf(nodes, ["in f.inlet", ...ways.flat()]))).toEqual([]);
  });
});
