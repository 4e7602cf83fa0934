/**
 * Checks the package as a stranger meets it: packed, linted, installed into a bare folder, then imported, required,
 * compiled against, and run in a browser-like context and a worker, with the same answer everywhere.
 */
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, posix, resolve } from "node:path";
import { createContext, runInContext } from "node:vm";
import { Worker } from "node:worker_threads";
import { build } from "esbuild";

const DOCUMENT = resolve("examples/hostel/one-unit.json");
const CONTENTS =
  /^(package\.json|README\.md|CHANGELOG\.md|LICENSE|THIRD-PARTY-NOTICES|dist\/.+\.(c?js|c?js\.map|d\.c?ts))$/;
const COMPILERS = ["typescript", "typescript-7"];

const home = mkdtempSync(join(tmpdir(), "ductgraph-package-"));
const manifest = JSON.parse(readFileSync("package.json", "utf8"));
const bin = (path) => resolve("node_modules", path);
const run = (command, args, cwd = home) => execFileSync(command, args, { cwd, encoding: "utf8", stdio: "pipe" });
const node = (...args) => run(process.execPath, args);
const put = (name, text) => writeFileSync(join(home, name), text);

let failures = 0;
async function step(name, action) {
  const start = performance.now();
  try {
    await action();
    console.log(`ok      ${name} (${((performance.now() - start) / 1000).toFixed(1)} s)`);
  } catch (error) {
    failures += 1;
    console.error(`FAILED  ${name}\n${[error.stdout, error.stderr, error.stack].filter(Boolean).join("\n")}`);
  }
}

const [packed] = JSON.parse(run("npm", ["pack", "--json", "--pack-destination", home], "."));
const tarball = join(home, packed.filename);
console.log(`${packed.filename}: ${packed.size / 1000} kB, ${packed.files.length} files`);

await step("the tarball holds what it should and nothing else", () => {
  const files = packed.files.map(({ path }) => path);
  const exported = JSON.stringify(manifest.exports).match(/dist\/[^"]+/g);
  const wanted = ["README.md", "CHANGELOG.md", "LICENSE", "THIRD-PARTY-NOTICES", ...exported];
  assert.deepEqual(
    wanted.filter((file) => !files.includes(file)),
    [],
    "missing files",
  );
  assert.deepEqual(
    files.filter((file) => !CONTENTS.test(file) && !exported.includes(file)),
    [],
    "files too many",
  );
  for (const hook of ["preinstall", "install", "postinstall", "prepare"])
    assert.equal(manifest.scripts[hook], undefined);
});

await step("source maps lead nowhere outside the package: each source is in the map or in the tarball", () => {
  const files = packed.files.map(({ path }) => path);
  for (const file of files.filter((path) => path.endsWith(".map"))) {
    const { sources, sourcesContent = [] } = JSON.parse(readFileSync(file, "utf8"));
    const lost = sources.filter((source, index) => {
      const path = posix.join(posix.dirname(file), source);
      const hasText = typeof sourcesContent[index] === "string" && !/^(\.\.|\/|\w+:)/.test(path);
      return posix.isAbsolute(source) || !(hasText || files.includes(path));
    });
    assert.deepEqual(lost, [], file);
  }
});

await step("publint", () => node(bin("publint/src/cli.js"), "run", tarball, "--strict"));
await step("are the types wrong", () =>
  node(bin("@arethetypeswrong/cli/dist/index.js"), tarball, "--profile", "node16"),
);

await step("installs into a bare folder, with the declared dependencies and no types of Node", () => {
  put("package.json", '{ "private": true }');
  run("npm", ["install", "--prefer-offline", "--no-audit", "--no-fund", tarball]);
  assert.ok(!existsSync(join(home, "node_modules/@types")));
  assert.ok(!existsSync(join(home, "node_modules/mathjs")));
});

/** Solves the document and prints the answer; on the way, an error crosses the entries and the schema is the shipped one. */
const program = `
const assert = require("node:assert/strict");
const { readFileSync } = require("node:fs");
assert.throws(() => fanCurve({}), InputError);
assert.deepEqual(require("ductgraph/schema.json"), networkSchema());
console.log(JSON.stringify(solveNetwork(JSON.parse(readFileSync(process.argv[2], "utf8")))));
`;
const names = "{ InputError, networkSchema, solveNetwork }";
put("use.cjs", `const ${names} = require("ductgraph"); const { fanCurve } = require("ductgraph/fans");${program}`);
put(
  "use.mjs",
  `import ${names} from "ductgraph"; import { fanCurve } from "ductgraph/fans"; import { createRequire } from "node:module";
const require = createRequire(import.meta.url);${program}`,
);

let answer;
await step("solves under import", () => {
  answer = node("use.mjs", DOCUMENT).trim();
  assert.ok(Object.keys(JSON.parse(answer).ducts).length > 0);
});
await step("solves under require", () => assert.equal(node("use.cjs", DOCUMENT).trim(), answer));
// Bundlers and older releases of Node take the CommonJS files.
const commonJs = "--no-experimental-require-module";
await step("solves with the CommonJS files", () => {
  assert.match(node(commonJs, "-p", 'require.resolve("ductgraph")'), /index\.cjs/);
  assert.equal(node(commonJs, "use.cjs", DOCUMENT).trim(), answer);
});
await step("import and require share one instance", () => {
  const same = (entry, name) => `assert.equal(require("${entry}").${name}, (await import("${entry}")).${name});`;
  put(
    "same.mjs",
    `import assert from "node:assert/strict"; import { createRequire } from "node:module";
const require = createRequire(import.meta.url);
${same("ductgraph", "DocumentError")} ${same("ductgraph/fans", "fanCurve")}
${same("ductgraph/fittings", "bend")} ${same("ductgraph/fittings", "InputError")}`,
  );
  node("same.mjs");
});

const consumer = `
import { DocumentError, parseNetwork, type Solution, solveNetwork } from "ductgraph";
import { fanCurve } from "ductgraph/fans";
import { bend, coefficientOf } from "ductgraph/fittings";
const solution: Solution = solveNetwork(parseNetwork({}));
export const flow: number = solution.ducts["d1"]!.flow;
// @ts-expect-error: a flow is a number, and no any
export const wrong: string = solution.ducts["d1"]!.flow;
export const error: Error = new DocumentError([]);
export const curve: typeof fanCurve = fanCurve;
export const loss: number = coefficientOf(bend, { radiusRatio: 1.5 }, { section: { diameter: 0.16 } }).coefficient;
// @ts-expect-error: a bend has no such parameter
coefficientOf(bend, { radius: 1.5 }, { section: { diameter: 0.16 } });
`;
put("consumer.mts", consumer);
put("consumer.cts", consumer);
for (const [module, moduleResolution, files] of [
  ["node16", "node16", ["consumer.mts", "consumer.cts"]],
  ["nodenext", "nodenext", ["consumer.mts", "consumer.cts"]],
  ["esnext", "bundler", ["consumer.mts"]],
]) {
  const compilerOptions = {
    module,
    moduleResolution,
    target: "es2022",
    lib: ["es2022"],
    types: [],
    strict: true,
    noEmit: true,
  };
  put(`tsconfig.${moduleResolution}.json`, JSON.stringify({ compilerOptions, files }));
  // node16 gives the declarations of the CommonJS files to consumer.cts, nodenext those of the ESM files.
  for (const compiler of COMPILERS)
    await step(`${compiler} compiles consumers, ${moduleResolution}`, () =>
      node(bin(`${compiler}/bin/tsc`), "-p", `tsconfig.${moduleResolution}.json`),
    );
}

let bundle;
const solveInBundle = `JSON.stringify(ductgraph.solveNetwork(JSON.parse(${JSON.stringify(readFileSync(DOCUMENT, "utf8"))})))`;
await step("is bundled for browsers", async () => {
  const { outputFiles } = await build({
    stdin: {
      contents:
        'export * from "ductgraph"; export * as fans from "ductgraph/fans"; export * as fittings from "ductgraph/fittings";',
      resolveDir: home,
    },
    bundle: true,
    format: "iife",
    globalName: "ductgraph",
    platform: "browser",
    write: false,
  });
  bundle = outputFiles[0].text;
});
await step("solves in a bare context, without console, timers or anything of Node", () => {
  const context = createContext({});
  runInContext("delete globalThis.console", context);
  for (const name of ["process", "Buffer", "require", "console", "setTimeout", "structuredClone"])
    assert.equal(runInContext(`typeof ${name}`, context), "undefined");
  runInContext(bundle, context);
  assert.equal(runInContext(solveInBundle, context), answer);
});
await step("solves in a worker", async () => {
  const post = 'require("node:worker_threads").parentPort.postMessage';
  const worker = new Worker(`${bundle}\n${post}(${solveInBundle})`, { eval: true });
  const got = await new Promise((done, fail) => worker.once("message", done).once("error", fail));
  assert.equal(got, answer);
});

rmSync(home, { recursive: true });
console.log(failures === 0 ? "The package is in order." : `${failures} checks of the package failed.`);
process.exitCode = failures === 0 ? 0 : 1;
