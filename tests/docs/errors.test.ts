import { readdirSync, readFileSync } from "node:fs";
import { expect, test } from "vitest";
import { errorsPage } from "../../scripts/write-errors-doc.mjs";
import * as fans from "../../src/fans/index.js";
import * as fittings from "../../src/fittings/index.js";
import * as main from "../../src/index.js";
import * as data from "../network/document/faults.data.mjs";

test("docs/errors.md is what the library says today (else: npm run docs:errors)", () => {
  const page = readFileSync(new URL("../../docs/errors.md", import.meta.url), "utf8");
  expect(errorsPage(data, { ...main, ...fans, ...fittings })).toBe(page);
});

const folder = new URL("../../src/", import.meta.url);
/** The source without its comments, whose examples hold paths that look like codes. */
const source = readdirSync(folder, { recursive: true, encoding: "utf8" })
  .filter((file) => file.endsWith(".ts"))
  .map((file) => readFileSync(new URL(file, folder), "utf8").replace(/\/\*[\s\S]*?\*\/|^\s*\/\/.*$/gm, ""))
  .join("\n");
const all = (pattern: RegExp): string[] => [...source.matchAll(pattern)].map(([, found]) => found);

test("every code that stands in the source is documented, and no other", () => {
  const { documentFaults, inputErrors, solveStatuses, warnings } = data;
  const documented = [documentFaults, inputErrors, solveStatuses, warnings].flat().map(({ code }) => code);
  const codes = new Set([
    // Words with a point are codes, but for the path of a warning and the key of a finding.
    ...all(/(?<!path: |key: )"([a-z]+\.[a-z]+(?:-[a-z]+)*)"/g),
    // zod calls what comes from a transform "custom".
    ...all(/\bcode: "([a-z-]+)"/g).filter((code) => code !== "custom"),
    ...all(/\bproblemOf\(\s*"([a-z-]+)"/g),
    ...all(/\bunknownName\(\s*"([a-z-]+)"/g).map((kind) => `unknown-${kind}`),
    ...all(/type SolveStatus = ([^;]+);/g).flatMap((union) => union.match(/[a-z-]+/g) ?? []),
  ]);
  expect(documented.sort()).toEqual([...codes].sort());
});

test("no code is put together in a way that the search above cannot find, but for unknown names", () => {
  expect(all(/\b(?:code: |problemOf\(\s*)(`[^`]+`)/g)).toEqual([expect.stringMatching(/^`unknown-/)]);
});
