import { readFileSync } from "node:fs";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import {
  compileNetwork,
  describe as describePath,
  parseNetwork,
  solveNetwork,
  withChanges,
} from "../../../src/index.js";
import { expectSolved } from "../../helpers/evaluator.js";
import { type Found, problemsOf } from "../../helpers/input-problems.js";

const load = (name: string): unknown =>
  JSON.parse(readFileSync(new URL(`../../networks/independent/${name}.json`, import.meta.url), "utf8"));

const house = parseNetwork(load("winter-house"));
const names = [
  "winter-house",
  "fans-in-parallel",
  "looped-supply",
  "air-handler-unit-curve",
  "terminal-boxes",
  "openings",
];

const problemOf = (act: () => unknown): Found => problemsOf(act)[0];

const placesOf = (act: () => unknown): string[] => problemsOf(act).map(({ code, path }) => `${code} ${path}`);

describe("a compiled network", () => {
  test.each(names)(
    "%s: solve() without changes, and an update from the document, are solveNetwork bit for bit",
    (name) => {
      const network = parseNetwork(load(name));
      const once = solveNetwork(network);
      const compiled = compileNetwork(network);
      expect(compiled.solve()).toStrictEqual(once);
      compiled.update();
      expect(compiled.solution()).toStrictEqual(once);
      compiled.update({ start: "document" });
      expect(compiled.solution()).toStrictEqual(once);
    },
  );

  test("solve(changes) equals update from the document with the same values set, bit for bit, whatever was solved before", () => {
    const compiled = compileNetwork(house);
    const scales = fc.record({
      length: fc.double({ min: 0.5, max: 3, noNaN: true }),
      speed: fc.double({ min: 0.5, max: 1.3, noNaN: true }),
    });
    const length = compiled.parameter("ducts.supply.length");
    const speed = compiled.parameter("fans.unit.supply.speed");
    fc.assert(
      fc.property(scales, scales, (before, now) => {
        length.value = length.initial * before.length;
        speed.value = speed.initial * before.speed;
        compiled.update();
        const aside = compiled.solve({
          "ducts.supply.length": length.initial * now.length,
          "fans.unit.supply.speed": speed.initial * now.speed,
        });
        length.value = length.initial * now.length;
        speed.value = speed.initial * now.speed;
        compiled.update({ start: "document" });
        expect(compiled.solution()).toStrictEqual(aside);
      }),
      { seed: 4, numRuns: 40 },
    );
  });

  test("a warm update meets the same answer to tolerance, and the laws by the second evaluator", () => {
    const compiled = compileNetwork(house);
    const length = compiled.parameter("ducts.supply.length");
    const flow = compiled.output("fans.unit.supply.flow");
    for (let step = 0; step < 20; step++) {
      length.value = length.initial * (1 + 0.1 * step);
      compiled.update({ tolerance: 1e-3 });
      const changed = withChanges(house, { "ducts.supply.length": length.value });
      const cold = solveNetwork(changed, { tolerance: 1e-3 });
      expect(flow.value).toBeCloseTo(cold.fans["unit.supply"].flow, 9);
      expectSolved(changed, compiled.solution(), 1e-3);
    }
  });

  test("every number of a solution can be read as an output, and every number of a document set as a parameter", () => {
    const compiled = compileNetwork(house);
    compiled.update();
    const solution = compiled.solution();
    const walk = (value: unknown, words: string[]): [string, number][] =>
      typeof value === "number"
        ? [[words.join("."), value]]
        : typeof value === "object" && value !== null
          ? Object.entries(value).flatMap(([key, held]) => walk(held, [...words, key]))
          : [];
    const { warnings, ...numbers } = solution;
    for (const [path, value] of walk(numbers, [])) expect(compiled.output(path).value, path).toBe(value);
    for (const [list, elements] of Object.entries({
      nodes: house.nodes,
      ducts: house.ducts,
      openings: house.openings,
    })) {
      for (const { id, ...element } of elements) {
        for (const [path, value] of walk(element, [list, id])) {
          const parameter = compiled.parameter(path);
          expect(parameter.initial, path).toBe(value);
          expect(describePath(house, path).unit.length, path).toBeGreaterThan(0);
          parameter.value = value;
        }
      }
    }
  });

  test("a change of any parameter has the effect that the changed document has", () => {
    const compiled = compileNetwork(house);
    const paths = [
      "air.temperature",
      "outdoorAir.temperature",
      "nodes.living.elevation",
      "nodes.unit.elevation",
      "nodes.unit.supply.components.0.pressure",
      "nodes.s-bed.loss.pressure",
      "nodes.s-bed.elevation",
      "ducts.s-bed.section.diameter",
      "ducts.supply.fittings.0.coefficient",
      "ducts.intake.roughness",
      "nodes.cowl.exit",
      "nodes.sbox.entry",
      "nodes.north.pressure",
      "fans.unit.extract.curve.points.1.pressure",
    ];
    for (const path of paths) {
      const parameter = compiled.parameter(path);
      const value = parameter.initial * 1.1 + (parameter.initial === 0 ? 0.3 : 0);
      parameter.value = value;
      compiled.update({ tolerance: 1e-4 });
      const fresh = solveNetwork(withChanges(house, { [path]: value }), { tolerance: 1e-4 });
      const ours = compiled.solution();
      for (const id of Object.keys(fresh.ducts)) {
        expect(Math.abs(ours.ducts[id].massFlow - fresh.ducts[id].massFlow), `${path} ${id}`).toBeLessThan(1e-9);
        expect(Math.abs(ours.ducts[id].inlet.totalPressure - fresh.ducts[id].inlet.totalPressure), path).toBeLessThan(
          1e-6,
        );
      }
      parameter.value = parameter.initial;
    }
  });

  test("never changes the network given, and does not feel changes of its own parameters in solve()", () => {
    const before = JSON.stringify(house);
    const compiled = compileNetwork(house);
    const once = compiled.solve();
    compiled.parameter("ducts.supply.length").value = 99;
    compiled.update();
    expect(compiled.solve()).toStrictEqual(once);
    expect(JSON.stringify(house)).toBe(before);
    expect(compiled.parameter("ducts.supply.length").value).toBe(99);
  });
});

describe("faults of a compiled network", () => {
  const compiled = compileNetwork(house);
  test.each([
    ["ducts.suply.length", "ducts.supply.length"],
    ["ducts.supply.lenght", "ducts.supply.length"],
    ["duct.supply.length", "ducts.supply.length"],
    ["fans.unit.suply.speed", undefined],
    ["nodes.unit.supply.components.0.presure", "nodes.unit.supply.components.0.pressure"],
    ["nodes.living.meta.area", undefined],
    ["title", undefined],
    ["", undefined],
    ["ducts.supply.__proto__.x", undefined],
    ["ducts.constructor.length", undefined],
  ])("the parameter path '%s' is refused, the nearest being %s", (path, nearest) => {
    const problem = problemOf(() => compiled.parameter(path));
    expect(problem.code).toBe("path.unknown");
    if (nearest !== undefined) expect(problem.nearest).toBe(nearest);
  });

  test.each([
    "fans.unit.supply.pover",
    "terminals.s-bed.flo",
    "ducts.supply",
    "airHandlers.unit.supply.components.9.pressure",
    "warnings.0",
  ])("the output path '%s' is refused", (path) =>
    expect(problemOf(() => compiled.output(path)).code).toBe("path.unknown"),
  );

  test.each([0, 1])(
    "a fan of speed %f in the document has all its outputs, whether it now runs or stands still",
    (speed) => {
      const stoppable = structuredClone(house) as unknown as { nodes: { id: string; supply: { fan: object } }[] };
      const unit = stoppable.nodes.find(({ id }) => id === "unit")!;
      Object.assign(unit.supply.fan, { speed, stopped: { pressure: 20, flow: 0.05, exponent: 2 } });
      const fresh = compileNetwork(stoppable as never);
      const now = fresh.parameter("fans.unit.supply.speed");
      now.value = 1 - speed;
      const paths = [
        "fans.unit.supply.power",
        "fans.unit.supply.efficiency",
        "airHandlers.unit.supply.specificFanPower",
      ];
      const outputs = paths.map((path) => fresh.output(path));
      for (const value of [0, 1]) {
        now.value = value;
        fresh.update();
        for (const { path, value: read = 0 } of outputs)
          if (value === 1) expect(read, path).toBeGreaterThan(0);
          else expect(read, path).toBe(0);
      }
      expect(problemOf(() => fresh.output("fans.unit.supply.staticPressure")).code).toBe("path.unknown");
    },
  );

  test("a value that is not finite or out of range is refused, and the old one stays", () => {
    const length = compiled.parameter("ducts.supply.length");
    for (const bad of [Number.NaN, Number.POSITIVE_INFINITY, -1, "8" as unknown as number]) {
      expect(
        problemOf(() => {
          length.value = bad;
        }).code,
      ).toBe("value.range");
      expect(length.value).toBe(length.initial);
    }
  });

  test("a value at odds with the rest of its element is refused, and the old one stays", () => {
    const flow = compiled.parameter("fans.unit.supply.curve.points.1.flow");
    expect(
      problemOf(() => {
        flow.value = 100;
      }).code,
    ).toBe("curve.flow-not-rising");
    expect(flow.value).toBe(flow.initial);
    expect(() => compiled.solve({ "fans.unit.supply.curve.points.1.flow": 100 })).toThrow("curve");
  });

  test("all wrong paths and values of solve() are reported at once", () => {
    const changes = { "ducts.x.length": 1, "ducts.supply.length": Number.NaN, "nodes.y.elevation": 2 };
    expect(placesOf(() => compiled.solve(changes))).toEqual([
      "path.unknown ducts.x.length",
      "path.unknown nodes.y.elevation",
      "value.range ducts.supply.length",
    ]);
  });

  test("and those of withChanges too, the values by their places, but not what may follow from a wrong path", () => {
    const changes = { "ducts.x.length": 1, "ducts.supply.length": "4 l/s", "ducts.supply.roughness": "20 cm" };
    expect(placesOf(() => withChanges(house, changes))).toEqual([
      "path.unknown ducts.x.length",
      `quantity.dimension ducts.${house.ducts.findIndex(({ id }) => id === "supply")}.length`,
    ]);
  });

  describe("every contradiction is told once, at the number where it shows", () => {
    const controlled = compileNetwork({
      format: "ductgraph/1",
      nodes: [
        { id: "in", kind: "outdoors", coefficient: 1 },
        { id: "out", kind: "outdoors", coefficient: 1 },
        {
          id: "f",
          kind: "fan",
          curve: {
            pressureKind: "total",
            points: [
              { flow: 0, pressure: 300 },
              { flow: 0.1, pressure: 220 },
              { flow: 0.2, pressure: 20 },
            ],
          },
          control: { kind: "flow", flow: 0.05, minSpeed: 0.2, maxSpeed: 0.8 },
          stopped: { pressure: 20, flow: 0.1 },
        },
      ],
      ducts: [
        { id: "a", from: "in", to: "f.inlet", length: 4, section: { diameter: 0.2 } },
        { id: "b", from: "f.outlet", to: "out", length: 4, section: { diameter: 0.2 } },
      ],
    });

    test("whatever other numbers of its node are changed", () => {
      const orders: Record<string, number>[] = [
        { "fans.f.control.minSpeed": 1.5, "fans.f.speed": 0 },
        { "fans.f.speed": 0, "nodes.f.control.minSpeed": 1.5 },
      ];
      for (const changes of orders) {
        const [minimum, speed] = Object.keys(changes).sort((one, other) => other.length - one.length);
        expect(placesOf(() => controlled.solve(changes)).sort()).toEqual([
          `fan.control-stopped ${speed}`,
          `value.range ${minimum}`,
        ]);
      }
    });

    test("at a changed number that makes it where it shows at one that is not", () => {
      expect(placesOf(() => controlled.solve({ "fans.f.control.maxSpeed": 0.1 }))).toEqual([
        "value.range fans.f.control.maxSpeed",
      ]);
      expect(placesOf(() => controlled.solve({ "ducts.a.roughness": 0.1, "ducts.a.section.diameter": 0.05 }))).toEqual([
        "value.range ducts.a.roughness",
      ]);
    });

    test("all of one number too, which keeps its old value", () => {
      const flow = controlled.parameter("fans.f.curve.points.0.flow");
      const minimum = controlled.parameter("fans.f.control.minSpeed");
      expect(placesOf(() => Object.assign(flow, { value: 0.3 }))).toEqual([
        "curve.flow-not-rising fans.f.curve.points.0.flow",
      ]);
      expect(placesOf(() => Object.assign(minimum, { value: 0.9 }))).toEqual(["value.range fans.f.control.minSpeed"]);
      expect([flow.value, minimum.value]).toEqual([0, 0.2]);
      expect(controlled.solve().fans.f.flow).toBeCloseTo(0.05, 9);
    });
  });

  test.each([
    ...[null, 5, "x", true, [], [["ducts.a.length", 5]], new Date(0)],
    ...[new Map([["ducts.a.length", 5]]), new Set(["ducts.a.length"]), Object("ducts.a.length")],
  ])("changes that are %o are refused", (changes) => {
    expect(problemOf(() => compiled.solve(changes as never))).toMatchObject({ code: "not-an-object", path: "changes" });
    expect(problemOf(() => withChanges(house, changes as never))).toMatchObject({
      code: "not-an-object",
      path: "changes",
    });
  });

  test.each<[unknown, string]>([
    [null, "not-an-object"],
    [3, "not-an-object"],
    [new Map([["tolerance", 1e-4]]), "not-an-object"],
    [["tolerance"], "not-an-object"],
    [{ tolerence: 1e-4 }, "unknown-key"],
    [{ maxIterations: 5 }, "unknown-key"],
    [{ tolerance: 2 }, "out-of-range"],
    [{ start: "last" }, "value.choice"],
  ])("the options %s of an update are refused, and the last answer stays", (options, code) => {
    const fresh = compileNetwork(house);
    fresh.update();
    const flow = fresh.output("fans.unit.supply.flow");
    const before = flow.value;
    expect(problemOf(() => fresh.update(options as never)).code).toBe(code);
    expect(flow.value).toBe(before);
  });

  test("nothing is read before the first update or after a failed one, and a good update follows a failed one", () => {
    const fresh = compileNetwork(house);
    const flow = fresh.output("fans.unit.supply.flow");
    expect(problemOf(() => flow.value).code).toBe("not-solved");
    expect(problemOf(() => fresh.solution()).code).toBe("not-solved");
    fresh.update();
    const good = flow.value;
    const pressure = fresh.parameter("nodes.north.pressure");
    pressure.value = 1e29;
    expect(() => fresh.update()).toThrow(expect.objectContaining({ name: "SolveError" }));
    expect(problemOf(() => flow.value).code).toBe("not-solved");
    pressure.value = pressure.initial;
    fresh.update();
    expect(flow.value).toBe(good);
  });
});

describe("outputs between a changed parameter and the update that solves it", () => {
  const compiled = compileNetwork(house);
  const speed = compiled.parameter("fans.unit.supply.speed");
  const power = compiled.output("fans.unit.supply.power");
  const steps = compiled.output("convergence.iterations");

  test("throw, since new numbers would stand beside old flows, and say why", () => {
    compiled.update();
    expect(power.value).toBeGreaterThan(0);
    speed.value = 0.9 * speed.initial;
    for (const read of [() => power.value, () => steps.value, () => compiled.solution()])
      expect(problemOf(read)).toMatchObject({ code: "not-solved", found: "a changed parameter" });
    compiled.update();
    expect(power.value).toBe(compiled.solution().fans["unit.supply"].power);
  });

  test("do not throw after a value that was refused, that was there already, or that was tried aside", () => {
    compiled.update();
    const { value } = power;
    for (const wrong of [Number.NaN, -1, 0])
      expect(() => {
        speed.value = wrong;
      }).toThrow();
    expect(power.value).toBe(value);
    speed.value = speed.value + 0;
    compiled.solve({ "fans.unit.supply.speed": 0.5 * speed.initial });
    expect(power.value).toBe(value);
    expect(() => {
      speed.value = 2;
      compiled.update({ tolerance: 7 });
    }).toThrow();
    expect(problemOf(() => power.value).code).toBe("not-solved");
  });
});

describe("a start across documents", () => {
  test("a solve that starts from a similar network's answer takes fewer steps and meets the same answer", () => {
    const changed = withChanges(house, { "ducts.supply.length": "9 m" });
    const cold = solveNetwork(changed, { tolerance: 1e-4 });
    const warm = solveNetwork(changed, { tolerance: 1e-4, start: solveNetwork(house) });
    expect(warm.convergence.iterations).toBeLessThanOrEqual(cold.convergence.iterations);
    for (const id of Object.keys(cold.ducts)) {
      expect(warm.ducts[id].massFlow).toBeCloseTo(cold.ducts[id].massFlow, 10);
    }
  });
});
