import { describe, expect, test, vi } from "vitest";
import { type NetworkDocument, parseNetwork, type Solution, solveNetwork, summarise } from "../../../src/index.js";
import { Solver } from "../../../src/network/equations/gradient-solver.js";
import { expectSolved } from "../../helpers/evaluator.js";

const points = [0, 0.05, 0.1, 0.15, 0.2, 0.25].map((flow) => ({ flow, pressure: 400 - 6000 * flow ** 2 }));
const curve = { pressureKind: "total", points };

/** One leaky room between a fan that supplies and one that extracts; the other fan can blow through a slow one. */
const house = (supply: object, extract: object, leak = 0.01, fittings: object[] = []): NetworkDocument => {
  const duct = (id: string, from: string, to: string, more: object = {}) => ({
    id,
    from,
    to,
    length: 5,
    section: { diameter: 0.2 },
    ...more,
  });
  return {
    format: "ductgraph/1",
    nodes: [
      { id: "in", kind: "outdoors", coefficient: 1 },
      { id: "out", kind: "outdoors", coefficient: 1 },
      { id: "room", kind: "room" },
      { id: "s", kind: "fan", curve, ...supply },
      { id: "e", kind: "fan", curve, ...extract },
    ],
    ducts: [
      duct("intake", "in", "s.inlet", { fittings }),
      duct("supply", "s.outlet", "room"),
      duct("extract", "room", "e.inlet"),
      duct("exhaust", "e.outlet", "out"),
    ],
    openings: [{ id: "leak", from: "room", to: "out", coefficient: leak, exponent: 0.6 }],
  } as unknown as NetworkDocument;
};

const solved = (document: NetworkDocument): Solution => {
  const network = parseNetwork(document);
  const solution = solveNetwork(network);
  expectSolved(network, solution);
  return solution;
};

/** What a controller of the fan that extracts would read at each fixed speed, less its set value. */
const scan = (leak: number, errorOf: (solution: Solution) => number): [speed: number, error: number][] =>
  Array.from({ length: 181 }, (_, i) => {
    const speed = 0.1 + 0.005 * i;
    return [speed, errorOf(solveNetwork(house({}, { speed }, leak)))];
  });

describe("a controller in a house where the other fan blows through its own", () => {
  const ratios = [0.1, 0.2, 0.3, 0.4, 0.5, 0.55, 0.6, 0.8, 1, 1.2, 2, 4];
  test.each([0.001, 0.01, 0.03])(
    "rests where a scan over fixed speeds changes its sign, or where it has turned to its limit (leak %s)",
    (leak) => {
      for (const ratio of ratios) {
        const { fans } = solved(house({}, { control: { kind: "balance", to: "s", ratio } }, leak));
        const { control, speed } = fans.e;
        const errors = scan(leak, (at) => at.fans.e.massFlow - ratio * at.fans.s.massFlow);
        if (control?.limit === "minSpeed") expect(errors[0][1]).toBeGreaterThan(0);
        else if (control?.limit === "maxSpeed") expect(errors[errors.length - 1][1]).toBeLessThan(0);
        else {
          // It turns down above and up below.
          const above = errors.find(([at]) => at > speed + 1e-9);
          const below = errors.filter(([at]) => at < speed - 1e-9).pop();
          expect(above?.[1] ?? 1).toBeGreaterThan(0);
          expect(below?.[1] ?? -1).toBeLessThan(0);
        }
      }
    },
  );

  test("holds a pressure of the room from far below to far above what it can reach, or says what is missing", () => {
    for (const pressure of [-300, -60, -20, -5, 0, 5, 20, 50, 68, 75, 100, 300]) {
      for (const by of ["s", "e"]) {
        const control = { kind: "pressure", pressure, sensor: { node: "room" } };
        const { fans, nodes } = solved(by === "s" ? house({ control }, {}) : house({}, { control }));
        const { limit, missing = 0, reached } = fans[by].control ?? { reached: Number.NaN };
        expect(reached).toBeCloseTo(nodes.room.totalPressure as number, 9);
        if (limit === undefined) expect(reached).toBeCloseTo(pressure, 5);
        else {
          // Supply raises the pressure, extract lowers it.
          expect(missing > 0).toBe((limit === "maxSpeed") === (by === "s"));
          expect(missing).toBeCloseTo(pressure - reached, 9);
        }
      }
    }
  });

  test("in a neutral room is at no limit, and no warning says so", () => {
    const { fans, warnings } = solved(
      house({}, { control: { kind: "pressure", pressure: 0, sensor: { node: "room" } } }),
    );
    expect(fans.e.control?.limit).toBeUndefined();
    expect(warnings.map(({ code }) => code)).not.toContain("fan.control-limited");
  });

  test("holds together with one that holds its own flow, each at its limit where it must be", () => {
    for (const flow of [0.01, 0.05, 0.15, 0.5]) {
      for (const pressure of [-100, -30, 0, 30, 100]) {
        const sensed = { kind: "pressure", pressure, sensor: { node: "room" } };
        const { fans } = solved(house({ control: { kind: "flow", flow } }, { control: sensed }));
        if (flow === 0.5) expect(fans.s.control?.limit).toBe("maxSpeed");
      }
    }
  });
});

test("a flow beyond what a regulator lets through ends at full speed, wherever the search begins", () => {
  const regulator = { kind: "regulator", flow: 0.1, minPressure: 50, maxPressure: 200, accuracy: 0.005 };
  const flows = [0.15, 0.3, 0.6, 1].map((speed) => {
    const { fans } = solved(house({ speed, control: { kind: "flow", flow: 0.2 } }, {}, 0.01, [regulator]));
    expect(fans.s.speed).toBe(1);
    expect(fans.s.control?.limit).toBe("maxSpeed");
    return fans.s.flow;
  });
  for (const flow of flows) expect(flow).toBeCloseTo(flows[0], 8);
});

test("a search that ends without an answer tells every way it went", () => {
  const network = house({}, { control: { kind: "balance", to: "s", ratio: 0.8 } });
  expect(() => solveNetwork(network, { maxIterations: 2 })).toThrow(
    expect.objectContaining({
      diagnostics: expect.objectContaining({
        tried: expect.arrayContaining(["all speeds together: max-iterations", "one speed at a time: max-iterations"]),
      }),
    }),
  );
});

test("where one speed moves at a time, its solves too count among the Newton steps, five times as many as allowed", () => {
  const steps: number[] = [];
  const { startCold, solve } = Solver.prototype;
  const starts = vi.spyOn(Solver.prototype, "startCold").mockImplementation(function (this: Solver) {
    steps.push(0);
    startCold.call(this);
  });
  const solves = vi.spyOn(Solver.prototype, "solve").mockImplementation(function (this: Solver, limits) {
    const solved = solve.call(this, limits);
    steps[steps.length - 1] += solved.iterations;
    return solved;
  });
  try {
    // Without a bound on them it would answer after 38 steps.
    const network = house({}, { control: { kind: "balance", to: "s", ratio: 0.8 } });
    expect(() => solveNetwork(network, { maxIterations: 3 })).toThrow(
      expect.objectContaining({ status: "max-iterations" }),
    );
  } finally {
    starts.mockRestore();
    solves.mockRestore();
  }
  expect(Math.max(...steps)).toBeGreaterThan(3);
  expect(Math.max(...steps)).toBeLessThanOrEqual(15);
});

test.each([
  ["supply", "outlet", true],
  ["supply", "inlet", false],
  ["intake", "outlet", false],
])(
  "a sensor of static pressure in duct '%s' at its %s reads the room after an open end, and a warning says so: %s",
  (duct, at, warned) => {
    const control = { kind: "pressure", pressure: 10, sensor: { duct, at }, against: { node: "room" } };
    const { fans, warnings } = solved(house({ control }, {}));
    expect(warnings.some(({ code }) => code === "sensor.open-end")).toBe(warned);
    if (warned) expect(fans.s.control?.reached).toBeCloseTo(0, 9);
    expect(fans.s.control?.noEffect).toBe(warned ? true : undefined);
  },
);

test.each([
  ["exhaust", "outlet", 0, undefined, true],
  ["supply", "outlet", 0, { node: "room" }, true],
  ["exhaust", "outlet", 0, { node: "out" }, true],
  // The room follows the fan, whichever way it is sensed.
  ["supply", "outlet", -5, undefined, undefined],
  ["supply", "outlet", -5, { node: "out" }, undefined],
])(
  "a sensor in duct '%s' at its %s that reads %s Pa whatever the fan blows (against %j) is not answered as if it held: %s",
  (duct, at, pressure, against, noEffect) => {
    const speeds = [0.3, 0.6, 0.9].map((speed) => {
      const control = { kind: "pressure", pressure, sensor: { duct, at }, ...(against && { against }) };
      const document = duct === "exhaust" ? house({}, { speed, control }) : house({ speed, control }, {});
      const solution = solved(document);
      const fan = solution.fans[duct === "exhaust" ? "e" : "s"];
      expect(fan.control?.reached).toBeCloseTo(pressure, 5);
      expect(fan.control?.noEffect).toBe(noEffect);
      const said = solution.warnings.find(({ code }) => code === "sensor.open-end")?.message;
      expect(said?.includes("holds nothing, and any speed would do")).toBe(noEffect === true);
      const row = summarise(solution).find(({ path }) => path.endsWith("control.set"));
      expect(row?.text.includes("which the fan does not change")).toBe(noEffect === true);
      return fan.speed;
    });
    // Any speed is an answer: that of the start is kept.
    for (const speed of speeds) {
      if (noEffect === undefined) expect(speed).toBeCloseTo(speeds[0], 6);
    }
    if (noEffect === true) expect(new Set(speeds).size).toBe(3);
  },
);
