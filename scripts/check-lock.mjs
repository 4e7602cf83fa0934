/** The lock file names no registry: whoever installs takes the packages from a registry of their own. */
import { readFileSync } from "node:fs";

const lines = readFileSync("package-lock.json", "utf8").split("\n");
const found = lines.flatMap((line, i) =>
  line.includes('"resolved"') ? [`package-lock.json:${i + 1}: ${line.trim()}`] : [],
);
for (const line of found) console.error(line);
process.exitCode = found.length === 0 ? 0 : 1;
