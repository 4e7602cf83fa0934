import { readFileSync } from "node:fs";
import { expect, test } from "vitest";
import { selectUnit } from "../../src/design/select-unit.js";
import type { VentilationUnit } from "../../src/design/unit-data.js";

const folder = new URL("../../examples/choose-a-unit/", import.meta.url);
const read = (file: string): string => readFileSync(new URL(file, folder), "utf8");

test("the example prints what expected.txt holds", async () => {
  const { units } = JSON.parse(read("units.json")) as { units: VentilationUnit[] };
  // The example itself, on the library's source in place of the built package.
  const body = read("run.mjs")
    .replace(/^import .*$/gm, "")
    .replace(/^const \{ units \} = .*$/m, "");
  const lines: string[] = [];
  const output = { log: (line: string) => lines.push(line) };
  new Function("selectUnit", "units", "console", body)(selectUnit, units, output);
  expect(`${lines.join("\n")}\n`).toBe(read("expected.txt"));
});
