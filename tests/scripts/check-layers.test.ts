import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import { expect, test } from "vitest";
import { layerProblems } from "../../scripts/check-layers.mjs";

/** The problems of a source folder made of these files. */
function check(files: Record<string, string>): string[] {
  const root = mkdtempSync(join(tmpdir(), "layers-"));
  try {
    for (const [file, text] of Object.entries(files)) {
      mkdirSync(dirname(join(root, file)), { recursive: true });
      writeFileSync(join(root, file), text);
    }
    return layerProblems(root);
  } finally {
    rmSync(root, { recursive: true });
  }
}

const GOOD = {
  "core/errors.ts": "export const e = 1;",
  "fans/curve.ts": 'import { e } from "../core/errors.js";\nexport const c = e;',
  "fans/index.ts": 'export { c } from "./curve.js";',
  "input/quantities.ts": 'import { createUnitClass } from "mathjs";\nexport const u = createUnitClass;',
  "input/fields.ts": 'import * as z from "zod";\nimport { u } from "./quantities.js";\nexport const f = [z, u];',
  "network/document/topology.ts": 'import { type Attributes, UndirectedGraph } from "graphology";',
  "index.ts": 'export { e } from "./core/errors.js";\nexport { f } from "./input/fields.js";',
};

/** Empty files for imports that lead down to them. */
const LATER = { "options/r.ts": "", "command/c.ts": "", "network/solve/s.ts": "", "network/equations/e.ts": "" };

test("a source folder in order has no problem", () => {
  expect(check(GOOD)).toEqual([]);
});

test.each([
  [
    "core imports another folder",
    "core/a.ts",
    'import { c } from "../fans/curve.js";',
    "fans does not stand above core",
  ],
  ["a folder imports one below", "fans/a.ts", '\nexport * from "../input/fields.js";', "fans/a.ts:2: fans imports"],
  [
    "a type comes from below",
    "air/a.ts",
    'export type A = import("../fans/curve.js").A;',
    "fans does not stand above air",
  ],
  [
    "the main entry shows a later folder",
    "index.ts",
    'export { r } from "./options/r.js";',
    "options does not stand above",
  ],
  [
    "an index file is imported",
    "network/solve/a.ts",
    'import { c } from "../../fans/index.js";',
    "import the file that holds",
  ],
  ["a folder has an index file of its own", "air/index.ts", "", "are index files"],
  [
    "a floor imports one below",
    "network/format/a.ts",
    'export * from "../solve/s.js";',
    "network/solve does not stand",
  ],
  ["floors side by side", "network/results/a.ts", 'export * from "../equations/e.js";', "network/equations does not"],
  ["a file stands beside the floors", "network/a.ts", "", '"network/a.ts" has no place'],
  ["the command line is imported", "pictures/a.ts", 'export * from "../command/c.js";', "command does not stand above"],
  ["a folder is not in the order", "utils/a.ts", "", '"utils" has no place'],
  [
    "an import leaves the source folder",
    "core/a.ts",
    'import p from "../../package.json";',
    "outside the source folder",
  ],
  ["an import leads nowhere", "core/a.ts", 'import { b } from "./b.js";', "no source file"],
  [
    "mathjs outside the quantities",
    "input/fields.ts",
    'import { unit } from "mathjs";',
    "its place in input/*quantities.ts",
  ],
  ["zod outside input", "network/solve/a.ts", 'import * as z from "zod";', "its place in input/"],
  ["zod by name", "input/a.ts", 'import { z } from "zod";', "import * as z"],
  ["zod re-exported", "input/a.ts", 'export * from "zod";', "import * as z"],
  ["zod's core as a whole", "input/a.ts", 'import * as z from "zod/v4/core";', "import { … }"],
  ["zod by another path", "input/a.ts", 'import * as z from "zod/v4";', "src may import only"],
  [
    "graphology outside topology",
    "network/solve/a.ts",
    'import { Graph } from "graphology";',
    "its place in network/document/topology*.ts",
  ],
  ["graphology by default", "network/document/topology.ts", 'import Graph from "graphology";', "import { … }"],
  ["graphology as a whole", "network/document/topology-x.ts", 'import * as g from "graphology";', "import { … }"],
  ["another package", "core/a.ts", 'import { x } from "left-pad";', "src may import only"],
  ["a module of Node", "core/a.ts", 'import { readFileSync } from "node:fs";', "src may import only"],
  ["a dynamic import", "core/a.ts", 'export const f = () => import("node:fs");', "src may import only"],
  ["a computed import", "core/a.ts", "export const f = (n: string) => import(n);", "(a computed name)"],
  ["a file imports itself", "core/a.ts", 'export * from "./a.js";', "circle: core/a.ts → core/a.ts"],
])("%s: one problem, with its file and line", (_, file, text, message) => {
  const problems = check({ ...GOOD, ...LATER, [file]: text });
  expect(problems).toEqual([expect.stringContaining(message)]);
  expect(problems[0]).toMatch(new RegExp(`^${file.replaceAll(".", "\\.")}:\\d+: `));
});

test("a circle of files is found once, with all its files, also where it is of types only", () => {
  const problems = check({
    "air/a.ts": 'import { b } from "./b.js";',
    "air/b.ts": '\nimport type { C } from "./c.js";',
    "air/c.ts": 'export { a } from "./a.js";',
  });
  expect(problems).toEqual(["air/c.ts:1: closes a circle: air/a.ts → air/b.ts → air/c.ts → air/a.ts"]);
});
