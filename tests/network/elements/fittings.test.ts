import { readFileSync } from "node:fs";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import {
  compileNetwork,
  type NetworkDocument,
  networkSchema,
  parseNetwork,
  type Solution,
  solveNetwork,
} from "../../../src/index.js";
import { layoutOf } from "../../../src/network/document/document.js";
import { assemble } from "../../../src/network/solve/assemble.js";
import { bare, bareArea, codesOf, solved } from "../../helpers/documents.js";
import { expectSolved } from "../../helpers/evaluator.js";
import { fits, type Schema } from "../../helpers/json-schema.js";
import { within } from "../../helpers/networks.js";

type Document = Omit<NetworkDocument, "format">;
type Fittings = NonNullable<NetworkDocument["ducts"]>[number]["fittings"];

const printed = JSON.parse(readFileSync(new URL("../../references/fittings-bends.json", import.meta.url), "utf8")) as {
  readonly smoothRound: { readonly rows: readonly [ratio: number, coefficient: number][] };
  readonly roundMitre: { readonly rows: readonly [degrees: number, coefficient: number][] };
  readonly sharpReynolds: { readonly rows: readonly [tenThousands: number, factor: number][] };
  readonly roundedReynolds: { readonly rows: readonly [tenThousands: number, factor: number][] };
};
const [density, viscosity] = [1.2, 1.81e-5];

/** The flow of a Reynolds number in a round duct [m³/s], Re = 4ρq/(πDμ). */
const flowAt = (reynolds: number, diameter = 0.1): number =>
  (reynolds * Math.PI * diameter * viscosity) / (4 * density);

/** ½ρv² of a flow in a duct of 100 mm [Pa] */
const pressureAt = (flow: number): number => 0.5 * density * (flow / bareArea) ** 2;

/** A flow pushed through a duct of 100 mm that loses by its fittings alone. */
const pushed = (flow: number, fittings: Fittings, more: object = {}, air: object = {}): Document => ({
  ...air,
  nodes: [
    { id: "j", kind: "junction", inflow: flow },
    { id: "out", kind: "outdoors", entry: 0, exit: 0 },
  ],
  ducts: [bare("d", "j", "out", { fittings, ...more })],
});
const ductOf = (document: Document): Solution["ducts"][string] => solved(document).ducts.d;
const lossOf = (document: Document): number => ductOf(document).fittingLoss;

describe("fittings of a duct", () => {
  // SMACNA: tables of bends read, the Reynolds correction of smooth bends from memory.
  test.each(printed.roundedReynolds.rows)(
    "two smooth bends of 90° lose twice the printed coefficient times the printed factor, at Re %s·10⁴",
    (tenThousands, factor) => {
      const flow = flowAt(1e4 * tenThousands);
      for (const [radiusRatio, coefficient] of printed.smoothRound.rows.filter(([ratio]) => ratio >= 0.75)) {
        const { fittings, fittingLoss } = ductOf(pushed(flow, [{ kind: "bend", angle: "90°", radiusRatio, count: 2 }]));
        expect(fittings?.[0].coefficient).toBeCloseTo(coefficient * factor, 10);
        expect(fittingLoss).toBeCloseTo(2 * coefficient * factor * pressureAt(flow), 8);
      }
    },
  );

  // The same, read: round mitred bend with its Reynolds correction.
  test.each(printed.sharpReynolds.rows)(
    "a mitred bend loses its printed coefficient times the printed factor, at Re %s·10⁴",
    (tenThousands, factor) => {
      const flow = flowAt(1e4 * tenThousands);
      for (const [degrees, coefficient] of printed.roundMitre.rows) {
        const loss = lossOf(pushed(flow, [{ kind: "mitredBend", angle: `${degrees} deg` }]));
        expect(loss / pressureAt(flow)).toBeCloseTo(coefficient * factor, 10);
      }
    },
  );

  const mixed: Fittings = [
    { kind: "bend", count: 3 },
    { kind: "fixed", coefficient: 0.7, count: 2 },
    { kind: "filter", clean: 30, loaded: 90, loading: 0.5, flow: 0.02 },
    { kind: "mitredBend" },
    { kind: "rating", pressure: 12, flow: 0.03, exponent: 1.3 },
    { kind: "singleBladeDamper", angle: "30°" },
    {
      kind: "irisDamper",
      table: [
        { setting: 0, coefficient: 1 },
        { setting: 1, coefficient: 9 },
      ],
      setting: 0.5,
    },
  ] as Fittings;

  test("are listed in their order with their losses, which make up that of the duct", () => {
    const { fittings = [], fittingLoss } = ductOf(pushed(0.02, mixed));
    expect(fittings.map(({ kind }) => kind)).toEqual((mixed as { kind: string }[]).map(({ kind }) => kind));
    expect(fittings.reduce((sum, { loss }) => sum + loss, 0)).toBeCloseTo(fittingLoss, 10);
    for (const { kind, coefficient } of fittings)
      expect(coefficient === undefined, kind).toBe(["filter", "rating"].includes(kind));
  });

  test("lose against the flow what they lose along it", () => {
    const [along, against] = [0.02, -0.02].map((flow) => ductOf(pushed(flow, mixed)));
    expect(against.fittingLoss).toBeCloseTo(-along.fittingLoss, 9);
    expect(against.fittings?.map(({ coefficient }) => coefficient)).toEqual(
      along.fittings?.map(({ coefficient }) => coefficient),
    );
  });

  test("as solved are worth as much as fixed ones of the same coefficients", () => {
    const driven = (fittings: Fittings): Document => ({
      nodes: [
        { id: "in", kind: "outdoors", pressure: 40, entry: 0.5, exit: 1 },
        { id: "out", kind: "outdoors", entry: 0.5, exit: 1 },
      ],
      ducts: [bare("d", "in", "out", { fittings, frictionFactor: undefined, length: 6 })],
    });
    const found = solved(driven([{ kind: "bend", count: 4 }, { kind: "mitredBend" }]));
    const fixed = found.ducts.d.fittings?.map(({ coefficient = 0 }, i) => ({
      kind: "fixed" as const,
      coefficient,
      count: i === 0 ? 4 : 1,
    }));
    const again = solved(driven(fixed));
    expect(again.ducts.d.flow).toBeCloseTo(found.ducts.d.flow, 12);
    expect(again.ducts.d.fittingLoss).toBeCloseTo(found.ducts.d.fittingLoss, 8);
  });

  test("stand in each of parallel runs: twice the flow in two runs loses the same", () => {
    expect(lossOf(pushed(0.04, mixed, { parallel: 2 }))).toBeCloseTo(lossOf(pushed(0.02, mixed)), 9);
  });

  test("counted are as many of them one after another", () => {
    const bend = { kind: "bend" as const, radiusRatio: 1 };
    const coil = { kind: "coil" as const, pressure: 20, flow: 0.02 };
    const single = lossOf(pushed(0.02, [bend, bend, bend, coil, coil]));
    expect(
      lossOf(
        pushed(0.02, [
          { ...bend, count: 3 },
          { ...coil, count: 2 },
        ]),
      ),
    ).toBeCloseTo(single, 9);
  });

  test("follow the Reynolds number of the true velocity and the hydraulic diameter in a rectangle", () => {
    const section = { width: 0.3, height: 0.15 };
    // D_h = 0.2 m; Re 20,000 is v = 20,000·1.81e-5/(1.2·0.2) = 1.508333 m/s. SMACNA, H/W 0.5 and R/W 1.5: 0.20 (memory).
    const velocity = (2e4 * viscosity) / (density * 0.2);
    const { fittings, velocity: found } = ductOf(
      pushed(velocity * 0.045, [{ kind: "bend", radiusRatio: 1.5 }], { section }),
    );
    expect(found).toBeCloseTo(1.508333, 6);
    expect(fittings?.[0].coefficient).toBeCloseTo(0.2 * 1.77, 9);
  });
});

describe("equipment", () => {
  const coil = { kind: "coil" as const, pressure: 20, flow: 0.02, exponent: 2 };

  test("at its rated flow loses its rated pressure, half way between clean and loaded for a filter half loaded", () => {
    const filter = { kind: "filter" as const, clean: 30, loaded: 90, loading: 0.5, flow: 0.02 };
    expect(lossOf(pushed(0.02, [coil]))).toBeCloseTo(20, 9);
    expect(lossOf(pushed(0.02, [filter]))).toBeCloseTo(60, 9);
    expect(lossOf(pushed(0.01, [filter]))).toBeCloseTo(60 * 0.5 ** 1.4, 9);
  });

  test("turbulent loses in proportion to the density of its air, laminar to its viscosity", () => {
    const thin = { air: { density: 0.9, viscosity: 1.7e-5 } };
    expect(lossOf(pushed(0.02, [coil], {}, thin))).toBeCloseTo(20 * (0.9 / 1.2), 9);
    expect(lossOf(pushed(0.02, [{ ...coil, exponent: 1 }], {}, thin))).toBeCloseTo(20 * (1.7 / 1.81), 9);
  });
});

describe("what a source does not cover", () => {
  test("is computed, flagged, and warned of with how far it is outside", () => {
    const solution = solved(pushed(0.02, [{ kind: "bend", radiusRatio: 3 }]));
    expect(solution.ducts.d.fittings?.[0]).toMatchObject({
      withinRange: false,
      outside: [{ what: "radiusRatio", value: 3, range: { min: 0.5, max: 2.5 } }],
    });
    const [warning] = solution.warnings.filter(({ code }) => code === "fitting.outside-range");
    expect(warning.path).toBe("ducts.d.fittings.0");
    expect(warning.message).toMatch(/radiusRatio of 3, 0\.5 beyond/);
  });

  test("of Reynolds numbers is one warning for the slowest, with the number of the others", () => {
    const document = (flows: number[]): Document => ({
      nodes: flows.flatMap((inflow, i) => [
        { id: `j${i}`, kind: "junction" as const, inflow },
        { id: `out${i}`, kind: "outdoors" as const, entry: 0, exit: 1 },
      ]),
      ducts: flows.map((_, i) =>
        bare(`d${i}`, `j${i}`, `out${i}`, { fittings: [{ kind: "bend" }, { kind: "mitredBend" }] }),
      ),
    });
    const solution = solved(document([flowAt(8000), flowAt(5000), flowAt(2e4)]));
    const found = solution.warnings.filter(({ code }) => code === "fitting.reynolds");
    expect(found.map(({ path }) => path)).toEqual(["ducts.d1.fittings.0"]);
    expect(found[0].message).toMatch(/5000, 5000 beyond.*\(and 3 more\)/);
    expect(codesOf(solved(document([flowAt(2e4)])))).toEqual([]);
  });
});

describe("a plain junction", () => {
  const meeting = (flow: number, ...ends: object[]): Solution =>
    solved({
      nodes: [
        { id: "feed", kind: "junction", inflow: flow },
        { id: "j", kind: "junction" },
        ...ends.map((_, i) => ({ id: `out${i}`, kind: "outdoors" as const, entry: 0.5, exit: 1 })),
      ],
      ducts: [bare("a", "feed", "j"), ...ends.map((more, i) => bare(`b${i}`, "j", `out${i}`, more))],
    });

  test("of three ducts says above 1 Pa of velocity pressure that it loses nothing", () => {
    const least = bareArea * Math.sqrt(2 / density);
    expect(codesOf(meeting(1.01 * least, {}, {}))).toEqual(["junction.no-loss"]);
    expect(codesOf(meeting(0.99 * least, {}, {}))).toEqual([]);
  });

  test("of two sections says what an abrupt change would lose: (1 − b)² widening, 0.5(1 − b)^0.75 narrowing", () => {
    // Borda and Carnot; Idelchik, diagram 4-9. b = (100/200)² = 0.25; on the velocity pressure in the 100 mm duct.
    const wide = { section: { diameter: 0.2 } };
    const widening = meeting(0.05, wide).warnings;
    expect(widening.map(({ code }) => code)).toEqual(["junction.section-changes"]);
    expect(widening[0].message).toContain(`${(0.75 ** 2 * pressureAt(0.05)).toFixed(2)} Pa`);
    const narrowing = meeting(-0.05, wide).warnings.filter(({ code }) => code === "junction.section-changes");
    expect(narrowing[0].message).toContain(`${(0.5 * 0.75 ** 0.75 * pressureAt(0.05)).toFixed(2)} Pa`);
    expect(codesOf(meeting(0.05, {}))).toEqual([]);
  });
});

describe("a flexible duct", () => {
  test("pushed together by 15 per cent rubs 1 + 0.58·15·exp(−0.00496·100) times as much", () => {
    const rough = { frictionFactor: undefined, roughness: 0.0009, length: 5 };
    const [straight, short] = [0, 0.15].map((compression) => ductOf(pushed(0.02, [], { ...rough, compression })));
    // ASHRAE Fundamentals 2009 (memory)
    expect(short.frictionLoss / straight.frictionLoss).toBeCloseTo(6.298, 3);
    expect(short.frictionFactor).toBe(straight.frictionFactor);
  });
});

// ---- Solving

const system: NetworkDocument = {
  format: "ductgraph/1",
  nodes: [
    { id: "in", kind: "outdoors", pressure: 60, end: { kind: "louvre", area: 0.09, freeArea: 0.5 } },
    { id: "x", kind: "transition", form: { kind: "conical", angle: "30°" } },
    { id: "box", kind: "plenum", area: 0.12 },
    { id: "out", kind: "outdoors", end: { kind: "wireMesh", freeArea: 0.6 } },
    { id: "t", kind: "terminal", service: "supply", loss: { pressure: 15, flow: 0.02 } },
  ],
  ducts: [
    {
      id: "d",
      from: "in",
      to: "x.a",
      length: 3,
      section: { diameter: 0.2 },
      fittings: [
        { kind: "bend", angle: "90°", radiusRatio: 1 },
        { kind: "mitredBend", angle: "60°" },
        { kind: "bend", count: 2 },
      ],
    },
    { id: "e", from: "x.b", to: "box", length: 2, section: { diameter: 0.125 }, fittings: [{ kind: "segmentedBend" }] },
    { id: "flex", from: "box", to: "out", length: 2, section: { diameter: 0.16 }, compression: 0.1, roughness: 0.0009 },
    { id: "g", from: "box", to: "t", length: 4, section: { diameter: 0.1 }, entry: 0.3, fittings: [{ kind: "bend" }] },
  ],
};

/** The document with the values of some fields changed. */
const changedTo = (changes: Readonly<Record<string, number>>): NetworkDocument => {
  const document = structuredClone(system) as unknown as Record<string, { id: string }[]>;
  for (const [path, value] of Object.entries(changes)) {
    const [list, id, ...keys] = path.split(".");
    let holder = document[list].find((one) => one.id === id) as unknown as Record<string, unknown>;
    for (const key of keys.slice(0, -1)) holder = holder[key] as Record<string, unknown>;
    holder[keys[keys.length - 1]] = value;
  }
  return document as unknown as NetworkDocument;
};

/** The document with the coefficients of its fittings as solved. */
const withFixed = ({ ducts }: Solution): NetworkDocument => ({
  ...system,
  ducts: system.ducts?.map((duct) => ({
    ...duct,
    fittings: ducts[duct.id].fittings?.map(({ coefficient = 0 }, i) => ({
      kind: "fixed" as const,
      coefficient,
      count: duct.fittings?.[i].count ?? 1,
    })),
  })),
});

describe("a network of fittings that follow the Reynolds number", () => {
  test("has the exact slopes of its losses: those of central differences", () => {
    const { equations, elements } = assemble(layoutOf(parseNetwork(system)));
    elements.refreshAll();
    const size = equations.branches;
    const [h, above, below, slope, unused] = Array.from({ length: 5 }, () => new Float64Array(size));
    for (const flow of [-0.2, -0.03, 0.004, 0.011, 0.02, 0.035, 0.05, 0.08, 0.15, 0.3]) {
      const step = 1e-6 * Math.abs(flow);
      equations.evaluate(new Float64Array(size).fill(flow), h, slope);
      equations.evaluate(new Float64Array(size).fill(flow + step), above, unused);
      equations.evaluate(new Float64Array(size).fill(flow - step), below, unused);
      for (let e = 0; e < size; e++) {
        const expected = (above[e] - below[e]) / (2 * step);
        expect(Math.abs(slope[e] - expected), `${equations.names.branch(e)} at ${flow} kg/s`).toBeLessThanOrEqual(
          1e-7 * Math.abs(expected) + 1e-9,
        );
      }
    }
  });

  test("needs at most two steps more than with fixed coefficients", () => {
    const found = solveNetwork(system, { tolerance: 1e-3 });
    const fixed = solveNetwork(withFixed(found), { tolerance: 1e-3 });
    expect(found.convergence.iterations).toBeLessThanOrEqual(fixed.convergence.iterations + 2);
    for (const id of Object.keys(found.ducts)) expect(fixed.ducts[id].flow).toBeCloseTo(found.ducts[id].flow, 9);
  });

  const changes = {
    "ducts.d.fittings.0.radiusRatio": 2,
    "ducts.d.fittings.0.angle": 0.7,
    "ducts.d.fittings.1.angle": 1.2,
    "ducts.d.fittings.2.count": 3,
    "ducts.d.section.diameter": 0.18,
    "nodes.x.form.angle": 1,
    "nodes.in.end.freeArea": 0.3,
    "nodes.out.end.freeArea": 0.4,
    "nodes.in.end.area": 0.05,
    "ducts.flex.compression": 0.3,
    "ducts.g.entry": 0.8,
    "nodes.box.area": 0.04,
    "air.density": 1.1,
  };

  test.each(Object.entries(changes))(
    "%s changed in a compiled one has the effect that the changed document has",
    (path, value) => {
      const compiled = compileNetwork(system);
      compiled.update({ tolerance: 1e-3 });
      const before = compiled.solution();
      compiled.parameter(path).value = value;
      compiled.update({ tolerance: 1e-3 });
      const found = compiled.solution();
      const document = path === "air.density" ? { ...system, air: { density: value } } : changedTo({ [path]: value });
      const network = parseNetwork(document);
      const expected = solveNetwork(network, { tolerance: 1e-3 });
      expectSolved(network, found, 1e-3);
      for (const [id, { flow }] of Object.entries(expected.ducts))
        expect(found.ducts[id].flow, id).toBeCloseTo(flow, 9);
      expect(found.ducts.d.flow).not.toBeCloseTo(before.ducts.d.flow, 9);
      compiled.update({ start: "document" });
      expect(compiled.solve({ [path]: value })).toStrictEqual(compiled.solution());
    },
  );

  test("fits the schema as it is written and as it is parsed, and parsing it again changes nothing", () => {
    const schema = networkSchema() as Schema;
    const written = {
      ...system,
      ducts: [...(system.ducts ?? []), { ...bare("m", "in", "out"), fittings: mixedKinds }],
    } as NetworkDocument;
    const network = parseNetwork(written);
    expect(fits(JSON.parse(JSON.stringify(written)), schema)).toBe(true);
    expect(fits(JSON.parse(JSON.stringify(network)), schema)).toBe(true);
    expect(parseNetwork(JSON.parse(JSON.stringify(network)))).toEqual(network);
    const wrong = { ...written, nodes: [{ ...written.nodes[0], end: { kind: "louvre", area: 0.09 } }] };
    expect(fits(wrong, schema)).toBe(false);
  });
});

/** A fitting of each kind in a duct. */
const mixedKinds = [
  { kind: "bend", angle: "45 deg", turns: "height", spacing: 4 },
  { kind: "pressedBend" },
  { kind: "pleatedBend" },
  { kind: "segmentedBend" },
  { kind: "mitredBend", vanes: "none" },
  { kind: "singleBladeDamper", angle: "20 deg" },
  { kind: "singleBladeDamper", angle: "90 deg", leakage: "0.5 l/s" },
  { kind: "filter", clean: "30 Pa", loaded: "90 Pa", flow: "20 l/s", loading: "50 %" },
  { kind: "coil", pressure: "20 Pa", flow: "20 l/s" },
  { kind: "attenuator", pressure: 5, flow: 0.02 },
  { kind: "exchanger", pressure: 50, flow: 0.02 },
];

// ---- Random networks

const sections = fc.oneof(
  fc.record({ diameter: within(0.1, 0.4) }),
  fc.record({ width: within(0.1, 0.5), height: within(0.1, 0.3) }),
  fc.record({ shape: fc.constant("flatOval" as const), width: within(0.1, 0.5), height: within(0.1, 0.3) }),
);
const turn = within(0.2, 3);
const catalogued = fc.array(
  fc.oneof(
    fc.record({
      kind: fc.constant("bend"),
      angle: turn,
      radiusRatio: within(0.5, 3),
      spacing: within(0, 12),
      count: fc.integer({ min: 1, max: 3 }),
    }),
    fc.record({ kind: fc.constant("mitredBend"), angle: turn, turns: fc.constantFrom("width", "height") }),
    fc.record({ kind: fc.constant("fixed"), coefficient: within(0, 2) }),
    fc.record({ kind: fc.constant("coil"), pressure: within(1, 60), flow: within(0.01, 0.2), exponent: within(1, 2) }),
    fc.record({
      kind: fc.constant("filter"),
      clean: within(1, 50),
      loaded: within(50, 200),
      flow: within(0.01, 0.2),
      loading: within(0, 1),
    }),
  ),
  { maxLength: 3 },
);
const ends = fc.oneof(
  fc.constant({ kind: "flush" }),
  fc.record({ kind: fc.constant("projecting"), projection: within(0, 1) }),
  fc.record({ kind: fc.constant("bellmouth"), radiusRatio: within(0, 0.3) }),
  fc.record({ kind: fc.constantFrom("louvre"), area: within(0.005, 0.4), freeArea: within(0.1, 1) }),
  fc.record({ kind: fc.constantFrom("grille", "perforatedPlate", "wireMesh"), freeArea: within(0.1, 1) }),
  fc.record({ kind: fc.constant("cowl"), pressure: within(1, 60), flow: within(0.02, 0.2), exponent: within(1, 2) }),
);
/** A way from one place outdoors to another, over a change of section, a box with a side way, and fittings. */
const ways = fc.record({
  pressure: within(-150, 150),
  ends: fc.tuple(ends, ends, ends),
  ducts: fc.tuple(
    ...(["first", "second", "third", "side"] as const).map((id) =>
      fc.record({
        id: fc.constant(id),
        length: within(0.5, 10),
        section: sections,
        roughness: within(0, 0.003),
        compression: within(0, 0.45),
        parallel: fc.integer({ min: 1, max: 3 }),
        entry: within(0, 2),
        fittings: catalogued,
      }),
    ),
  ),
  air: fc.record({ density: within(0.9, 1.4), viscosity: within(1.6e-5, 2e-5) }),
  inflow: within(-0.05, 0.05),
  boxArea: fc.option(within(0.6, 2), { nil: undefined }),
  joined: fc.boolean(),
});

test("random ways of fittings, ends, transitions and boxes keep the laws by the second evaluator", () => {
  let backwards = 0;
  fc.assert(
    fc.property(ways, ({ pressure, ends: [a, b, c], ducts, air, inflow, boxArea, joined }) => {
      const [first, second, third, side] = ducts;
      const one = (duct: (typeof ducts)[number]) => ({ ...duct, parallel: 1 });
      const document = {
        format: "ductgraph/1",
        air,
        nodes: [
          { id: "in", kind: "outdoors", pressure, end: a },
          joined ? { id: "x", kind: "transition" } : { id: "x", kind: "junction" },
          { id: "box", kind: "plenum", ...(boxArea === undefined ? {} : { area: boxArea }) },
          { id: "k", kind: "junction", inflow },
          { id: "out", kind: "outdoors", end: b },
          { id: "aside", kind: "outdoors", end: c },
        ],
        ducts: [
          { ...(joined ? one(first) : first), from: "in", to: joined ? "x.a" : "x" },
          { ...(joined ? one(second) : second), from: joined ? "x.b" : "x", to: "box" },
          { ...third, from: "box", to: "k" },
          { id: "last", from: "k", to: "out", length: 1, section: { diameter: 0.2 } },
          { ...side, from: "box", to: "aside" },
        ],
      } as unknown as NetworkDocument;
      const network = parseNetwork(document);
      const solution = solveNetwork(network, { tolerance: 1e-3 });
      expectSolved(network, solution, 1e-3);
      if (solution.ducts.first.flow < 0) backwards++;
    }),
    { seed: 5, numRuns: 150 },
  );
  expect(backwards).toBeGreaterThan(30);
});
