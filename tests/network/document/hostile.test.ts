import { afterAll, describe, expect, test } from "vitest";
import {
  checkNetwork,
  indexRun,
  leastFavoured,
  type Network,
  type NetworkDocument,
  type Problem,
  parseNetwork,
  pressurePath,
  type Solution,
  solveNetwork,
  summarise,
} from "../../../src/index.js";

/*
 * Input that nobody writes in earnest. Whatever it is: checkNetwork returns, parseNetwork returns or throws a
 * DocumentError with the same problems, nothing outside is changed, and the time grows as the input.
 */

/** The problems of a value, after both readers have been seen to agree on it. */
const survived = (value: unknown): readonly Problem[] => {
  const { problems } = checkNetwork(value);
  let thrown: unknown;
  try {
    parseNetwork(value);
  } catch (error) {
    thrown = error;
  }
  if (problems.length === 0) expect(thrown).toBeUndefined();
  else {
    const error = thrown as { name: string; message: string; problems: readonly Problem[] };
    expect(error.name).toBe("DocumentError");
    expect(error.message.length).toBeLessThan(5000);
    expect(error.problems.length).toBe(problems.length);
    for (const { message, expected = "", found = "" } of problems.slice(0, 100)) {
      expect(message.length + expected.length + found.length).toBeLessThan(2000);
    }
  }
  return problems;
};

const curve = {
  pressureKind: "static",
  outlet: { diameter: 0.3 },
  points: [
    { flow: 0, pressure: 100, power: 10 },
    { flow: 0.1, pressure: 50, power: 15 },
  ],
};
const rating = { pressure: "20 Pa", flow: "20 l/s", exponent: 1.5 };
const house = JSON.stringify({
  $schema: "ductgraph/schema.json",
  format: "ductgraph/1",
  title: "house",
  label: "house",
  meta: { by: "us" },
  air: { temperature: "20 degC", altitude: "300 m" },
  outdoorAir: { density: 1.25 },
  friction: "haaland",
  nodes: [
    { id: "in", kind: "outdoors", entry: 0.5, exit: 1, section: { width: 0.2, height: 0.1 } },
    { id: "unit", kind: "airHandler", supply: { fan: { curve }, components: [{ name: "filter", ...rating }] } },
    { id: "box", kind: "plenum", entry: 0.4 },
    { id: "j", kind: "junction", inflow: 0 },
    { id: "room", kind: "room", air: { temperature: 22 }, elevation: 2 },
    {
      id: "a",
      kind: "terminal",
      service: "supply",
      loss: rating,
      open: { coefficient: 3 },
      room: "room",
      designFlow: 0.02,
    },
    { id: "f", kind: "fan", speed: 0, stopped: rating },
  ],
  ducts: [
    { id: "a", from: "in", to: "unit.intake", length: "3 m", section: { diameter: "100 mm" } },
    { id: "b", from: "unit.supply", to: "box", length: 2, section: { shape: "flatOval", width: 0.2, height: 0.1 } },
    { id: "c", from: "box", to: "j", length: 2, section: { diameter: 0.1 }, roughness: "aluminium", parallel: 2 },
    {
      id: "d",
      from: "j",
      to: "a",
      length: 2,
      section: { diameter: 0.1 },
      fittings: [{ kind: "fixed", coefficient: 1 }],
    },
    { id: "e", from: "room", to: "f.inlet", length: 2, section: { diameter: 0.1 }, frictionFactor: 0.02 },
    {
      id: "f",
      from: "f.outlet",
      to: "in",
      length: 2,
      section: { diameter: 0.1 },
      frictionRating: { pressure: 1, length: 1, flow: 0.02 },
    },
  ],
  openings: [{ id: "o", from: "room", to: "in", area: "100 cm2" }],
});

test("the house itself is valid", () => {
  expect(survived(JSON.parse(house))).toEqual([]);
});

const many = 100_000;
const nested = (wrap: (inner: unknown) => unknown, depth = many): unknown => {
  let value: unknown = 1;
  for (let i = 0; i < depth; i++) value = wrap(value);
  return value;
};
const cyclic: Record<string, unknown> = { kind: "room", id: "x" };
Object.assign(cyclic, { self: cyclic, nodes: [cyclic], section: cyclic, diameter: cyclic });
const cyclicList: unknown[] = [];
cyclicList.push(cyclicList, cyclicList);
const throwing = (): never => {
  throw new Error("hands off");
};
const throwingProxy = <T extends object>(target: T): T =>
  new Proxy(target, {
    get: throwing,
    has: throwing,
    ownKeys: throwing,
    getOwnPropertyDescriptor: throwing,
    getPrototypeOf: throwing,
  });
const revoked = (target: object): object => {
  const { proxy, revoke } = Proxy.revocable(target, {});
  revoke();
  return proxy;
};
const holes: unknown[] = [];
holes[50] = 1;
const endless: unknown[] = [];
endless.length = 2 ** 32 - 1;

const values: readonly (readonly [string, unknown])[] = [
  ["nothing", undefined],
  ["null", null],
  ["true", true],
  ["not a number", Number.NaN],
  ["infinity", Number.POSITIVE_INFINITY],
  ["minus infinity", Number.NEGATIVE_INFINITY],
  ["minus zero", -0],
  ["the largest number", Number.MAX_VALUE],
  ["1e308", 1e308],
  ["-1e308", -1e308],
  ["the smallest number", Number.MIN_VALUE],
  ["a bigint", 10n ** 400n],
  ["a symbol", Symbol("s".repeat(many))],
  ["a function", throwing],
  ["a class", class {}],
  ["a date", new Date(0)],
  ["an invalid date", new Date(Number.NaN)],
  ["a map", new Map([["diameter", 1]])],
  ["a set", new Set([1])],
  ["a promise", Promise.resolve(1)],
  ["an error", new Error("e")],
  ["a regular expression", /x/],
  ["bytes", new Uint8Array(10)],
  ["a boxed number", Object(5)],
  ["a boxed text", Object("5 m")],
  ["an object without a prototype", Object.create(null)],
  ["toString and valueOf that are no functions", { toString: 5, valueOf: "x", toJSON: 1, constructor: 2 }],
  ["an own __proto__", JSON.parse('{ "__proto__": { "diameter": 1, "polluted": true }, "diameter": 0.1 }')],
  ["a way to a prototype", JSON.parse('{ "constructor": { "prototype": { "polluted": true } } }')],
  [
    "keys that throw",
    {
      get kind() {
        return throwing();
      },
      get id() {
        return throwing();
      },
      get diameter() {
        return throwing();
      },
    },
  ],
  ["a proxy that throws", throwingProxy({})],
  ["a proxy of a list that throws", throwingProxy([])],
  ["a revoked proxy", revoked({})],
  ["a revoked proxy of a list", revoked([])],
  ["a revoked proxy of a function", revoked(throwing)],
  ["a cyclic object", cyclic],
  ["a cyclic list", cyclicList],
  ["a list with holes", holes],
  ["a list of endless length without entries", endless],
  [
    "a list whose iterator never ends",
    Object.assign([1], {
      *[Symbol.iterator]() {
        for (;;) yield 1;
      },
    }),
  ],
  ["a list that is none", { length: 1e9, 0: 1 }],
  ["deep objects", nested((inner) => ({ diameter: inner }))],
  ["deep lists", nested((inner) => [inner])],
  ["the empty text", ""],
  ["spaces", " ".repeat(many)],
  ["a long text", "x".repeat(many)],
  ["a long number", "9".repeat(many)],
  ["a long quantity", `1${" ".repeat(many)}m`],
  ["a long unit", `1 ${"m".repeat(many)}`],
  ["many units", `1 ${"m ".repeat(many / 2)}`],
  ["signs", "-".repeat(many)],
  ["points", ".".repeat(many)],
  ["exponents", `1${"e".repeat(many)}`],
  ["dots between letters", "a.".repeat(many / 2)],
  ["letters of other scripts", "ördnung-管道-🌀"],
  ["half a letter", "\ud800"],
  ["a zero byte", "\u0000"],
  ["the name of a prototype's key", "constructor"],
  ["the prototype's own key", "__proto__"],
];

/** The path of every value in a document. */
function* pathsOf(value: unknown, path: readonly string[] = []): Generator<readonly string[]> {
  yield path;
  if (typeof value !== "object" || value === null) return;
  for (const [key, held] of Object.entries(value)) yield* pathsOf(held, [...path, key]);
}

const paths = [...pathsOf(JSON.parse(house))];

/** The house with another value somewhere. */
const houseWith = (path: readonly string[], value: unknown): unknown => {
  if (path.length === 0) return value;
  const document = JSON.parse(house);
  const holder = path.slice(0, -1).reduce((held, key) => held[key], document);
  holder[path[path.length - 1]] = value;
  return document;
};

describe("a hostile value at every place of a document", () => {
  const functions = Object.getOwnPropertyNames(Object.prototype);
  afterAll(() => {
    expect(Object.getOwnPropertyNames(Object.prototype)).toEqual(functions);
    expect(({} as { polluted?: unknown }).polluted).toBeUndefined();
  });
  test.each(values)("%s", (_, value) => {
    for (const path of paths) survived(houseWith(path, value));
  });
  test.each(values)("%s, under a key that is not known", (_, value) => {
    for (const path of [["x"], ["nodes", "0", "x"], ["ducts", "0", "section", "x"], ["air", "x"]]) {
      expect(survived(houseWith(path, value)).map(({ code }) => code)).toContain("key.unknown");
    }
  });
  test.each(values.filter(([, value]) => value !== undefined))("%s as meta is kept and never read", (_, value) => {
    for (const path of [["meta"], ["nodes", "2", "meta"], ["ducts", "1", "meta"], ["openings", "0", "meta"]]) {
      const network = parseNetwork(houseWith(path, value));
      expect(path.reduce((held, key) => (held as Record<string, unknown>)[key], network as unknown)).toBe(value);
    }
  });
  test("keys of 100,000 characters, and keys of all objects", () => {
    const keys = ["x".repeat(many), "__proto__", "constructor", "toString", "hasOwnProperty", "", "a.b", "\u0000"];
    for (const path of paths) {
      const held = path.reduce((at, key) => at?.[key], JSON.parse(house));
      if (typeof held !== "object" || Array.isArray(held) || path.includes("meta")) continue;
      for (const key of keys) {
        const own = Object.defineProperty({ ...held }, key, { value: 1, enumerable: true });
        expect(survived(houseWith(path, own)).map(({ code }) => code)).toContain("key.unknown");
      }
    }
  });
});

test("a document that throws at one place is faulty at that place alone", () => {
  const readings = [
    ["nodes", "2"],
    ["ducts", "3"],
  ].map((path) => survived(houseWith(path, throwingProxy({}))));
  expect(readings.map(([{ code, path }]) => [code, path])).toEqual([
    ["value.unreadable", "nodes.2"],
    ["value.unreadable", "ducts.3"],
  ]);
});

test("what is given is neither changed nor frozen, and a frozen document is read as any other", () => {
  const document = JSON.parse(house);
  const network = parseNetwork(document);
  expect(document).toEqual(JSON.parse(house));
  for (const path of paths) {
    const held = path.reduce((at, key) => at[key], document);
    if (typeof held === "object") expect(Object.isFrozen(held)).toBe(false);
  }
  const frozen = (value: unknown): unknown => {
    if (typeof value === "object" && value !== null) Object.values(Object.freeze(value)).forEach(frozen);
    return value;
  };
  expect(parseNetwork(frozen(document))).toEqual(network);
});

// ---- Names

test("elements may be called as the keys that every object has", () => {
  const names = ["constructor", "toString", "valueOf", "hasOwnProperty", "isPrototypeOf", "toLocaleString"];
  const called = (rename: (name: string) => string): NetworkDocument => ({
    format: "ductgraph/1",
    nodes: [
      { id: rename("constructor"), kind: "outdoors", coefficient: 1, pressure: 10 },
      { id: rename("toString"), kind: "junction" },
      { id: rename("valueOf"), kind: "room" },
      {
        id: rename("hasOwnProperty"),
        kind: "terminal",
        service: "supply",
        loss: { coefficient: 3 },
        room: rename("valueOf"),
      },
      {
        id: rename("isPrototypeOf"),
        kind: "fan",
        curve: {
          pressureKind: "total",
          points: [
            { flow: 0, pressure: 9 },
            { flow: 1, pressure: 0 },
          ],
        },
      },
      { id: rename("toLocaleString"), kind: "outdoors", coefficient: 1 },
    ],
    ducts: [
      ["constructor", "constructor", "toString"],
      ["toString", "constructor", "toString"],
      ["valueOf", "toString", "isPrototypeOf.inlet"],
      ["hasOwnProperty", "isPrototypeOf.outlet", "hasOwnProperty"],
    ].map(([id, from, to]) => {
      const [node, port] = to.split(".");
      const [first, out] = from.split(".");
      const end = (name: string, at: string | undefined) => (at === undefined ? rename(name) : `${rename(name)}.${at}`);
      return { id: rename(id), from: end(first, out), to: end(node, port), length: 2, section: { diameter: 0.1 } };
    }),
    openings: [{ id: rename("constructor"), from: rename("valueOf"), to: rename("toLocaleString"), area: 0.01 }],
  });
  expect(survived(called((name) => name))).toEqual([]);
  const solution = solveNetwork(called((name) => name));
  const plain = solveNetwork(called((name) => `n${names.indexOf(name)}`));
  expect(Object.keys(solution.nodes)).toEqual(names);
  expect(Object.values(solution.nodes)).toEqual(Object.values(plain.nodes));
  expect(Object.values(solution.ducts)).toEqual(Object.values(plain.ducts));
  expect((Object as { previous?: unknown }).previous).toBeUndefined();
});

// ---- Size

const format = "ductgraph/1";
const of = <T>(count: number, make: (i: number) => T): T[] => Array.from({ length: count }, (_, i) => make(i));
const duct = (id: string, from: string, to: string) => ({ id, from, to, length: 1, section: { diameter: 0.1 } });

/** Documents by their number of elements, each wrong in its own way, with how many problems one element has. */
const sizes: readonly (readonly [string, (count: number) => unknown, number])[] = [
  ["wrong nodes", (count) => ({ format, nodes: of(count, () => 5) }), 1],
  ["wrong ducts", (count) => ({ format, nodes: [], ducts: of(count, () => ({ ...duct("d", "", ""), id: 5 })) }), 3],
  ["wrong openings", (count) => ({ format, nodes: [], openings: of(count, () => null) }), 1],
  ["nodes of one id", (count) => ({ format, nodes: of(count, () => ({ id: "a", kind: "room" })) }), 1],
  ["nodes of no use", (count) => ({ format, nodes: of(count, (i) => ({ id: `n${i}`, kind: "room" })) }), 1],
  [
    "misspelt ends among many names",
    (count) => ({
      format,
      nodes: of(count, (i) => ({ id: `node-${i}`, kind: "junction" })),
      ducts: of(count, (i) => duct(`d${i}`, `nod-${i}`, `nude-${i}`)),
    }),
    2,
  ],
  [
    "ducts at one port",
    (count) => ({
      format,
      nodes: [
        { id: "f", kind: "fan", curve },
        { id: "o", kind: "outdoors", coefficient: 1 },
      ],
      ducts: of(count, (i) => duct(`d${i}`, "o", "f.inlet")),
    }),
    1,
  ],
  [
    "parts without a reference",
    (count) => ({
      format,
      nodes: of(count, (i) => ({ id: `n${i}`, kind: "junction" })),
      ducts: of(count / 2, (i) => duct(`d${i}`, `n${2 * i}`, `n${2 * i + 1}`)),
    }),
    0.5,
  ],
  [
    "ducts without resistance side by side",
    (count) => ({
      format,
      nodes: of(2, (i) => ({ id: `n${i}`, kind: "outdoors", coefficient: 0 })),
      ducts: of(count, (i) => ({ ...duct(`d${i}`, "n0", "n1"), length: 0 })),
    }),
    1,
  ],
  [
    "a chain without resistance",
    (count) => ({
      format,
      nodes: of(count, (i) => ({
        id: `n${i}`,
        kind: i % (count - 1) === 0 ? "outdoors" : "junction",
        ...(i % (count - 1) === 0 ? { coefficient: 0 } : {}),
      })),
      ducts: of(count - 1, (i) => ({ ...duct(`d${i}`, `n${i}`, `n${i + 1}`), length: 0 })),
    }),
    0,
  ],
  [
    "unknown keys of the document",
    (count) => ({ format, nodes: [], ...Object.fromEntries(of(count, (i) => [`nodse${i}`, 1])) }),
    1,
  ],
  [
    "unknown keys of one node",
    (count) => ({
      format,
      nodes: [{ id: "a", kind: "room", ...Object.fromEntries(of(count, (i) => [`entri${i}`, 1])) }],
    }),
    1,
  ],
];

/** The shortest of a few runs [ms]. */
const shortest = (runs: number, work: () => void): number => {
  const times = of(runs, () => {
    const start = performance.now();
    work();
    return performance.now() - start;
  });
  return Math.min(...times);
};

/** One family for each way that problems take, in such numbers that a spread of them would overflow the stack. */
const countOf = (name: string): number =>
  /wrong nodes|one port|side by side|keys of the document/.test(name) ? 200_000 : 40_000;

describe("ten times as many elements take about ten times as long, and 200,000 problems leave the stack whole", () => {
  // Quadratic work would take a hundred times as long; between them lies what a busy machine makes of it.
  test.each(sizes)("%s", (name, make, each) => {
    const count = countOf(name);
    const [small, large] = [make(count / 10), make(count)];
    let problems = 0;
    const ratio = (): number =>
      shortest(1, () => {
        problems = checkNetwork(large).problems.length;
      }) / shortest(3, () => checkNetwork(small));
    // What a pause of the machine does once, quadratic work does each time.
    const ratios = [ratio()];
    while (ratios.length < 4 && Math.min(...ratios) >= 40) ratios.push(ratio());
    expect(Math.min(...ratios)).toBeLessThan(40);
    expect(Math.round(problems / count / (each || 1))).toBe(each === 0 ? 0 : 1);
  });
});

describe("lists inside an element", () => {
  test.each([
    ["points of a curve", (list: unknown[]) => houseWith(["nodes", "1", "supply", "fan", "curve", "points"], list)],
    ["components of a unit", (list: unknown[]) => houseWith(["nodes", "1", "supply", "components"], list)],
    ["fittings of a duct", (list: unknown[]) => houseWith(["ducts", "0", "fittings"], list)],
  ])("%s", (_, place) => {
    expect(survived(place(of(200_000, () => 5))).map(({ code }) => code)).toContain("list.long");
    // As many as are read, all of them wrong.
    expect(survived(place(of(10_000, () => ({})))).length).toBeGreaterThanOrEqual(10_000);
  });
});

// ---- Wrong arguments of what reads a network and a solution

describe("functions of a network and its solution", () => {
  const document: NetworkDocument = {
    format: "ductgraph/1",
    nodes: [
      { id: "in", kind: "outdoors", coefficient: 1 },
      {
        id: "f",
        kind: "fan",
        curve: {
          pressureKind: "total",
          points: [
            { flow: 0, pressure: 90 },
            { flow: 0.1, pressure: 0 },
          ],
        },
      },
      { id: "t", kind: "terminal", service: "supply", loss: { coefficient: 3 }, designFlow: 0.02 },
    ],
    ducts: [duct("a", "in", "f.inlet"), duct("b", "f.outlet", "t")],
  };
  const network: Network = parseNetwork(document);
  const solution = solveNetwork(network);
  const other = solveNetwork({
    format: "ductgraph/1",
    nodes: [
      { id: "in", kind: "outdoors", coefficient: 1 },
      { id: "t", kind: "terminal", service: "supply", loss: { coefficient: 3 } },
    ],
    ducts: [duct("a", "in", "t")],
  });
  const wrongSolutions: readonly (readonly [string, unknown])[] = [
    ["nothing", undefined],
    ["null", null],
    ["a number", 5],
    ["the solution of another network", other],
    ["an empty object", {}],
    ["tables that are none", { ...solution, nodes: 5 }],
    ["a missing terminal", { ...solution, terminals: {} }],
    ["a missing fan", { ...solution, fans: {} }],
    ["a missing duct", { ...solution, ducts: { a: solution.ducts.a } }],
    ["a node without ports", { ...solution, nodes: { ...solution.nodes, f: {} } }],
    ["an entry that is nothing", { ...solution, terminals: { t: null } }],
    ["a flow that is no number", { ...solution, terminals: { t: { ...solution.terminals.t, flow: Number.NaN } } }],
    ["the network in its place", network],
  ];
  const inputError = (code: unknown) =>
    expect.objectContaining({
      name: "InputError",
      problems: [expect.objectContaining({ code, message: expect.stringMatching(/expected .+, got .+/) })],
    });
  const wrong = inputError(expect.stringMatching(/^(solution\.mismatch|not-an-object)$/));

  test("answer the right arguments, also by way of JSON", () => {
    const copy = JSON.parse(JSON.stringify(solution));
    expect(pressurePath(document, copy, "t")).toEqual(pressurePath(network, solution, "t"));
    expect(leastFavoured(document, copy, "f")).toEqual(leastFavoured(network, solution, "f"));
    expect(summarise(copy)).toEqual(summarise(solution));
    expect(solveNetwork(document, { start: copy }).terminals.t.flow).toBeCloseTo(solution.terminals.t.flow, 8);
  });

  test.each(wrongSolutions)("refuse %s for a solution", (_, value) => {
    expect(() => pressurePath(network, value as Solution, "t")).toThrow(wrong);
    expect(() => leastFavoured(network, value as Solution, "f")).toThrow(wrong);
  });

  test.each(
    wrongSolutions.filter(([, value]) => (value as Solution | undefined)?.fans === undefined || value === network),
  )("refuse %s to be summarised or started from", (_, value) => {
    expect(() => summarise(value as Solution)).toThrow(inputError("not-an-object"));
    if (value !== undefined)
      expect(() => solveNetwork(network, { start: value as Solution })).toThrow(inputError("not-an-object"));
  });

  test("refuse entries that are no objects to be started from, each by its place", () => {
    const start = { ...solution, fans: { f: null }, ducts: { ...solution.ducts, a: 5 } } as unknown as Solution;
    expect(() => solveNetwork(network, { start })).toThrow(
      expect.objectContaining({
        name: "InputError",
        problems: ["start.ducts.a", "start.fans.f"].map((path) =>
          expect.objectContaining({ code: "not-an-object", path }),
        ),
      }),
    );
  });

  const names: readonly unknown[] = [
    undefined,
    null,
    5,
    {},
    [],
    "x",
    "T",
    "constructor",
    "__proto__",
    "",
    Symbol("t"),
    "x".repeat(many),
  ];
  test("refuse names that are none of the network's", () => {
    for (const name of names) {
      expect(() => pressurePath(network, solution, name as string)).toThrow(inputError("unknown-terminal"));
      expect(() => indexRun(network, name as string)).toThrow(inputError("unknown-fan"));
      expect(() => leastFavoured(network, solution, name as string)).toThrow(inputError("unknown-fan"));
    }
  });

  const documents: readonly unknown[] = [
    undefined,
    null,
    5,
    "x",
    [],
    {},
    { format },
    { ...document, nodes: 5 },
    solution,
  ];
  test.each(documents.map((value) => [value]))("refuse the document %s", (value) => {
    const wrongDocument = expect.objectContaining({ name: "DocumentError" });
    expect(() => solveNetwork(value as Network)).toThrow(wrongDocument);
    expect(() => pressurePath(value as Network, solution, "t")).toThrow(wrongDocument);
    expect(() => indexRun(value as Network, "f")).toThrow(wrongDocument);
    expect(() => leastFavoured(value as Network, solution, "f")).toThrow(wrongDocument);
  });

  test.each<[unknown, string]>([
    [null, "not-an-object"],
    [5, "not-an-object"],
    [{ tolerence: 1 }, "unknown-key"],
    [{ tolerance: 2 }, "out-of-range"],
    [{ tolerance: Number.NaN }, "out-of-range"],
    [{ tolerance: "1" }, "out-of-range"],
    [{ tolerance: null }, "out-of-range"],
    [{ maxIterations: 0 }, "out-of-range"],
    [{ maxIterations: Number.POSITIVE_INFINITY }, "out-of-range"],
    [{ start: 5 }, "not-an-object"],
  ])("refuse the options %s", (options, code) => {
    expect(() => solveNetwork(network, options as object)).toThrow(inputError(code));
  });

  test.each<[unknown, string]>([
    [null, "not-an-object"],
    [{ flows: "l/s" }, "unknown-key"],
    [{ flow: "l/z" }, "quantity.unit-unknown"],
    [{ flow: 5 }, "quantity.unit-unknown"],
  ])("refuse the units %s", (units, code) => {
    expect(() => summarise(solution, units as object)).toThrow(inputError(code));
  });
});
