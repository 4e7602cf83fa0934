/**
 * Everything that must hold before a change lands, in order: the one list of `npm run check` and of `.ci/run`. Goes on
 * after a failure; the last line counts the steps and the tests.
 *
 *   node scripts/check-all.mjs
 */
import { spawnSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";

const folder = mkdtempSync(join(tmpdir(), "checks-"));
const report = join(folder, "tests.json");

/** The steps: what each holds, and its script in package.json. */
const STEPS = [
  ["lock file without registry addresses", "check:lock"],
  ["format and lint", "lint"],
  ["types", "types"],
  ["layers", "check:layers"],
  ["functions", "check:functions"],
  ["English", "check:english"],
  // The README's own command, with a report beside.
  ["tests", "test", "--reporter=default", "--reporter=json", `--outputFile.json=${report}`],
  ["build", "build"],
  ["bundle", "check:bundle"],
  ["package", "check:package"],
  ["sizes", "check:sizes"],
  ["examples", "examples"],
  ["API pages", "docs:api"],
];

/** How many tests passed and failed; none where none ran. */
const testsCounted = () => {
  try {
    const { numPassedTests, numFailedTests } = JSON.parse(readFileSync(report, "utf8"));
    return { passed: numPassedTests, failed: numFailedTests };
  } catch {
    return { passed: 0, failed: 0 };
  }
};

const started = Date.now();
const seconds = (since) => `${((Date.now() - since) / 1000).toFixed(0)} s`;
const ended = STEPS.map(([name, script, ...more]) => {
  console.log(`\n== ${name}`);
  const start = Date.now();
  const { status } = spawnSync("npm", ["run", "--silent", script, "--", ...more], { stdio: "inherit" });
  console.log(`-- ${name}: ${status === 0 ? "passed" : "FAILED"} (${seconds(start)})`);
  return status === 0;
});
const tests = testsCounted();
rmSync(folder, { recursive: true });
const passed = ended.filter((step) => step).length + tests.passed;
const failed = ended.filter((step) => !step).length + tests.failed;
console.log(`\nall steps: ${seconds(started)}`);
console.log(`${passed} passed, ${failed} failed`);
process.exitCode = failed === 0 ? 0 : 1;
