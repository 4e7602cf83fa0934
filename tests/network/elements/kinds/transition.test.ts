import { describe, expect, test } from "vitest";
import { indexRun, type NetworkDocument, parseNetwork, pressurePath, solveNetwork } from "../../../../src/index.js";
import { bare, bareArea, codesOf, solved } from "../../../helpers/documents.js";

const wide = { section: { diameter: 0.2 } };

/** A flow pushed from a narrow into a wide duct through a transition, from its port a to its port b. */
const pushed = (inflow: number, form?: object, more: object = {}) =>
  solved({
    nodes: [
      { id: "j", kind: "junction", inflow },
      { id: "x", kind: "transition", ...(form === undefined ? {} : { form }), ...more } as {
        id: string;
        kind: "transition";
      },
      { id: "out", kind: "outdoors", entry: 0, exit: 1 },
    ],
    ducts: [bare("narrow", "j", "x.a"), bare("wide", "x.b", "out", wide)],
  });
const lossesOf = (solution: ReturnType<typeof pushed>) => solution.nodes.x.losses!;
/** ½ρv² in the narrow duct [Pa] */
const pressureAt = (flow: number): number => 0.6 * (flow / bareArea) ** 2;

describe("a transition", () => {
  test("that is abrupt loses (1 − b)² of the velocity pressure in the smaller duct where air widens (Borda and Carnot)", () => {
    const { velocityPressure, paths } = lossesOf(pushed(0.05));
    expect(velocityPressure).toBeCloseTo(pressureAt(0.05), 9);
    expect(paths).toEqual([{ from: "a", to: "b", coefficient: expect.closeTo(0.5625, 12), loss: expect.anything() }]);
    expect(paths[0].loss).toBeCloseTo(0.5625 * pressureAt(0.05), 8);
  });

  test("turned round by its flow loses as a narrowing, 0.5(1 − b)^0.75 (Idelchik, diagram 4-9)", () => {
    const { paths } = lossesOf(pushed(-0.05));
    expect(paths[0]).toMatchObject({ from: "b", to: "a" });
    expect(paths[0].coefficient).toBeCloseTo(0.5 * 0.75 ** 0.75, 12);
    expect(paths[0].loss).toBeCloseTo(0.5 * 0.75 ** 0.75 * pressureAt(0.05), 8);
  });

  test("with its ports exchanged is the same transition", () => {
    const { nodes, ducts } = solved({
      nodes: [
        { id: "j", kind: "junction", inflow: 0.05 },
        { id: "x", kind: "transition", form: { kind: "conical", angle: "40°" } },
        { id: "out", kind: "outdoors", entry: 0, exit: 1 },
      ],
      ducts: [bare("narrow", "j", "x.b"), bare("wide", "x.a", "out", wide)],
    });
    const straight = pushed(0.05, { kind: "conical", angle: "40°" });
    expect(nodes.x.losses?.paths[0].loss).toBeCloseTo(lossesOf(straight).paths[0].loss, 9);
    expect(ducts.narrow.inlet.totalPressure).toBeCloseTo(straight.ducts.narrow.inlet.totalPressure, 8);
  });

  test("by its length is that of the angle between its walls: tan(α/2) = (D − d)/2L", () => {
    const angle = 2 * Math.atan(0.1 / (2 * 0.3));
    const [byLength, byAngle] = [{ length: 0.3 }, { angle }].map((form) =>
      lossesOf(pushed(0.05, { kind: "conical", ...form })),
    );
    expect(byLength.paths[0].coefficient).toBeCloseTo(byAngle.paths[0].coefficient, 12);
    // Idelchik, diagram 5-4, by its published fit (read): 0.9455·(1 − e^(−0.0541·18.92))·0.75^1.92
    expect(byAngle.paths[0].coefficient).toBeCloseTo(0.9455 * (1 - Math.exp(-0.0541 * 18.9246)) * 0.75 ** 1.92, 6);
  });

  test("lets static pressure rise where it widens, by what velocity pressure falls less its loss", () => {
    const { ducts, nodes } = pushed(0.05, { kind: "conical", angle: "10°" });
    const gained = ducts.wide.inlet.staticPressure - ducts.narrow.outlet.staticPressure;
    const released = ducts.narrow.velocityPressure - ducts.wide.velocityPressure;
    expect(gained).toBeCloseTo(released - (nodes.x.losses?.paths[0].loss ?? 0), 8);
    expect(gained).toBeGreaterThan(0);
  });

  test("between equal sections, or in still air, loses nothing", () => {
    const { nodes, ducts } = solved({
      nodes: [
        { id: "j", kind: "junction", inflow: 0.05 },
        { id: "x", kind: "transition" },
        { id: "out", kind: "outdoors", entry: 0, exit: 1 },
      ],
      ducts: [bare("one", "j", "x.a"), bare("other", "x.b", "out")],
    });
    expect(nodes.x.losses?.paths[0].loss).toBe(0);
    expect(ducts.one.inlet.totalPressure).toBeCloseTo(pressureAt(0.05), 8);
    expect(lossesOf(pushed(0)).paths[0].loss).toBeCloseTo(0, 15);
  });

  test("takes the place of the warning that a junction of two sections has", () => {
    expect(codesOf(pushed(0.05))).toEqual([]);
  });
});

describe("a way through transitions", () => {
  const document: NetworkDocument = {
    format: "ductgraph/1",
    nodes: [
      { id: "in", kind: "outdoors", end: { kind: "flush" } },
      {
        id: "fan",
        kind: "fan",
        curve: {
          pressureKind: "total",
          points: [
            { flow: 0, pressure: 120 },
            { flow: 0.2, pressure: 20 },
          ],
        },
      },
      { id: "x", kind: "transition", form: { kind: "conical", angle: "60°" } },
      { id: "box", kind: "plenum" },
      { id: "y", kind: "transition" },
      { id: "near", kind: "terminal", service: "supply", designFlow: 0.02, loss: { pressure: 10, flow: 0.02 } },
      { id: "far", kind: "terminal", service: "supply", designFlow: 0.02, loss: { pressure: 20, flow: 0.02 } },
    ],
    ducts: [
      { id: "intake", from: "in", to: "fan.inlet", length: 2, section: { diameter: 0.2 } },
      { id: "main", from: "fan.outlet", to: "x.a", length: 1, section: { diameter: 0.2 } },
      { id: "neck", from: "x.b", to: "box", length: 3, section: { diameter: 0.125 } },
      { id: "short", from: "box", to: "near", length: 1, section: { diameter: 0.1 } },
      { id: "long", from: "box", to: "y.b", length: 6, section: { diameter: 0.125 } },
      { id: "end", from: "y.a", to: "far", length: 1, section: { diameter: 0.1 } },
    ],
  };
  const way = [
    "nodes.in",
    "ducts.intake",
    "fans.fan",
    "ducts.main",
    "nodes.x",
    "ducts.neck",
    "ducts.long",
    "nodes.y",
    "ducts.end",
    "terminals.far",
  ];

  test("is followed with the pressure falling along it by the loss of each", () => {
    const network = parseNetwork(document);
    const solution = solveNetwork(network, { tolerance: 1e-3 });
    const path = pressurePath(network, solution, "far");
    expect(path.map((step) => step.path)).toEqual(way);
    for (const id of ["x", "y"]) {
      const step = path.find((one) => one.path === `nodes.${id}`);
      expect(step?.loss).toBeCloseTo(solution.nodes[id].losses?.paths[0].loss ?? Number.NaN, 6);
    }
    expect(path[path.length - 1].totalPressure).toBeCloseTo(0, 6);
  });

  test("is an index run whose required pressure is the sum of its losses at design flow", () => {
    const run = indexRun(document, "fan");
    expect(run.terminal).toBe("far");
    expect(run.path.map((step) => step.path)).toEqual(way);
    const lost = run.path.filter(({ path }) => path !== "fans.fan").reduce((sum, { loss }) => sum + loss, 0);
    expect(run.requiredPressure).toBeCloseTo(lost, 6);
    // At 0.02 m³/s, 100 to 125 mm: b = 0.64, narrowing 0.5·0.36^0.75 on 0.6·(0.02/0.00785398)² = 3.890734 Pa.
    const narrowing = run.path.find(({ path }) => path === "nodes.y");
    expect(narrowing?.loss).toBeCloseTo(0.5 * 0.36 ** 0.75 * 3.890734, 5);
  });
});

test("a solve that starts from its own answer has nothing left to find", () => {
  const network = parseNetwork({
    format: "ductgraph/1",
    nodes: [
      { id: "in", kind: "outdoors", coefficient: 1, pressure: 30 },
      { id: "out", kind: "outdoors", coefficient: 1 },
      { id: "x", kind: "transition", form: { kind: "conical", angle: "30 deg" } },
    ],
    ducts: [
      { id: "a", from: "in", to: "x.a", length: 5, section: { diameter: 0.125 } },
      { id: "b", from: "x.b", to: "out", length: 5, section: { diameter: 0.2 } },
    ],
  });
  expect(solveNetwork(network, { start: solveNetwork(network) }).convergence.iterations).toBe(0);
});
