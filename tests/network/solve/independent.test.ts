import { createHash } from "node:crypto";
import { readdirSync, readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { parseNetwork, solveNetwork } from "../../../src/index.js";
import { expectSolved } from "../../helpers/evaluator.js";

// Answers by tests/references/independent/solver.py: Python and SciPy, written from the physics alone, sharing no code
// and no method with this library. Flows agree to 1e-6 of the largest flow, pressures to 1e-6 of the largest pressure.
const folder = new URL("../../networks/independent/", import.meta.url);
const answers = JSON.parse(readFileSync(new URL("../../references/independent/answers.json", import.meta.url), "utf8"))
  .answers as Record<string, { sha256: string } & Tree>;

interface Tree {
  readonly [key: string]: number | string | boolean | Tree;
}

const flowKeys = new Set(["flow", "massFlow", "velocity", "reynolds", "power"]);

/** Every number of the reference answer beside ours, by path. */
function* pairs(reference: Tree, ours: unknown, path: string): Generator<[string, string, number, number]> {
  for (const [key, value] of Object.entries(reference)) {
    const held = (ours as Record<string, unknown> | undefined)?.[key];
    const here = path === "" ? key : `${path}.${key}`;
    if (typeof value === "number") yield [here, key, value, typeof held === "number" ? held : Number.NaN];
    else if (typeof value === "object") yield* pairs(value, held, here);
  }
}

const names = readdirSync(folder).map((file) => file.replace(/\.json$/, ""));

test("every document has an answer, and every answer its document", () => {
  expect(names.sort()).toEqual(Object.keys(answers).sort());
});

describe.each(names)("%s", (name) => {
  const bytes = readFileSync(new URL(`${name}.json`, folder));
  const { sha256, ...reference } = answers[name];

  test("has not changed since its answer was made", () => {
    expect(createHash("sha256").update(bytes).digest("hex")).toBe(sha256);
  });

  test("has the flows and pressures of the independent solver", () => {
    const network = parseNetwork(JSON.parse(bytes.toString()));
    const solution = solveNetwork(network, { tolerance: 1e-3 });
    expectSolved(network, solution, 1e-3);
    const all = [...pairs(reference as Tree, solution, "")];
    const largest = new Map<string, number>();
    const scaleOf = (key: string): string => (flowKeys.has(key) ? key : "pressure");
    for (const [, key, value] of all) {
      largest.set(scaleOf(key), Math.max(largest.get(scaleOf(key)) ?? 0, Math.abs(value)));
    }
    const off = all.filter(
      ([, key, value, ours]) => !(Math.abs(value - ours) <= 1e-6 * (largest.get(scaleOf(key)) ?? 0)),
    );
    expect(off).toEqual([]);
  });
});
