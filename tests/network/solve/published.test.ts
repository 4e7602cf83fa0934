import { readdirSync, readFileSync } from "node:fs";
import { expect, test } from "vitest";
import { frictionFactor } from "../../../src/ducts/friction.js";
import { parseNetwork } from "../../../src/network/document/document.js";
import type { Solution } from "../../../src/network/results/solution.js";
import { solveNetwork } from "../../../src/network/solve/solve.js";
import { expectSolved } from "../../helpers/evaluator.js";
import references from "../../references/whole-systems.json" with { type: "json" };

/** A number that the source prints, or that another program found from its inputs. */
interface Published {
  /** Entries of a Solution, added and subtracted: `nodes.a.totalPressure - nodes.b.totalPressure`. */
  readonly of: string;
  readonly unit: string;
  readonly value: number;
  readonly within: number;
  readonly status: string;
}

const folder = new URL("../../networks/published/", import.meta.url);
const units: Readonly<Record<string, number>> = references.units;
const systems = Object.entries(references.systems).map(([name, system]) => ({ name, ...system }));

const read = (name: string): { meta: { source: string } } =>
  JSON.parse(readFileSync(new URL(`${name}.json`, folder), "utf8"));

const entry = (solution: Solution, path: string): number =>
  path.split(".").reduce((held: unknown, key) => (held as Record<string, unknown>)[key], solution) as number;

const sum = (solution: Solution, terms: string): number => {
  let total = 0;
  let sign = 1;
  for (const term of terms.split(" ")) {
    if (term === "+") continue;
    if (term === "-") {
      sign = -1;
      continue;
    }
    total += sign * entry(solution, term);
    sign = 1;
  }
  return total;
};

/** The published numbers that an answer misses, with what it has instead. */
const missed = (solution: Solution, answers: readonly Published[]): object[] =>
  answers.flatMap((published) => {
    const found = sum(solution, published.of) / units[published.unit];
    // Half a unit of the last place is not exact in binary.
    return Math.abs(found - published.value) <= published.within * (1 + 1e-6) ? [] : [{ ...published, found }];
  });

const titled = systems.map((system) => [`${system.fact}: ${system.name} (${system.source})`, system] as const);

test.each(titled)("%s", (_, { name, source, answers }) => {
  const document = read(name);
  expect(document.meta.source).toBe(source);
  const network = parseNetwork(document);
  expectSolved(network, solveNetwork(network));
  // The standard 1e-6 Pa is coarse where all of a system loses 0.18 Pa.
  const solution = solveNetwork(network, { tolerance: 1e-3 });
  expectSolved(network, solution, 1e-3);
  expect(missed(solution, answers)).toEqual([]);
});

test("every document has answers and every answer its document", () => {
  const documents = readdirSync(folder).map((file) => file.replace(/\.json$/, ""));
  expect(documents.sort()).toEqual(systems.map(({ name }) => name).sort());
});

test("how the points of a fan table are joined moves the operating point by 0.8 %", () => {
  const [straight, cubic] = ["hood-and-fan-straight-lines", "hood-and-fan-table"].map(
    (name) => solveNetwork(parseNetwork(read(name))).fans.fan.flow,
  );
  expect(cubic / straight - 1).toBeCloseTo(0.008, 3);
});

test("the friction factor held in the pump example is that of 1 ft³/s by Colebrook (computed)", () => {
  const diameter = 20 / 12;
  const velocity = 1 / ((Math.PI * diameter ** 2) / 4);
  expect(frictionFactor((velocity * diameter) / 1.23e-5, 0.0005 / diameter)).toBeCloseTo(0.02107312, 8);
});
