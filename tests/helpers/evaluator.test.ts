import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import type { DuctResult, Solution } from "../../src/network/results/solution.js";
import type { PlainNetwork } from "./evaluator/document.js";
import { type Evaluation, evaluate, expectSolved } from "./evaluator.js";

const textAt = (path: string): string => readFileSync(new URL(`../${path}`, import.meta.url), "utf8");

/** A document as the independent solver read it. */
const documentNamed = (name: string): PlainNetwork => JSON.parse(textAt(`networks/independent/${name}.json`));

// Computed by another method in another language: tests/references/independent/README.md. They are parts of a Solution.
const answers: Record<string, Solution> = JSON.parse(textAt("references/independent/answers.json")).answers;
const names = Object.keys(answers);

/** Contradictions; what a part of a solution lacks is none. */
const contradictions = ({ problems }: Evaluation): string[] => problems.filter((text) => !text.startsWith("missing: "));

/** Whether the laws alone, without the records' own sums, refuse an answer at the contract's tolerance. */
const breaksLaws = ({ massResidual, pressureResidual, largestMassFlow }: Evaluation): boolean =>
  massResidual > Math.max(1e-9 * largestMassFlow, 1e-12) || pressureResidual > 1e-6;

interface Place {
  readonly holder: Record<string, unknown>;
  readonly key: string;
  readonly path: string;
}

/** The places of all numbers in a value. */
const numbersIn = (value: object, path = ""): Place[] =>
  Object.entries(value).flatMap(([key, item]) => {
    const here = `${path}.${key}`;
    if (typeof item === "number") return [{ holder: value as Record<string, unknown>, key, path: here }];
    return typeof item === "object" && item !== null ? numbersIn(item, here) : [];
  });

/** Evaluates with one number moved by 1e-4 of itself, or by 1e-4 where it is about nothing. */
const movedALittle = (network: PlainNetwork, solution: Solution, { holder, key }: Place): Evaluation => {
  const value = holder[key] as number;
  const nothing = key === "massFlow" ? 1e-9 : 0.01;
  holder[key] = value + 1e-4 * (Math.abs(value) > nothing ? Math.abs(value) : 1);
  const found = evaluate(network, solution);
  holder[key] = value;
  return found;
};

describe("the answers of the independent solver", () => {
  test.each(names)("%s: obeys every law as the evaluator has it", (name) => {
    const found = evaluate(documentNamed(name), answers[name]);
    expect(found.massResidual).toBeLessThanOrEqual(1e-12);
    expect(found.pressureResidual).toBeLessThanOrEqual(1e-8);
    expect(contradictions(found)).toEqual([]);
  });

  test.each(names)("%s: one mass flow 1e-4 off breaks a law", (name) => {
    const network = documentNamed(name);
    const answer = structuredClone(answers[name]);
    for (const place of numbersIn(answer).filter(({ key }) => key === "massFlow"))
      expect(breaksLaws(movedALittle(network, answer, place)), place.path).toBe(true);
  });

  test.each(names)("%s: one pressure of a node 1e-4 off breaks a law", (name) => {
    const network = documentNamed(name);
    const answer = structuredClone(answers[name]);
    for (const place of numbersIn(answer.nodes))
      expect(breaksLaws(movedALittle(network, answer, place)), place.path).toBe(true);
  });

  test.each(names)("%s: any number 1e-4 off is found", (name) => {
    const network = documentNamed(name);
    const answer = structuredClone(answers[name]);
    for (const place of numbersIn(answer)) {
      const found = movedALittle(network, answer, place);
      expect(breaksLaws(found) || contradictions(found).length > 0, place.path).toBe(true);
    }
  });
});

describe("a whole solution", () => {
  const network = documentNamed("air-handler-extract-only");
  const answer = answers["air-handler-extract-only"];

  const completeDuct = (id: string, duct: DuctResult): DuctResult => {
    const { length, section } = network.ducts!.find((item) => item.id === id)!;
    const velocityPressure = duct.inlet.totalPressure - duct.inlet.staticPressure;
    return {
      ...duct,
      velocityPressure,
      frictionFactor: Math.abs(duct.frictionLoss) / velocityPressure / (length / section.diameter!),
      totalLoss: duct.frictionLoss + duct.fittingLoss + duct.entryLoss + duct.exitLoss,
      withinRange: true,
    };
  };

  /** The independent answer with what follows from it by the definitions of the contract. */
  const completed = (): Solution => {
    const { em, ex } = answer.ducts;
    const fan = answer.fans["unit.extract"];
    const { flow, massFlow, totalPressure, power } = fan;
    const externalTotalPressure = ex.inlet.totalPressure - em.outlet.totalPressure;
    const specificFanPower = power! / (massFlow / 1.2);
    const stream = {
      flow,
      massFlow,
      externalTotalPressure,
      externalStaticPressure: ex.inlet.staticPressure - em.outlet.staticPressure,
      fanTotalPressure: totalPressure,
      components: [{ name: "filter", flow, pressure: totalPressure - externalTotalPressure }],
      power,
      specificFanPower,
    };
    const airPower = flow * totalPressure;
    const { controlsPower = 0 } = network.nodes.find(({ id }) => id === "unit")!.extract!.fan.curve!;
    const told = { specificFanPower, heatToAir: power! - controlsPower };
    const { nodes, terminals, openings } = answer;
    return structuredClone({
      ducts: Object.fromEntries(Object.entries(answer.ducts).map(([id, duct]) => [id, completeDuct(id, duct)])),
      nodes,
      terminals,
      openings,
      fans: {
        "unit.extract": { ...fan, ...told, speed: 1, airPower, efficiency: airPower / power!, withinCurve: true },
      },
      airHandlers: { unit: { extract: stream, power, specificFanPower } },
      convergence: { iterations: 5, massResidual: 0, pressureResidual: 0, stable: true },
      warnings: [{ code: "code", path: "path", message: "" }],
    });
  };

  test("is accepted, at the narrowest tolerance too", () => {
    expectSolved(network, completed());
    expectSolved(network, completed(), 1e-4);
  });

  test("is refused with any number 1e-4 off", () => {
    const solution = completed();
    const { convergence, ...checked } = solution;
    expect(convergence.iterations).toBe(5);
    for (const place of numbersIn(checked)) {
      const found = movedALittle(network, solution, place);
      expect(breaksLaws(found) || found.problems.length > 0, place.path).toBe(true);
    }
  });

  test("is refused with any number left out, but for those that may be absent", () => {
    const solution = completed();
    const optional = [".fans.unit.extract.efficiency", ".convergence.stable"];
    for (const { holder, key, path } of numbersIn(solution).filter((place) => !optional.includes(place.path))) {
      const value = holder[key];
      delete holder[key];
      expect(evaluate(network, solution).problems, path).not.toEqual([]);
      holder[key] = value;
    }
    expectSolved(network, solution);
  });

  test.each([Number.NaN, Number.POSITIVE_INFINITY, null, undefined])(
    "is refused with %s in place of any number",
    (nothing) => {
      const solution = completed();
      for (const { holder, key, path } of numbersIn(solution)) {
        const value = holder[key];
        holder[key] = nothing;
        expect(evaluate(network, solution).problems.join(), path).toContain(`solution${path}: expected a number`);
        holder[key] = value;
      }
      expectSolved(network, solution);
    },
  );

  const faults: readonly (readonly [string, (solution: Solution) => void, string])[] = [
    ["a duct that is not in the document", ({ ducts }) => Object.assign(ducts, { x: ducts.em }), "unexpected: ducts.x"],
    ["a node left out", ({ nodes }) => delete nodes.j, "missing: nodes.j"],
    ["a fan left out", ({ fans }) => delete fans["unit.extract"], "missing: fans.unit.extract"],
    ["ports at a junction", ({ nodes }) => Object.assign(nodes.j, { ports: {} }), "unexpected: nodes.j.ports"],
    [
      "a pressure of a unit",
      ({ nodes }) => Object.assign(nodes.unit, { totalPressure: 0 }),
      "unexpected: nodes.unit.totalPressure",
    ],
    [
      "a ratio without design flow",
      ({ terminals }) => Object.assign(terminals.e1, { ratio: 1 }),
      "unexpected: terminals.e1.ratio",
    ],
    [
      "a flow against its mass flow",
      ({ ducts }) => Object.assign(ducts.em, { flow: -ducts.em.flow }),
      "ducts.em.flow: expected",
    ],
    [
      "an imbalance of one stream",
      ({ airHandlers }) => Object.assign(airHandlers.unit, { massImbalance: 0 }),
      "unexpected: airHandlers.unit.massImbalance",
    ],
    [
      "a fan said to run outside its points",
      ({ fans }) => Object.assign(fans["unit.extract"], { withinCurve: false }),
      "fans.unit.extract.withinCurve: expected true",
    ],
    [
      "a component too many",
      ({ airHandlers }) => airHandlers.unit.extract!.components.push({ name: "x", flow: 0, pressure: 0 }),
      "unexpected: airHandlers.unit.extract.components.1",
    ],
    ["no warnings", (solution) => Object.assign(solution, { warnings: undefined }), "missing: solution.warnings"],
  ];
  test.each(faults)("is refused with %s", (_, spoil, problem) => {
    const solution = completed();
    spoil(solution);
    expect(evaluate(network, solution).problems.some((text) => text.startsWith(problem))).toBe(true);
    expect(() => expectSolved(network, solution)).toThrow();
  });

  test("names the place that fits worst", () => {
    const solution = completed();
    solution.terminals.e2.massFlow *= 1.01;
    const found = evaluate(network, solution);
    expect(found.worstNode).toBe("e2");
    expect(found.worstBranch).toBe("terminals.e2");
  });

  test("of what the evaluator does not know is refused, not passed unread", () => {
    const [first, ...rest] = network.nodes;
    const unknown = { ...network, nodes: [{ ...first, kind: "unheard-of" }, ...rest] };
    expect(() => evaluate(unknown, completed())).toThrow("knows no node");
  });
});
