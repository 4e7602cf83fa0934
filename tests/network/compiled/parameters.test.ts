import { describe, expect, test } from "vitest";
import {
  type CompiledNetwork,
  compileNetwork,
  describe as describePath,
  parseNetwork,
  type Solution,
  solveNetwork,
  withChanges,
} from "../../../src/index.js";
import { everyKind } from "../../helpers/every-kind.js";
import { problemsOf } from "../../helpers/input-problems.js";

const documentOf = (name: string): never => everyKind().find(([known]) => known === name)?.[1] as never;

const set = (compiled: CompiledNetwork, path: string, value: number) => (): void => {
  compiled.parameter(path).value = value;
};

const duct = (id: string, from: string, to: string, more: object = {}) => ({
  id,
  from,
  to,
  length: 3,
  section: { diameter: 0.2 },
  ...more,
});
const windy = { id: "a", kind: "outdoors", coefficient: 1, pressure: 50 };
const network = (nodes: readonly object[], ducts: readonly object[], more: object = {}) =>
  parseNetwork({ format: "ductgraph/1", ...more, nodes, ducts });

const unit = documentOf("a controlled unit that supplies less in frost");
const held = documentOf("a fan that holds its flow");

describe("a number that has two names", () => {
  test("is one number: what is set by one name is read, counted and solved by the other", () => {
    const compiled = compileNetwork(held);
    const byFan = compiled.parameter("fans.f.speed");
    byFan.value = 0.8;
    const byNode = compiled.parameter("nodes.f.speed");
    expect([byNode.value, byNode.initial, byNode.path]).toEqual([0.8, 1, "nodes.f.speed"]);
    byFan.value = 1;
    byNode.value = 0.8;
    compiled.update({ start: "cold" });
    expect(compiled.solution()).toStrictEqual(solveNetwork(withChanges(held, { "fans.f.speed": 0.8 })));
    byFan.value = 0.9;
    byFan.value = 1;
    compiled.update({ start: "document" });
    expect(compiled.solution()).toStrictEqual(solveNetwork(held));
    expect(compiled.solve()).toStrictEqual(solveNetwork(held));
  });

  test("takes one value: two are refused, and both names told", () => {
    const changes = { "fans.unit.supply.speed": 0.8, "nodes.unit.supply.fan.speed": 0.9 };
    const compiled = compileNetwork(unit);
    for (const change of [() => compiled.solve(changes), () => withChanges(unit, changes)]) {
      const [problem, ...others] = problemsOf(change);
      expect(others).toEqual([]);
      expect(problem).toMatchObject({ code: "conflict", path: "nodes.unit.supply.fan.speed" });
      expect(problem.message).toContain("fans.unit.supply.speed");
    }
    const same = { "fans.unit.supply.speed": 0.8, "nodes.unit.supply.fan.speed": 0.8 };
    expect(compiled.solve(same)).toStrictEqual(compiled.solve({ "fans.unit.supply.speed": 0.8 }));
  });

  test("meets neither JSON nor a structured copy with the network after it, nor does the compiled network", () => {
    const compiled = compileNetwork(held);
    for (const one of [compiled, compiled.parameter("fans.f.speed")]) {
      expect(JSON.stringify(one)).toBe("{}");
      expect(structuredClone(one)).toEqual({});
      expect(Reflect.ownKeys(one)).toEqual([]);
    }
  });
});

describe("what reads a number is refreshed with it", () => {
  const flows = ({ ducts }: Solution): number[] => Object.values(ducts).map(({ flow }) => flow);
  const expectFlows = (solution: Solution, truth: Solution): void => {
    for (const id in truth.ducts) expect(solution.ducts[id].flow, id).toBeCloseTo(truth.ducts[id].flow, 6);
  };

  test.each([
    ["duct irisDamper, round", "ducts.d.fittings.0.table.0.coefficient", 60],
    ["fittings given in the document", "ducts.d.fittings.0.coefficient", 3],
    ["a fan that holds its flow", "ducts.e.section.diameter", 0.12],
    ...["entry", "section.diameter", "parallel"].flatMap((key) =>
      (["static", "total"] as const).map((kind): [string, string, number] => [
        `a fan that holds a ${kind} pressure at the inlet of a duct that leaves a plenum`,
        `ducts.g.${key}`,
        key === "entry" ? 2.5 : key === "parallel" ? 2 : 0.2,
      ]),
    ),
    ["a fan that holds a static pressure at the inlet of a duct that leaves outdoors", "nodes.a.coefficient", 3],
    ["a fan that holds a total pressure at the outlet of a duct into a plenum", "ducts.e.section.diameter", 0.2],
    ["a unit that holds a pressure in a duct whose air is inherited", "nodes.bath.air.temperature", 30],
  ])("%s: %s", (name, path, value) => {
    const document = documentOf(name);
    const truth = solveNetwork(withChanges(document, { [path]: value }));
    const before = solveNetwork(document);
    const moved = flows(truth).some((flow, i) => Math.abs(flow - flows(before)[i]) > 1e-5);
    const hasMoved = moved || JSON.stringify(truth.fans) !== JSON.stringify(before.fans);
    expect(hasMoved).toBe(true);
    const compiled = compileNetwork(document);
    compiled.update();
    const parameter = compiled.parameter(path);
    parameter.value = value;
    compiled.update();
    expectFlows(compiled.solution(), truth);
    compiled.update({ start: "cold" });
    expect(compiled.solution()).toStrictEqual(truth);
    expectFlows(compiled.solve({ [path]: value }), truth);
  });

  test("a fixed coefficient beside a controlled fan", () => {
    const document = network(
      [windy, { id: "f", kind: "fan", curve: documentCurve, control: { kind: "flow", flow: 0.08 } }, calm],
      [duct("d", "a", "f.inlet", { fittings: [{ kind: "fixed", coefficient: 1 }] }), duct("e", "f.outlet", "b")],
    );
    const compiled = compileNetwork(document);
    compiled.update();
    set(compiled, "ducts.d.fittings.0.coefficient", 4)();
    compiled.update({ start: "cold" });
    const truth = solveNetwork(withChanges(document, { "ducts.d.fittings.0.coefficient": 4 }));
    expect(compiled.solution()).toStrictEqual(truth);
  });
});

const calm = { id: "b", kind: "outdoors", entry: 0, exit: 0 };
const documentCurve = {
  pressureKind: "total",
  points: [
    { flow: 0, pressure: 300 },
    { flow: 0.2, pressure: 0 },
  ],
};

describe("a change that the document would not bear is refused where it is made, and the old value stays", () => {
  const humid = { air: { temperature: 75, relativeHumidity: 1 } };
  const high = network([windy, { ...calm, entry: 1, exit: 1 }], [duct("d", "a", "b", humid), duct("e", "a", "b")], {
    air: { temperature: 20, altitude: 0 },
  });
  const smooth = network(
    [{ ...windy, coefficient: 0.1 }, { id: "j", kind: "junction" }, { id: "k", kind: "junction" }, calm],
    [duct("d", "a", "j"), duct("e", "j", "k"), duct("f", "j", "k"), duct("g", "k", "b", { length: 0 })],
  );
  const factor = network([{ ...windy, coefficient: 0.1 }, calm], [duct("d", "a", "b", { frictionFactor: 0.02 })]);
  const rated = { frictionRating: { pressure: 2, length: 1, flow: 0.1 } };
  const terminal = { id: "t", kind: "terminal", service: "supply", loss: { pressure: 5, flow: 0.1 } };

  test.each([
    ["vapour in a duct's own air", high, "air.altitude", 9000, "value.range", "ducts.d.air.relativeHumidity"],
    ["a friction factor of 0", factor, "ducts.d.frictionFactor", 0, "network.no-resistance", "ducts.d"],
  ])("%s", (_, document, path, value, code, place) => {
    const doc = withChanges(document, document === factor ? { "nodes.a.coefficient": 0 } : {});
    const compiled = compileNetwork(doc);
    compiled.update();
    const before = compiled.solution();
    for (const change of [set(compiled, path, value), () => compiled.solve({ [path]: value })]) {
      const [problem, ...others] = problemsOf(change);
      expect(others).toEqual([]);
      expect(problem).toMatchObject({ code, path });
      expect(problem.message).toContain(place);
    }
    expect(compiled.parameter(path).value).toBe(compiled.parameter(path).initial);
    expect(compiled.solution()).toStrictEqual(before);
    expect(problemsOf(() => withChanges(doc, { [path]: value })).map((one) => one.code)).toEqual([code]);
  });

  test.each([
    ["two lengths of a loop", smooth, { "ducts.e.length": 0, "ducts.f.length": 0 }],
    [
      "a friction rating and a coefficient",
      network([{ ...windy, coefficient: 0.1 }, calm], [duct("d", "a", "b", rated)]),
      { "ducts.d.frictionRating.pressure": 0, "nodes.a.coefficient": 0 },
    ],
    [
      "the loss of a terminal, a length and a coefficient",
      network([{ ...windy, coefficient: 0.1 }, terminal], [duct("d", "a", "t")]),
      { "nodes.t.loss.pressure": 0, "ducts.d.length": 0, "nodes.a.coefficient": 0 },
    ],
  ])("a path that loses its last resistance by %s", (_, document, changes) => {
    const compiled = compileNetwork(document);
    expect(problemsOf(() => compiled.solve(changes)).map(({ code }) => code)).toEqual(["network.no-resistance"]);
    const paths = Object.keys(changes);
    for (const path of paths.slice(0, -1)) set(compiled, path, 0)();
    const last = paths[paths.length - 1];
    const [problem] = problemsOf(set(compiled, last, 0));
    expect(problem).toMatchObject({ code: "network.no-resistance", path: last });
    compiled.update();
    expect(compiled.parameter(last).value).toBeGreaterThan(0);
  });

  test("a ratio by which a balance follows from others: half, beside another half", () => {
    const fan = (id: string, control: object) => ({ id, kind: "fan", curve: documentCurve, control });
    const toH = (ratio: number) => ({ kind: "balance", to: "h", ratio });
    const nodes = [windy, fan("f", toH(0.4)), fan("g", toH(0.5)), { id: "j", kind: "junction" }];
    const ways = [
      ["a", "f.inlet"],
      ["a", "g.inlet"],
      ["f.outlet", "j"],
      ["g.outlet", "j"],
      ["j", "h.inlet"],
      ["h.outlet", "b"],
    ];
    const compiled = compileNetwork(
      network(
        [...nodes, { id: "h", kind: "fan", curve: documentCurve }, calm],
        ways.map(([from, to], i) => duct(`d${i}`, from, to)),
      ),
    );
    expect(problemsOf(set(compiled, "fans.f.control.ratio", 0.5))).toMatchObject([
      { code: "control.doubled", path: "fans.f.control.ratio" },
    ]);
    set(compiled, "fans.f.control.ratio", 0.3)();
  });
});

describe("paths", () => {
  const compiled = compileNetwork(unit);
  const odd = [
    "",
    "ducts",
    "nodes",
    "openings",
    "fans",
    "air",
    "terminals",
    "ducts.",
    "nodes.unit",
    "fans.unit",
    ".",
    "a.b",
  ];
  test.each([...odd, null, undefined, 5, Symbol("x"), {}])("%s names no number, wherever it is given", (path) => {
    const asked = [
      () => compiled.parameter(path as never),
      () => compiled.output(path as never),
      () => describePath(unit, path as never),
      ...(typeof path === "string"
        ? [() => compiled.solve({ [path]: 1 }), () => withChanges(unit, { [path]: 1 })]
        : []),
    ];
    for (const ask of asked) {
      const [problem] = problemsOf(ask);
      expect(problem.code).toBe("path.unknown");
      expect(typeof problem.path).toBe("string");
    }
  });

  test.each([
    ["fans.unit.supply.control.flw", "fans.unit.supply.control.flow"],
    ["fans.unit.supply.sped", "fans.unit.supply.speed"],
    ["nodes.unit.supply.fan.sped", "nodes.unit.supply.fan.speed"],
  ])("%s is answered with %s", (path, nearest) => {
    expect(problemsOf(() => compiled.parameter(path))[0].nearest).toBe(nearest);
  });

  test("a path below a fan without a controller is not answered with a path that has lost its dots", () => {
    const [problem] = problemsOf(() =>
      compileNetwork(documentOf("a unit without heat")).parameter("fans.unit.supply.control.flow"),
    );
    expect(problem.nearest ?? "fans.unit.supply.").toMatch(/^fans\.unit\.supply\./);
    expect(problem.found).toBe("'control.flow'");
  });

  test("an air that the document does not give is told as such", () => {
    const [problem] = problemsOf(() => compileNetwork(held).parameter("outdoorAir.temperature"));
    expect(problem.message).toBe("'outdoorAir.temperature': expected a document with 'outdoorAir', got one without");
  });
});

describe("outputs", () => {
  const recorded = (name: string, ...paths: readonly string[]): (number | undefined)[] => {
    const compiled = compileNetwork(documentOf(name));
    compiled.update();
    return paths.map((path) => compiled.output(path).value);
  };

  test("that come and go with the state are offered, and have no value where they do not exist", () => {
    expect(recorded("a fan that holds its flow", "fans.f.control.missing")).toEqual([undefined]);
    const [missing] = recorded("a fan that reaches its limit", "fans.f.control.missing");
    expect(missing).toBeGreaterThan(0);
    const [loss, coefficient, value] = recorded(
      "a unit without heat",
      "nodes.j.losses.paths.0.loss",
      "nodes.j.losses.paths.1.coefficient",
      "terminals.w.regulator.outside.0.value",
    );
    for (const number of [loss, coefficient]) expect(Number.isFinite(number)).toBe(true);
    expect(value === undefined || Number.isFinite(value)).toBe(true);
    expect(recorded("duct bend, round", "ducts.d.fittings.0.outside.0.range.max")).toEqual([undefined]);
  });

  test.each([
    ["fittings given in the document", "ducts.d.fittings.length"],
    ["fittings given in the document", "ducts.d.fittings.0.outside.0.value"],
    ["a fan with curves at several speeds on a setting", "fans.f.control.missing"],
    ["a unit without heat", "nodes.j.losses.paths.length"],
    ["a unit without heat", "nodes.j.losses.paths.7.loss"],
    ["a unit without heat", "nodes.box.losses.paths.0.loss"],
  ])("that %s never has are refused: %s", (name, path) => {
    expect(problemsOf(() => compileNetwork(documentOf(name)).output(path))[0].code).toBe("path.unknown");
  });

  test("by 'convergence' alone are told which numbers it has, and not their own name", () => {
    const [problem] = problemsOf(() => compileNetwork(documentOf("a unit without heat")).output("convergence"));
    expect(problem.message).toContain("expected one of the numbers iterations, massResidual, pressureResidual");
    expect(problem.nearest).toBeUndefined();
  });
});

describe("starts and options of an update", () => {
  test("a sharper first update does not become the document's own answer", () => {
    const compiled = compileNetwork(unit);
    compiled.update({ tolerance: 1e-4 });
    expect(compiled.solve()).toStrictEqual(solveNetwork(unit));
  });

  const proxy = (trap: object): never =>
    new Proxy({ tolerance: 0.5, "fans.f.speed": 0.5 }, trap as ProxyHandler<object>) as never;
  const angry = (): never => {
    throw new Error("no");
  };
  test.each([
    ["keys", { ownKeys: angry }],
    ["values", { get: angry }],
  ])("options and changes whose %s throw are refused, and nothing changes", (_, trap) => {
    const compiled = compileNetwork(held);
    compiled.update();
    const before = compiled.solution();
    const acts = [
      () => compiled.update(proxy(trap)),
      () => compiled.solve(proxy(trap)),
      () => withChanges(held, proxy(trap)),
      () => solveNetwork(held, proxy(trap)),
    ];
    for (const act of acts) expect(problemsOf(act)[0].code).toBe("not-an-object");
    expect(compiled.solution()).toStrictEqual(before);
    expect(compiled.solve()).toStrictEqual(before);
  });

  test("a change whose value is another each time it is read is read once", () => {
    let reads = 0;
    const compiled = compileNetwork(held);
    const changes = Object.defineProperty({}, "fans.f.speed", {
      enumerable: true,
      get: () => (reads++ === 0 ? 0.8 : Number.NaN),
    });
    expect(compiled.solve(changes)).toStrictEqual(compiled.solve({ "fans.f.speed": 0.8 }));
    expect(compiled.solve()).toStrictEqual(solveNetwork(held));
  });

  test.each([0, -1, 1.5, Number.NaN, Number.POSITIVE_INFINITY, "5", null, true])(
    "maxIterations %s is refused",
    (bad) => {
      const [problem] = problemsOf(() => solveNetwork(held, { maxIterations: bad as never }));
      expect(problem).toMatchObject({ code: "out-of-range", path: "maxIterations" });
    },
  );

  test.each(["0.5", null, true, [0.5], {}, Number.NaN, 0, 2])("tolerance %s is refused", (bad) => {
    const compiled = compileNetwork(held);
    for (const act of [
      () => solveNetwork(held, { tolerance: bad as never }),
      () => compiled.update({ tolerance: bad as never }),
    ]) {
      expect(problemsOf(act)[0]).toMatchObject({ code: "out-of-range", path: "tolerance" });
    }
  });
});

describe("paths of what stands elsewhere, or nowhere", () => {
  const document = {
    format: "ductgraph/1",
    nodes: [
      { id: "in", kind: "outdoors", coefficient: 1 },
      {
        id: "f",
        kind: "fan",
        curve: {
          pressureKind: "total",
          points: [
            { flow: 0, pressure: 200 },
            { flow: 0.1, pressure: 40 },
          ],
        },
      },
      { id: "t", kind: "terminal", service: "supply", designFlow: 0.02, loss: { pressure: 20, flow: 0.02 } },
    ],
    ducts: [duct("a", "in", "f.inlet"), duct("b", "f.outlet", "t")],
  } as never;

  test("of a terminal's design flow is that of its node", () => {
    const compiled = compileNetwork(document);
    const [problem] = problemsOf(() => compiled.parameter("terminals.t.designFlow"));
    expect(problem).toMatchObject({ code: "path.unknown", nearest: "nodes.t.designFlow" });
    expect(problemsOf(() => compiled.parameter("terminals.t.flow"))[0]).not.toMatchObject({ nearest: "nodes.t.flow" });
  });

  test("of the power of a fan whose curve gives none is told by that", () => {
    const [problem] = problemsOf(() => compileNetwork(document).output("fans.f.power"));
    expect(problem.message).toContain(
      "expected a fan whose curve gives power or efficiency, got one that gives neither",
    );
  });

  test.each([
    ["a Map", new Map([["fans.f.speed", 0.5]])],
    ["a Date", new Date(0)],
    ["a list", []],
  ])("are not in %s, which would change nothing in silence", (_, value) => {
    const compiled = compileNetwork(document);
    for (const act of [
      () => compiled.solve(value as never),
      () => compiled.update(value as never),
      () => withChanges(document, value as never),
      () => solveNetwork(document, value as never),
    ]) {
      expect(problemsOf(act)).toMatchObject([{ code: "not-an-object" }]);
    }
  });
});
