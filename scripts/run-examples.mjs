/**
 * Runs every examples/**\/run.mjs; one that fails fails the whole. Where the README shows what an example prints, in the
 * ```text block after `<!-- output of node examples/…/run.mjs -->` or `<!-- output of npm run demo -->`, that must be
 * what it prints.
 */
import { spawnSync } from "node:child_process";
import { readdirSync, readFileSync } from "node:fs";
import { sep } from "node:path";

const examples = readdirSync("examples", { recursive: true })
  .filter((file) => /(^|[\\/])run\.mjs$/.test(file))
  .map((file) => `examples/${file.split(sep).join("/")}`)
  .sort();
if (examples.length === 0) throw new Error("examples/ holds no run.mjs");

const { scripts } = JSON.parse(readFileSync("package.json", "utf8"));
const readme = readFileSync("README.md", "utf8");
/** What the README shows, by example. */
const shown = new Map();
for (const [, command, text] of readme.matchAll(/^<!-- output of (.+) -->\n+```text\n([\s\S]*?)^```$/gm)) {
  const run = command === "npm run demo" ? scripts.demo : command;
  shown.set(/node (\S+)$/.exec(run)?.[1], text);
}

const problems = [];
for (const example of shown.keys())
  if (!examples.includes(example)) problems.push(`README.md shows the output of ${example}, which is no example`);
if (!shown.has("examples/hostel/run.mjs")) problems.push("README.md does not show the output of npm run demo");

for (const example of examples) {
  console.log(`\n> node ${example}`);
  const { status, stdout } = spawnSync(process.execPath, [example], {
    encoding: "utf8",
    stdio: ["inherit", "pipe", "inherit"],
  });
  console.log(stdout.trimEnd());
  if (status !== 0) problems.push(`${example} failed`);
  else if (shown.has(example) && shown.get(example) !== stdout)
    problems.push(`${example} prints something else than README.md shows`);
}

for (const problem of problems) console.error(problem);
console.log(`\n${examples.length} examples, ${shown.size} of them shown in the README, ${problems.length} problems.`);
process.exitCode = problems.length === 0 ? 0 : 1;
