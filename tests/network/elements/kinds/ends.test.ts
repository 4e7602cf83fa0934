import { describe, expect, test } from "vitest";
import type { Solution } from "../../../../src/index.js";
import { bare, bareArea, codesOf, solved } from "../../../helpers/documents.js";

/** A flow pushed from a junction out of doors through an end; against it, taken in there. */
const through = (flow: number, end: object, more: object = {}, duct: object = {}, root: object = {}): Solution =>
  solved({
    ...root,
    nodes: [
      { id: "j", kind: "junction", inflow: flow },
      { id: "out", kind: "outdoors", end, ...more } as { id: string; kind: "outdoors" },
    ],
    ducts: [bare("d", "j", "out", duct)],
  });
/** ½ρv² of a flow in an area [Pa] */
const pressureAt = (flow: number, area = bareArea): number => 0.6 * (flow / area) ** 2;

describe("an end of a duct outdoors", () => {
  // Idelchik (library): flush 0.5, projecting and thin 1, rounded with r/D 0.1 between 0.15 and 0.09.
  test.each([
    [{ kind: "flush" }, 0.5],
    [{ kind: "projecting" }, 1],
    [{ kind: "bellmouth", radiusRatio: 0.12 }, 0.09],
  ])("%j takes air in at its printed coefficient and lets it out with all its velocity pressure", (end, entry) => {
    const [taken, given] = [through(-0.05, end), through(0.05, end)];
    expect(taken.ducts.d.entryLoss).toBeCloseTo(-entry * pressureAt(0.05), 8);
    expect(given.ducts.d.exitLoss).toBeCloseTo(pressureAt(0.05), 8);
  });

  test("that is a louvre loses on the velocity of its gross face", () => {
    const louvre = { kind: "louvre", area: 0.04, freeArea: 0.5 };
    const ratio = bareArea / 0.04;
    // Idelchik (memory): the plate, entry (1.707 − φ)²/φ² and exit (1 + 0.707√(1 − φ))²/φ², and the duct after it.
    const entry = (1.207 / 0.5) ** 2 + (0.5 * (1 - ratio) ** 0.75) / ratio ** 2;
    // biome-ignore lint/suspicious/noApproximativeNumericConstant: the handbook prints three digits
    const exit = ((1 + 0.707 * Math.SQRT1_2) / 0.5) ** 2 - 1 + 1 / ratio ** 2;
    expect(through(-0.05, louvre).ducts.d.entryLoss).toBeCloseTo(-entry * pressureAt(0.05, 0.04), 8);
    expect(through(0.05, louvre).ducts.d.exitLoss).toBeCloseTo(exit * pressureAt(0.05, 0.04), 8);
  });

  test("that is a cowl follows its rating: exponent 1.6 at half the flow, both ways, and thinner air", () => {
    const cowl = { kind: "cowl", pressure: 30, flow: 0.05, exponent: 1.6 };
    expect(through(0.05, cowl).ducts.d.exitLoss).toBeCloseTo(30, 8);
    expect(through(0.025, cowl).ducts.d.exitLoss).toBeCloseTo(30 * 0.5 ** 1.6, 8);
    expect(through(-0.025, cowl).ducts.d.entryLoss).toBeCloseTo(-30 * 0.5 ** 1.6, 8);
    const thin = through(0.05, cowl, {}, {}, { air: { density: 0.9, viscosity: 1.7e-5 } });
    expect(thin.ducts.d.exitLoss).toBeCloseTo(30 * 0.75 ** 0.6 * (1.7 / 1.81) ** 0.4, 8);
  });

  test.each([
    { kind: "wireMesh", freeArea: 0.6 },
    { kind: "louvre", area: 0.04, freeArea: 0.5 },
    { kind: "cowl", pressure: 30, flow: 0.05 },
    { kind: "flush" },
  ])("%j is one for each of parallel runs: twice the flow in two runs loses the same", (end) => {
    for (const key of ["exitLoss", "entryLoss"] as const) {
      const flow = key === "exitLoss" ? 0.03 : -0.03;
      const one = through(flow, end).ducts.d[key];
      expect(through(2 * flow, end, {}, { parallel: 2 }).ducts.d[key]).toBeCloseTo(one, 8);
    }
  });

  test("on a section of its own is one for all runs", () => {
    const section = { diameter: 0.2 };
    const mesh = { kind: "wireMesh", freeArea: 0.6 };
    const { exitLoss } = through(0.05, mesh, { section }, { parallel: 2 }).ducts.d;
    // Idelchik (memory): 1 + 1.3(1 − φ) + (1/φ − 1)²
    expect(exitLoss).toBeCloseTo((1 + 0.52 + (2 / 3) ** 2) * pressureAt(0.05, 4 * bareArea), 8);
    const cowl = { kind: "cowl", pressure: 30, flow: 0.05 };
    expect(through(0.05, cowl, { section }, { parallel: 2 }).ducts.d.exitLoss).toBeCloseTo(30, 8);
  });

  test("of mesh that its source does not cover is warned of, once a node", () => {
    const solution = through(0.02, { kind: "wireMesh", freeArea: 0.2 });
    expect(codesOf(solution)).toEqual(["fitting.outside-range"]);
    expect(solution.warnings[0].path).toBe("nodes.out.end");
    expect(solution.warnings[0].message).toMatch(/freeArea of 0\.2, 0\.1 beyond/);
  });

  test("that is a louvre warns of rain above 2.5 m/s on its gross face, where it takes air in", () => {
    const louvre = { kind: "louvre", area: 0.02, freeArea: 0.5 };
    expect(codesOf(through(-0.051, louvre))).toEqual(["fitting.face-velocity"]);
    expect(codesOf(through(-0.049, louvre))).toEqual([]);
    expect(codesOf(through(0.051, louvre))).toEqual([]);
    expect(codesOf(through(-0.098, louvre, {}, { parallel: 2 }))).toEqual([]);
  });
});

describe("a box of a known section", () => {
  const box = (duct: object, more: object = {}): Solution =>
    solved({
      nodes: [
        { id: "j", kind: "junction", inflow: 0.05 },
        { id: "box", kind: "plenum", area: 0.04, ...more } as { id: string; kind: "plenum" },
        { id: "out", kind: "outdoors", entry: 0, exit: 1 },
      ],
      ducts: [bare("a", "j", "box"), bare("b", "box", "out", duct)],
    });

  test("takes (1 − A/area)² of what flows in and 0.5(1 − A/area)^0.75 of what flows out (Idelchik 4-1 and 4-9)", () => {
    const { a, b } = box({}).ducts;
    expect(a.exitLoss).toBeCloseTo((1 - bareArea / 0.04) ** 2 * pressureAt(0.05), 8);
    expect(b.entryLoss).toBeCloseTo(0.5 * (1 - bareArea / 0.04) ** 0.75 * pressureAt(0.05), 8);
  });

  test("leaves a duct its own take-off loss", () => {
    expect(box({ entry: 0.1 }).ducts.b.entryLoss).toBeCloseTo(0.1 * pressureAt(0.05), 8);
    expect(box({ entry: 0.1 }, { area: undefined, entry: 0.8 }).ducts.b.entryLoss).toBeCloseTo(
      0.1 * pressureAt(0.05),
      8,
    );
  });

  test("as wide as its ducts takes nothing", () => {
    const { a, b } = box({}, { area: bareArea }).ducts;
    expect(a.exitLoss + b.entryLoss).toBeCloseTo(0, 9);
  });
});
