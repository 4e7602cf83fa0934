/** Runs every examples/**\/run.mjs; one that fails fails the whole. */
import { spawnSync } from "node:child_process";
import { readdirSync } from "node:fs";
import { join } from "node:path";

const examples = readdirSync("examples", { recursive: true }).filter((file) => /(^|[\\/])run\.mjs$/.test(file));
if (examples.length === 0) throw new Error("examples/ holds no run.mjs");

const failed = examples.sort().filter((example) => {
  console.log(`\n> node ${join("examples", example)}`);
  return spawnSync(process.execPath, [join("examples", example)], { stdio: "inherit" }).status !== 0;
});
console.log(`\n${examples.length} examples, failed: ${failed.join(", ") || "none"}`);
process.exitCode = failed.length === 0 ? 0 : 1;
