import fc from "fast-check";
import { describe, expect, test } from "vitest";
import {
  checkNetwork,
  compileNetwork,
  InputError,
  indexRun,
  leastFavoured,
  type NetworkDocument,
  parseNetwork,
  pressurePath,
  type Solution,
  SolveError,
  solveNetwork,
  sources,
} from "../../../../src/index.js";
import { closelyInMotion, expectEqual, flowsOf, pressuresOf } from "../../../helpers/comparison.js";
import { bare, codesOf, solved } from "../../../helpers/documents.js";
import { expectSolved } from "../../../helpers/evaluator.js";
import { mirrored, teeNetworks, within } from "../../../helpers/tee-networks.js";

type Leg = "a" | "b" | "branch";
type Document = Omit<NetworkDocument, "format">;

const degree = Math.PI / 180;
const velocityPressure = (flow: number, diameter: number): number =>
  0.6 * (flow / ((Math.PI * diameter ** 2) / 4)) ** 2;

/** A tee whose legs are ducts without a loss of their own; air is brought in at two, the third leads outdoors. */
const fed = (
  inflows: Partial<Record<Leg, number>>,
  { diameters = {}, tee = {}, ducts = {} }: Shape = {},
): Document & { format: "ductgraph/1" } => ({
  format: "ductgraph/1",
  nodes: [
    { id: "t", kind: "tee", ...tee },
    ...(["a", "b", "branch"] as const).map((leg) =>
      inflows[leg] === undefined
        ? { id: `${leg}-end`, kind: "outdoors" as const, entry: 0, exit: 1 }
        : { id: `${leg}-end`, kind: "junction" as const, inflow: inflows[leg] },
    ),
  ],
  ducts: (["a", "b", "branch"] as const).map((leg) =>
    bare(leg, `${leg}-end`, `t.${leg}`, { section: { diameter: diameters[leg] ?? 0.2 }, ...ducts[leg] }),
  ),
});

interface Shape {
  readonly diameters?: Partial<Record<Leg, number>>;
  readonly tee?: object;
  readonly ducts?: Partial<Record<Leg, object>>;
}

const lossesOf = ({ nodes }: Solution) => {
  const losses = nodes.t.losses;
  if (losses === undefined) throw new Error("the tee reports no losses");
  return losses;
};
/** The loss from a leg to another [Pa]. */
const lossFrom = (solution: Solution, from: Leg, to: Leg): number => {
  const path = lossesOf(solution).paths.find((one) => one.from === from && one.to === to);
  if (path === undefined) throw new Error(`no air goes from ${from} to ${to}`);
  return path.loss;
};
const coefficientFrom = (solution: Solution, from: Leg, to: Leg): number =>
  lossFrom(solution, from, to) / lossesOf(solution).velocityPressure;

const models = ["gardel", "idelchik", "momentum"] as const;
const shapes = fc.record({
  tee: fc.record({
    model: fc.constantFrom(...models),
    angle: within(20 * degree, 160 * degree),
    edgeRadius: within(0, 0.12),
  }),
  diameters: fc.record({ a: within(0.15, 0.2), b: fc.constant(0.2), branch: within(0.08, 0.2) }),
});

describe("a tee", () => {
  // Computed from the formulas alone (Gardel 1957 from memory), for 160 mm with 120 l/s, 125 mm with 36 l/s, 90°, sharp.
  test("regains static pressure in the run and less than none in the branch, as its control volume says", () => {
    const diameters = { a: 0.16, b: 0.16, branch: 0.125 };
    const solution = solved(fed({ a: 0.12, branch: -0.036 }, { diameters }));
    const { a, b, branch } = solution.ducts;
    expect(a.velocityPressure).toBeCloseTo(21.372437, 6);
    expect(b.outlet.staticPressure - a.outlet.staticPressure).toBeCloseTo(10.810179, 6);
    expect(branch.outlet.staticPressure - a.outlet.staticPressure).toBeCloseTo(-2.150253, 6);
    expect(lossFrom(solution, "a", "b")).toBeCloseTo(0.089764, 6);
    expect(lossFrom(solution, "a", "branch")).toBeCloseTo(18.359282, 6);
    expect(coefficientFrom(solution, "a", "b")).toBeCloseTo(0.0042, 9);
    expect(coefficientFrom(solution, "a", "branch")).toBeCloseTo(0.859017, 6);
  });

  // Published examples in litres of another fluid (read, in pages that quote the print): coefficients, and heads K·v²/2g,
  // which no density enters.
  const gallon = 3.785411784e-3 / 60;
  const inch = 0.0254;
  const foot = 0.3048;
  const head = (loss: number): number => loss / (1.2 * 9.80665) / foot;

  test("diverging as a wye of 45° has the coefficients and heads of the published example", () => {
    const diameter = 5.761 * inch;
    const tee = { model: "idelchik", angle: "45 deg" };
    const diameters = { a: diameter, b: diameter, branch: diameter };
    const solution = solved(fed({ a: 650 * gallon, branch: -250 * gallon }, { diameters, tee }));
    expect(solution.ducts.a.velocity / foot).toBeCloseTo(7.997, 1);
    expect(coefficientFrom(solution, "a", "branch")).toBeCloseTo(0.464616, 6);
    expect(coefficientFrom(solution, "a", "b")).toBeCloseTo(-0.068275, 6);
    expect(head(lossFrom(solution, "a", "branch"))).toBeCloseTo(0.4618, 3);
    expect(head(lossFrom(solution, "a", "b"))).toBeCloseTo(-0.0679, 3);
  });

  test("converging square has the branch of the published example, and its run within the spread of the models", () => {
    const diameter = 4.026 * inch;
    const diameters = { a: diameter, b: diameter, branch: diameter };
    const solution = solved(fed({ a: 300 * gallon, branch: 100 * gallon }, { diameters, tee: { model: "idelchik" } }));
    expect(solution.ducts.b.velocity / foot).toBeCloseTo(-10.081, 2);
    expect(coefficientFrom(solution, "branch", "b")).toBeCloseTo(-0.0421875, 7);
    expect(head(lossFrom(solution, "branch", "b"))).toBeCloseTo(-0.0666, 3);
    // The example takes 1.55q − q² for the run of a square tee, 0.325; the model's form for all angles gives 0.366.
    const run = coefficientFrom(solution, "a", "b");
    expect(Math.abs(run - 0.325)).toBeLessThan(0.15 * 0.325);
    expect(run).toBeCloseTo(1 - 0.75 ** 2 - (1.4 - 0.25) * 0.25 ** 2, 6);
  });

  test.each<[pattern: string, inflows: Partial<Record<Leg, number>>, bridged: boolean]>([
    ["a diverges into b and branch", { a: 0.1, branch: -0.03 }, false],
    ["b diverges into a and branch", { b: 0.1, branch: -0.03 }, false],
    ["a and branch converge into b", { a: 0.07, branch: 0.03 }, false],
    ["b and branch converge into a", { b: 0.07, branch: 0.03 }, false],
    ["a and b converge into branch", { a: 0.07, b: 0.03 }, true],
    ["branch diverges into a and b", { a: -0.07, b: -0.03 }, true],
  ])("through which %s says so", (pattern, inflows, bridged) => {
    for (const model of models) {
      const solution = solved(fed(inflows, { tee: { model } }));
      expect(lossesOf(solution)).toMatchObject({ pattern, model, bridged });
      expect(lossesOf(solution).velocityPressure).toBeCloseTo(velocityPressure(0.1, 0.2), 6);
    }
  });

  test("at rest has one total pressure at all ports, and no path", () => {
    const solution = solveNetwork(fed({ a: 0, branch: 0 }));
    expect(lossesOf(solution)).toMatchObject({ pattern: "no flow", bridged: false, velocityPressure: 0, paths: [] });
    const { a, b, branch } = solution.nodes.t.ports ?? {};
    for (const { totalPressure } of [a, b, branch]) expect(totalPressure).toBeCloseTo(0, 9);
  });

  test("loses no energy by its legs taken together: the losses weighted with their flows never add up below zero", () => {
    const flow = within(0.001, 0.1);
    fc.assert(
      fc.property(shapes, flow, flow, fc.boolean(), ({ tee, diameters }, first, second, converges) => {
        const sign = converges ? 1 : -1;
        const solution = solved(
          fed({ a: sign * first, b: sign * second }, { diameters, tee: { ...tee, model: "gardel" } }),
        );
        const power = lossesOf(solution).paths.reduce(
          (sum, { from, to, loss }) => sum + loss * Math.abs(solution.ducts[from === "branch" ? to : from].flow),
          0,
        );
        expect(power).toBeGreaterThanOrEqual(-1e-9);
      }),
      { numRuns: 40 },
    );
  });

  test("has total pressures that go on without a step where the flow of a leg passes zero", () => {
    const legs = fc.constantFrom<readonly [passing: Leg, fed: Leg]>(
      ...(["a", "b", "branch"] as const).flatMap((one) =>
        (["a", "b", "branch"] as const).filter((other) => other !== one).map((other) => [one, other] as const),
      ),
    );
    const small = 1e-9;
    fc.assert(
      fc.property(shapes, legs, fc.constantFrom(-0.1, -0.02, 0.02, 0.1), (shape, [passing, other], flow) => {
        const at = (inflow: number) =>
          pressuresOf(solveNetwork(fed({ [passing]: inflow, [other]: flow }, shape), { tolerance: 1e-3 }));
        const [before, after] = [at(-small), at(small)];
        const largest = velocityPressure(0.1, 0.08);
        for (const [name, pressure] of Object.entries(before)) {
          expect(Math.abs(after[name] - pressure), name).toBeLessThan(1e-5 * Math.max(largest, 1));
        }
      }),
      { numRuns: 60 },
    );
  });

  test("takes parallel runs of a leg as one leg of their area", () => {
    const flows = { a: 0.1, branch: -0.04 };
    const one = solved(fed(flows));
    const ducts = {
      branch: { section: { diameter: 0.1 }, parallel: 4 },
      b: { section: { diameter: 0.1 }, parallel: 4 },
    };
    const four = solved(fed(flows, { ducts }));
    expectEqual(pressuresOf(four), pressuresOf(one), (_, largest) => 1e-12 * largest);
    expect(four.ducts.branch.velocity).toBeCloseTo(one.ducts.branch.velocity, 9);
  });

  const sine = Math.sin(15 * degree);
  test("with a smaller run leg adds a cone of 30° on that leg's own velocity pressure, narrowing or widening", () => {
    const beta = (0.16 / 0.2) ** 2;
    const shape = { diameters: { b: 0.16 } };
    const flows = { a: 0.1, branch: -0.03 };
    const narrowing = lossFrom(solved(fed(flows, shape)), "a", "b") - lossFrom(solved(fed(flows)), "a", "b");
    expect(narrowing).toBeCloseTo(0.8 * sine * (1 - beta) * velocityPressure(0.07, 0.16), 6);
    const back = { b: 0.07, branch: 0.03 };
    const widening = lossFrom(solved(fed(back, shape)), "b", "a") - lossFrom(solved(fed(back)), "b", "a");
    expect(widening).toBeCloseTo(2.6 * sine * (1 - beta) ** 2 * velocityPressure(0.07, 0.16), 6);
  });

  test("with its main given refers to that section, and joins both legs to it by cones", () => {
    const beta = (0.2 / 0.25) ** 2;
    const solution = solved(fed({ a: 0.1, branch: -0.03 }, { tee: { main: { diameter: "250 mm" } } }));
    const reference = velocityPressure(0.1, 0.25);
    expect(lossesOf(solution).velocityPressure).toBeCloseTo(reference, 6);
    const cones =
      2.6 * sine * (1 - beta) ** 2 * velocityPressure(0.1, 0.2) + 0.8 * sine * (1 - beta) * velocityPressure(0.07, 0.2);
    // Gardel's diverging run at a share of 0.3 (memory): 0.0042.
    expect(lossFrom(solution, "a", "b")).toBeCloseTo(0.0042 * reference + cones, 6);
  });

  test("has ends that can be swapped: with the supplement of its angle no flow and no pressure changes", () => {
    fc.assert(
      fc.property(teeNetworks(), (document) => {
        const [one, other] = [solved(document), solved(mirrored(document))];
        const swapped = (name: string): string =>
          name.replace(/^(t\d+)\.(a|b)$/, (_, tee, port) => `${tee}.${port === "a" ? "b" : "a"}`);
        const pressures = Object.entries(pressuresOf(other)).map(([name, value]) => [swapped(name), value]);
        expectEqual(flowsOf(other), flowsOf(one), closelyInMotion);
        expectEqual(Object.fromEntries(pressures), pressuresOf(one), closelyInMotion);
      }),
      { numRuns: 40 },
    );
  });
});

describe("networks of tees", () => {
  test.each(models)(
    "by %s, in which air diverges, converges and turns round in all six ways, obey the laws",
    (model) => {
      const met = new Set<string | undefined>();
      fc.assert(
        fc.property(teeNetworks(fc.constant(model)), (document) => {
          const { convergence, nodes } = solved(document);
          for (const { losses } of Object.values(nodes)) if (losses !== undefined) met.add(losses.pattern);
          expect(convergence.stable).toBeUndefined();
        }),
        { numRuns: 60 },
      );
      expect(met.size).toBe(6);
    },
  );
});

describe("a tee that cannot be", () => {
  const sound = fed({ a: 0.1, branch: -0.03 });
  const without = { ...sound, ducts: sound.ducts?.slice(0, 2), nodes: sound.nodes?.slice(0, 3) };
  const taken = { ...sound, ducts: [...(sound.ducts ?? []), bare("d", "a-end", "t.branch")] };
  const shaped = (shape: Shape) => fed({ a: 0.1, branch: -0.03 }, shape);
  test.each<[what: string, document: object, faults: [code: string, path: string][]]>([
    ["its branch above 1.2 of the main's area", shaped({ diameters: { branch: 0.22 } }), [["tee.geometry", "nodes.0"]]],
    [
      "its branch above 1.2 of the area of the main that is given",
      shaped({ diameters: { branch: 0.24 }, tee: { main: { diameter: 0.21 } } }),
      [["tee.geometry", "nodes.0.main"]],
    ],
    ["an angle of 15°", shaped({ tee: { angle: "15 deg" } }), [["value.range", "nodes.0.angle"]]],
    ["an angle of 165°", shaped({ tee: { angle: "165 deg" } }), [["value.range", "nodes.0.angle"]]],
    [
      "an edge beyond 0.12 of the diameter",
      shaped({ tee: { edgeRadius: 0.13 } }),
      [["value.range", "nodes.0.edgeRadius"]],
    ],
    ["a model that is none", shaped({ tee: { model: "gardell" } }), [["value.choice", "nodes.0.model"]]],
    ["a port left free", without, [["port.free", "nodes.0"]]],
    ["a port taken twice", taken, [["port.taken", "ducts.3.to"]]],
    [
      "a main smaller than leg b",
      shaped({ diameters: { a: 0.18, branch: 0.15 }, tee: { main: { diameter: 0.18 } } }),
      [["tee.geometry", "nodes.0.main"]],
    ],
    ["legs of several airs", shaped({ ducts: { branch: { air: { density: 1.1 } } } }), [["tee.air", "nodes.0"]]],
  ])("%s is a fault of the document", (_, document, faults) => {
    const found = checkNetwork(document).problems;
    expect(found.map(({ code, path }) => [code, path])).toEqual(faults);
  });

  test("names the branch and its share of the main", () => {
    const [{ message }] = checkNetwork(shaped({ diameters: { branch: 0.24 } })).problems;
    expect(message).toBe("nodes.0: expected the branch 0.001 to 1.2 of the main's area, got 1.44 of it");
  });

  test("of limits that rounding just exceeds, at 160° and 20°, is one", () => {
    for (const angle of ["20 deg", "160 deg", "0.3490658503988659 rad"]) {
      expect(checkNetwork(shaped({ tee: { angle } })).problems).toEqual([]);
    }
  });
});

describe("a tee warns", () => {
  test("where its branch air turns by more than 100°, with the coefficient the right way round", () => {
    const flows = { a: 0.1, branch: -0.03 };
    const wrong = solved(fed(flows, { tee: { angle: "135 deg" } }));
    const right = solved(fed(flows, { tee: { angle: "45 deg" } }));
    expect(codesOf(right)).toEqual([]);
    const [{ code, path, message }] = wrong.warnings;
    expect([code, path]).toEqual(["tee.against-flow", "nodes.t.angle"]);
    expect(message).toContain(`a coefficient of ${coefficientFrom(wrong, "a", "branch").toFixed(2)}`);
    expect(message).toContain(`it would be ${coefficientFrom(right, "a", "branch").toFixed(2)}`);
  });

  test("not of a wye that leans to the leg which converges", () => {
    expect(codesOf(solved(fed({ a: 0.07, branch: 0.03 }, { tee: { angle: "135 deg" } })))).toEqual([]);
    expect(codesOf(solved(fed({ a: 0.07, branch: 0.03 }, { tee: { angle: "45 deg" } })))).toEqual(["tee.against-flow"]);
  });

  test("of what its model's source does not cover, and says what", () => {
    const solution = solved(fed({ a: 0.1, branch: -0.03 }, { diameters: { branch: 0.1 }, tee: { angle: "40 deg" } }));
    expect(lossesOf(solution).withinRange).toBe(false);
    expect(lossesOf(solution).outside?.map(({ what }) => what)).toEqual(["area ratio", "turn of the branch air"]);
    const outside = solution.warnings.filter(({ code }) => code === "tee.outside-range");
    expect(outside.map(({ path }) => path)).toContain("nodes.t");
  });

  // The flow in a leg that ends blind is rounding, whose sign says which way the air of the branch turns.
  test.each([
    ["just into the tee", 1e-17],
    ["just out of it", -1e-17],
    ["by a hundredth of what counts as rest", 1e-7],
  ])("of its moving air alone where a blind leg's flow goes %s", (_, still) => {
    const angle = (160 * Math.PI) / 180;
    const [against, right] = [
      { a: 0.1, b: still },
      { a: still, b: 0.1 },
    ].map((flows) => codesOf(solved(fed({ a: flows.a, branch: -flows.a - flows.b }, { tee: { angle } }))));
    expect(against).toEqual(["tee.outside-range", "tee.against-flow"]);
    expect(right).toEqual(["tee.outside-range"]);
  });

  test("of nothing that depends on which way air goes where all of it rests", () => {
    expect(codesOf(solved(fed({ a: 1e-9, branch: -5e-10 }, { tee: { angle: "135 deg" } })))).toEqual([]);
  });
});

describe("a network with tees", () => {
  const terminal = (id: string, designFlow: number) => ({
    id,
    kind: "terminal" as const,
    service: "supply" as const,
    designFlow,
    loss: { pressure: 20, flow: designFlow },
  });
  const duct = (id: string, from: string, to: string, diameter: number) => ({
    id,
    from,
    to,
    length: 4,
    section: { diameter },
  });
  /** A fan, two tees in a row, three valves. */
  const document: NetworkDocument = {
    format: "ductgraph/1",
    nodes: [
      { id: "in", kind: "outdoors", entry: 0.5, exit: 1 },
      {
        id: "fan",
        kind: "fan",
        curve: {
          pressureKind: "total",
          points: [
            { flow: 0, pressure: 120 },
            { flow: 0.1, pressure: 90 },
            { flow: 0.2, pressure: 0 },
          ],
        },
      },
      { id: "t", kind: "tee", angle: "60 deg" },
      { id: "u", kind: "tee" },
      terminal("near", 0.03),
      terminal("middle", 0.03),
      terminal("far", 0.03),
    ],
    ducts: [
      duct("intake", "in", "fan.inlet", 0.2),
      duct("main", "fan.outlet", "t.a", 0.2),
      duct("x", "t.branch", "near", 0.125),
      duct("run", "t.b", "u.a", 0.16),
      duct("y", "u.branch", "middle", 0.125),
      duct("z", "u.b", "far", 0.125),
    ],
  };

  test("says nothing of stability, since its matrix is unsymmetric", () => {
    expect("stable" in solved(document).convergence).toBe(false);
  });

  test("has pressure paths through its tees that add up to the terminal's loss", () => {
    const solution = solved(document);
    const path = pressurePath(document, solution, "far");
    const steps = path.map((step) => step.path);
    expect(steps).toEqual([
      "nodes.in",
      "ducts.intake",
      "fans.fan",
      "ducts.main",
      "nodes.t",
      "ducts.run",
      "nodes.u",
      "ducts.z",
      "terminals.far",
    ]);
    const step = (name: string): number => path.find((one) => one.path === name)?.loss ?? Number.NaN;
    expect(step("nodes.t")).toBeCloseTo(lossFrom(solution, "a", "b"), 9);
    expect(path.reduce((sum, { loss }) => sum + loss, 0)).toBeCloseTo(0, 6);
    for (let i = 1; i < path.length; i++) {
      expect(path[i].totalPressure).toBeCloseTo(path[i - 1].totalPressure - path[i].loss, 6);
    }
  });

  test("has an index run with the tees as they are at design flow", () => {
    const run = indexRun(document, "fan");
    const at = solved({
      ...document,
      nodes: document.nodes?.map((node) =>
        node.kind === "terminal"
          ? { id: node.id, kind: "junction", inflow: -0.03 }
          : node.kind === "fan"
            ? { id: "fan", kind: "fan", stopped: { pressure: 0, flow: 1 }, speed: 0 }
            : node,
      ),
    });
    const [fan, far] = [at.nodes.fan.ports, at.nodes.far.totalPressure ?? Number.NaN];
    const below = fan?.outlet.totalPressure ?? Number.NaN;
    const before = fan?.inlet.totalPressure ?? Number.NaN;
    expect(run.terminals.map(({ terminal: id }) => id).sort()).toEqual(["far", "middle", "near"]);
    const needed = run.terminals.find(({ terminal: id }) => id === "far")?.requiredPressure;
    expect(needed).toBeCloseTo(below - far + 20 - before, 5);
  });

  test("has a least favoured terminal", () => {
    const solution = solved(document);
    const found = leastFavoured(document, solution, "fan");
    const ratios = ["near", "middle", "far"].map((id) => solution.terminals[id].ratio ?? Number.NaN);
    expect(found.ratio).toBe(Math.min(...ratios));
  });

  test("names the sources of its tees' models with their spread, and of the cones of smaller legs", () => {
    const entries = sources(document, solveNetwork(document));
    const models = entries.filter(({ of }) => of.includes("nodes.t.model"));
    expect(models.map(({ source, of }) => [source.author, source.year, source.status, of])).toEqual([
      ["Gardel", 1957, "memory", ["nodes.t.model", "nodes.u.model"]],
    ]);
    expect(models[0].spread).toMatchObject({ family: "tees", shared: 0.3, own: 0.2, least: 0.5 });
    const cones = entries.filter(({ of }) => of.includes("nodes.t.main"));
    expect(cones.map(({ of }) => of)).toEqual([["nodes.t.main", "nodes.u.main"]]);
  });

  const changedTo = (changes: Readonly<Record<string, number>>): Solution => {
    const changed = JSON.parse(JSON.stringify(document)) as {
      nodes: Record<string, unknown>[];
      ducts: Record<string, unknown>[];
    };
    for (const [path, value] of Object.entries(changes)) {
      const [list, id, ...keys] = path.split(".");
      let holder = changed[list as "nodes" | "ducts"].find((one) => one.id === id) as Record<string, unknown>;
      for (const key of keys.slice(0, -1)) holder = holder[key] as Record<string, unknown>;
      holder[keys[keys.length - 1]] = value;
    }
    const network = parseNetwork(changed);
    const solution = solveNetwork(network);
    expectSolved(network, solution);
    return solution;
  };
  const changes = {
    "nodes.t.angle": 45 * degree,
    "nodes.u.edgeRadius": 0.1,
    "ducts.y.section.diameter": 0.1,
    "ducts.run.section.diameter": 0.18,
  };

  test.each(Object.entries(changes))("compiled, answers %s = %d as the changed document does", (path, value) => {
    const compiled = compileNetwork(document);
    const before = compiled.output("nodes.t.ports.a.totalPressure");
    const reference = compiled.output("nodes.t.losses.velocityPressure");
    compiled.update();
    const old = [before.value, reference.value];
    compiled.parameter(path).value = value;
    compiled.update();
    const expected = changedTo({ [path]: value });
    expect([before.value, reference.value]).not.toEqual(old);
    expect(before.value).toBeCloseTo(expected.nodes.t.ports?.a.totalPressure ?? Number.NaN, 5);
    expect(reference.value).toBeCloseTo(lossesOf(expected).velocityPressure, 5);
    expectEqual(pressuresOf(compiled.solution()), pressuresOf(expected), () => 1e-5);
  });

  test("compiled, solves with changes bit for bit as it updates from the document's answer", () => {
    const compiled = compileNetwork(document);
    for (const [path, value] of Object.entries(changes)) compiled.parameter(path).value = value;
    compiled.update({ start: "document" });
    expect(compiled.solve(changes)).toEqual(compiled.solution());
    expect(compiled.solve()).toEqual(solveNetwork(document));
  });

  test("compiled, answers after an update that failed", () => {
    const compiled = compileNetwork(document);
    compiled.update();
    const pressure = compiled.parameter("nodes.in.pressure");
    const angle = compiled.parameter("nodes.t.angle");
    pressure.value = 1e29;
    angle.value = 45 * degree;
    expect(() => compiled.update()).toThrow(SolveError);
    expect(() => compiled.solution()).toThrow(InputError);
    pressure.value = 0;
    compiled.update();
    const expected = changedTo({ "nodes.t.angle": 45 * degree });
    expectEqual(pressuresOf(compiled.solution()), pressuresOf(expected), () => 1e-5);
    expectEqual(flowsOf(compiled.solution()), flowsOf(expected), closelyInMotion);
  });
});

test("a branch that is made too large for its tee is refused at once, and the old value stays", () => {
  const compiled = compileNetwork({
    format: "ductgraph/1",
    nodes: [
      { id: "in", kind: "outdoors", coefficient: 1, pressure: 20 },
      { id: "out", kind: "outdoors", coefficient: 1 },
      { id: "side", kind: "outdoors", coefficient: 1 },
      { id: "t", kind: "tee" },
    ],
    ducts: [
      { id: "a", from: "in", to: "t.a", length: 2, section: { diameter: 0.2 } },
      { id: "b", from: "t.b", to: "out", length: 2, section: { diameter: 0.2 } },
      { id: "c", from: "t.branch", to: "side", length: 2, section: { diameter: 0.16 } },
    ],
  });
  const diameter = compiled.parameter("ducts.c.section.diameter");
  expect(() => {
    diameter.value = 0.3;
  }).toThrow(
    expect.objectContaining({
      problems: [expect.objectContaining({ code: "tee.geometry", path: "ducts.c.section.diameter" })],
    }),
  );
  expect(diameter.value).toBe(0.16);
  expect(() => compiled.solve({ "ducts.c.section.diameter": 0.3 })).toThrow("nodes.t");
  compiled.update();
});
