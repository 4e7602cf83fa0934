import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import type { Solution } from "../../src/network/results/solution.js";
import type { PlainNetwork } from "./evaluator/document.js";
import { type Sides, teeModels } from "./evaluator/tee-forms.js";
import { type LegFlows, teePressures } from "./evaluator/tees.js";
import { evaluate } from "./evaluator.js";

const jsonAt = (path: string) => JSON.parse(readFileSync(new URL(`../${path}`, import.meta.url), "utf8"));

/** Each value on its own side of a step. */
const asPrinted: Sides = { share: (q, step) => q <= step, area: (a, step) => a <= step };

const radians = (degrees: number): number => (degrees * Math.PI) / 180;

/** Sources and status words stand in the file. */
interface Grid {
  readonly model: string;
  readonly pattern: "diverging" | "converging";
  readonly rows: readonly (readonly [a: number, turn: number, branch: number[], run: number[]])[];
}
const { flowShares, grids }: { flowShares: number[]; grids: Grid[] } = jsonAt("references/tees.json");

test.each(grids)("$model, $pattern: the evaluator's forms give the table, to its six decimals", (grid) => {
  const form = teeModels[grid.model][grid.pattern];
  for (const [a, turn, branch, run] of grid.rows)
    flowShares.forEach((q, k) => {
      const found = form({ q, a, turn: radians(turn), edgeRadius: 0 }, asPrinted);
      expect(Math.abs(found.branch - branch[k]), `branch at ${a}, ${turn}, ${q}`).toBeLessThanOrEqual(0.51e-6);
      expect(Math.abs(found.run - run[k]), `run at ${a}, ${turn}, ${q}`).toBeLessThanOrEqual(0.51e-6);
    });
});

// From the legs' mass flows to pressures, by a third reading of the same text: tests/references/tees.py.
const { rows: sweep }: { rows: [string, ...number[]][] } = jsonAt("references/tees-sweep.json");

test("the evaluator's pressures agree with the sweep over geometry and flows, but near steps of a printed table", () => {
  const models = new Set<string>();
  for (const [model, main, branch, a, b, degrees, edgeRadius, fromA, fromB, density, overA, overB] of sweep) {
    const geometry = { model, angle: radians(degrees), ratio: branch / main, edgeRadius };
    const flows = { a: fromA / density, b: fromB / density, branch: -(fromA + fromB) / density };
    const lawful = teePressures(geometry, { a, b, main }, density, flows);
    const slack = 1e-9 * Math.max(Math.abs(overA), Math.abs(overB)) + 1e-9;
    for (const [leg, value] of [["a", overA] as const, ["b", overB] as const]) {
      expect(value).toBeGreaterThanOrEqual(lawful[leg].low - slack);
      expect(value).toBeLessThanOrEqual(lawful[leg].high + slack);
    }
    if (lawful.a.low === lawful.a.high && lawful.b.low === lawful.b.high) models.add(model);
  }
  expect([...models].sort()).toEqual(Object.keys(teeModels).sort());
});

describe("a tee as the evaluator has it", () => {
  const areas = { a: 0.03, b: 0.022, main: 0.03 };
  const models = Object.keys(teeModels).flatMap((model) =>
    [30, 90, 135].map((degrees) => ({ model, degrees, angle: radians(degrees), ratio: 0.7, edgeRadius: 0.04 })),
  );
  const around: LegFlows[] = Array.from({ length: 360 }, (_, k) => {
    // All proportions of three flows that add up to nothing.
    const [a, b, branch] = [0, 120, 240].map((shift) => 0.2 * Math.cos(radians(k + 0.5 + shift)));
    return { a, b, branch };
  });

  test.each(models)(
    "$model, $degrees°: exchanging a and b, and the angle for its complement, changes nothing",
    (tee) => {
      const mirrored = { ...tee, angle: Math.PI - tee.angle };
      for (const flows of around) {
        const one = teePressures(tee, areas, 1.2, flows);
        const other = teePressures(mirrored, { ...areas, a: areas.b, b: areas.a }, 1.2, {
          ...flows,
          a: flows.b,
          b: flows.a,
        });
        expect(other.a.low).toBeCloseTo(one.b.low, 9);
        expect(other.b.high).toBeCloseTo(one.a.high, 9);
      }
    },
  );

  test.each(models)("$model, $degrees°: pressures go on where a leg's flow passes zero", (tee) => {
    const legs = ["a", "b", "branch"] as const;
    for (const still of legs)
      for (const from of legs.filter((leg) => leg !== still)) {
        const to = legs.find((leg) => leg !== still && leg !== from)!;
        const [before, after] = [-1e-9, 1e-9].map((flow) => {
          const flows = { [still]: flow, [from]: 0.2, [to]: -0.2 - flow } as unknown as LegFlows;
          return teePressures(tee, areas, 1.2, flows);
        });
        for (const leg of ["a", "b"] as const) expect(Math.abs(after[leg].low - before[leg].low)).toBeLessThan(1e-5);
      }
  });
});

// Computed in another language, from the same physics text: tests/references/independent/README.md.
const { answers }: { answers: Record<string, Solution> } = jsonAt("references/independent/answers-tees.json");

/** The documents with tees or transitions, and the other new keys of ducts and boxes. */
describe.each(Object.keys(answers))("the independent answer of %s", (name) => {
  const network: PlainNetwork = jsonAt(`networks/independent-tees/${name}.json`);
  const answer = answers[name];
  const contradictions = (): string[] =>
    evaluate(network, answer).problems.filter((text) => !text.startsWith("missing: "));

  test("obeys every law as the evaluator has it", () => {
    const { massResidual, pressureResidual } = evaluate(network, answer);
    expect(massResidual).toBeLessThanOrEqual(1e-12);
    expect(pressureResidual).toBeLessThanOrEqual(1e-8);
    expect(contradictions()).toEqual([]);
  });

  test("is refused with any mass flow, pressure of a node or loss of a tee 1e-4 off", () => {
    const spoil = (holder: Record<string, unknown>, path: string): void => {
      for (const [key, value] of Object.entries(holder))
        if (typeof value === "number" && (key === "massFlow" || path.startsWith(".nodes"))) {
          const nothing = key === "massFlow" ? 1e-9 : 0.01;
          holder[key] = value + 1e-4 * (Math.abs(value) > nothing ? Math.abs(value) : 1);
          const { massResidual, pressureResidual, largestMassFlow } = evaluate(network, answer);
          const unlawful = massResidual > 1e-9 * largestMassFlow || pressureResidual > 1e-6;
          if (!unlawful) expect(contradictions(), `${path}.${key}`).not.toEqual([]);
          holder[key] = value;
        } else if (typeof value === "object" && value !== null)
          spoil(value as Record<string, unknown>, `${path}.${key}`);
    };
    spoil(answer as unknown as Record<string, unknown>, "");
  });
});
