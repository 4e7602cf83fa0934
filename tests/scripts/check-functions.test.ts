import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { expect, test } from "vitest";
import { functionProblems } from "../../scripts/check-functions.mjs";

/** The problems of a source folder whose index gives `curve` to users, and which holds one more file. */
const check = (text: string): string[] => {
  const root = mkdtempSync(join(tmpdir(), "functions-"));
  try {
    mkdirSync(join(root, "fans"));
    writeFileSync(join(root, "index.ts"), 'export { curve } from "./fans/curve.js";');
    writeFileSync(join(root, "fans/curve.ts"), text);
    return functionProblems(root);
  } finally {
    rmSync(root, { recursive: true });
  }
};

test("what users get is a function, all else a const, a generator either way a function*", () => {
  const right = [
    "export function curve(): number {\n  return inner();\n}",
    "const inner = () => 1;",
    "export const shared = () => 2;",
    "export const limit = 3;",
    "export function* each() {}",
  ];
  expect(check(right.join("\n"))).toEqual([]);
});

test.each([
  ["export const curve = () => 1;", "fans/curve.ts:1: curve is given to users: write it as export function"],
  ["\nexport function shared() {}", "fans/curve.ts:2: shared is not given to users: write it as a const"],
  ["function inner() {}", "fans/curve.ts:1: inner is not given to users: write it as a const"],
])("%s breaks the rule", (text, problem) => {
  expect(check(text)).toEqual([problem]);
});
