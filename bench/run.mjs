// npm run bench: ductgraph beside peers of our own in C and SciPy, side by side in one run, medians of interleaved rounds.
// Prints JSON lines to bench/results.jsonl and a table. Says what it lacks when a peer cannot be built, and runs the rest.
import { execFileSync, spawnSync } from "node:child_process";
import { existsSync, mkdirSync, writeFileSync } from "node:fs";
import { growth, median } from "./measure.mjs";
import { networkOf } from "./networks.mjs";

const here = new URL(".", import.meta.url).pathname;
const peers = `${here}peers/`;
const sizes = [300, 3000, 30_000, 300_000];
const rounds = 3;
/** The interpreter that has SciPy. */
const python = process.env.DUCTGRAPH_PYTHON ?? "python3";
const repeats = { 300: 300, 3000: 60, 30000: 11, 300000: 3 };
const lines = [];

const note = (line) => {
  lines.push(line);
  writeFileSync(`${here}results.jsonl`, `${lines.map((one) => JSON.stringify(one)).join("\n")}\n`);
};
const run = (command, args, cwd) =>
  JSON.parse(execFileSync(command, args, { cwd, encoding: "utf8", maxBuffer: 1e8 }).trim().split("\n").pop());
const ours = (...args) => run("node", ["--expose-gc", `${here}ours.mjs`, ...args.map(String)], `${here}..`);

const compilerPeer = () => {
  if (existsSync(`${peers}peer_c`)) return true;
  const made = spawnSync("make", ["-s", "peer_c"], { cwd: peers, encoding: "utf8" });
  if (made.status === 0) return true;
  console.log("The C peer is missing: it needs gcc, make and Debian's libsuitesparse-dev.");
  return false;
};
const scipyPeer = () => {
  if (spawnSync(python, ["-c", "import scipy"]).status === 0) return true;
  console.log(`The SciPy peer is missing: '${python}' has no SciPy. DUCTGRAPH_PYTHON names another interpreter.`);
  return false;
};

mkdirSync(`${peers}data`, { recursive: true });
mkdirSync(`${peers}out`, { recursive: true });
for (const size of sizes) writeFileSync(`${peers}data/net_${size}.json`, JSON.stringify(networkOf(size)));

const withC = compilerPeer();
const withScipy = scipyPeer();
const table = [];
for (const size of sizes) {
  const found = { ours: [], c: [], scipy: [] };
  for (let round = 0; round < rounds; round++) {
    if (withC) found.c.push(run("./peer_c", ["ldl", `data/net_${size}.json`, String(repeats[size])], peers));
    found.ours.push(ours("solve", size, repeats[size]));
  }
  if (withScipy && size <= 30_000)
    found.scipy.push(run(python, ["peer_scipy.py", "schur", `data/net_${size}.json`], peers));
  for (const [name, results] of Object.entries(found)) for (const result of results) note({ name, ...result });
  const middle = (name, key) => (found[name].length ? median(found[name].map((result) => result[key])) : Number.NaN);
  table.push({
    size,
    "warm ms": middle("ours", "warmMs"),
    "C warm": middle("c", "warmMs"),
    "warm / C": middle("ours", "warmMs") / middle("c", "warmMs"),
    "first ms": middle("ours", "coldMs"),
    "C cold": middle("c", "coldMs"),
    "first / C": middle("ours", "coldMs") / middle("c", "coldMs"),
    iterations: middle("ours", "iterations"),
    "warm it.": middle("ours", "warmIterations"),
    "SciPy warm": middle("scipy", "warmMs"),
  });
}
const rounded = (row) =>
  Object.fromEntries(
    Object.entries(row).map(([key, value]) => [key, typeof value === "number" ? Number(value.toPrecision(4)) : value]),
  );
console.table(table.map(rounded));

const teeSizes = sizes.slice(0, 3);
const tees = teeSizes.map((size) => {
  const found = { tees: [], teesFixed: [] };
  for (let round = 0; round < rounds; round++)
    for (const name of Object.keys(found)) found[name].push(ours(name, size, repeats[size]));
  for (const result of Object.values(found).flat()) note({ name: "ours", ...result });
  const middle = (name, key) => median(found[name].map((result) => result[key]));
  return {
    size,
    tees: middle("tees", "tees"),
    "warm ms": middle("tees", "warmMs"),
    "fixed, warm ms": middle("teesFixed", "warmMs"),
    "warm / fixed": middle("tees", "warmMs") / middle("teesFixed", "warmMs"),
    iterations: middle("tees", "iterations"),
    "warm it.": middle("tees", "warmIterations"),
    "fixed, warm it.": middle("teesFixed", "warmIterations"),
  };
});
console.table(tees.map(rounded));

const fittings = ["fittings", "fittingsFixed"].map((task) => {
  const found = Array.from({ length: rounds }, () => ours(task, 300, repeats[300]));
  for (const result of found) note({ name: "ours", ...result });
  return median(found.map(({ warmMs }) => warmMs));
});

const control = ["control", "controlFixed"].map((task) => {
  const found = Array.from({ length: rounds }, () => ours(task, 300, repeats[300]));
  for (const result of found) note({ name: "ours", ...result });
  return { warm: median(found.map(({ warmMs }) => warmMs)), cold: median(found.map(({ coldMs }) => coldMs)) };
});

const units = [1, 20, 60].flatMap((count) =>
  ["units", "unitsFamily", "unitsAround", "boosters"].map((task) => {
    const found = Array.from({ length: rounds }, () => ours(task, count, count === 1 ? 60 : 15));
    for (const result of found) note({ name: "ours", ...result });
    const middle = (key) => median(found.map((result) => result[key]));
    return { units: count, task, "warm / fixed": middle("warmRatio"), "cold / fixed": middle("coldRatio") };
  }),
);
console.table(units.map(rounded));

const importTime = (code) =>
  median(Array.from({ length: 7 }, () => run("node", ["--input-type=module", "-e", code], `${here}..`).ms));
const timedImport = (name) =>
  `const t = performance.now(); await import("${name}"); console.log(JSON.stringify({ ms: performance.now() - t }))`;

const iterations = sizes.slice(0, 3).map((size) => ours("iterations", size));
const laws = ["churchill", "colebrook"].map((law) =>
  median(Array.from({ length: rounds }, () => ours("solve", 3000, 30, law).warmMs)),
);
const once = ours("once", 300_000);
const imports = [importTime(timedImport("ductgraph")), importTime(timedImport("mathjs"))];
const bars = [
  ["warm update / C, largest", Math.max(...table.map((row) => row["warm / C"])), "≤ 1.5"],
  ["compile and first update / C cold, largest", Math.max(...table.map((row) => row["first / C"])), "≤ 3"],
  [
    "growth exponent, warm update",
    growth(
      sizes,
      table.map((row) => row["warm ms"]),
    ),
    "≤ 1.15",
  ],
  [
    "growth exponent, first update",
    growth(
      sizes,
      table.map((row) => row["first ms"]),
    ),
    "≤ 1.15",
  ],
  ["tees / fixed coefficients, warm update, 300 ducts", tees[0]["warm / fixed"], "≤ 3"],
  [
    "growth exponent, warm update with tees, to 30,000",
    growth(
      teeSizes,
      tees.map((row) => row["warm ms"]),
    ),
    "≤ 1.2",
  ],
  ["controlled fan / fixed speed, warm update, 300 ducts", control[0].warm / control[1].warm, "≤ 2"],
  ["controlled fan / fixed speed, compile and first update, 300 ducts", control[0].cold / control[1].cold, "≤ 2"],
  ...[
    ["units apart", ["units", "unitsFamily"]],
    ["units around a stairwell", ["unitsAround"]],
    ["boosters on one main", ["boosters"]],
  ].flatMap(([what, kinds]) =>
    ["warm / fixed", "cold / fixed"].map((key) => {
      const rows = units.filter(({ task }) => kinds.includes(task));
      return [`1 to 60 controlled ${what}, ${key} speeds, largest`, Math.max(...rows.map((row) => row[key])), "≤ 2"];
    }),
  ),
  ["three fittings by Reynolds number / fixed coefficients, warm update, 300 ducts", fittings[0] / fittings[1], "≤ 2"],
  ["iterations cold with tees, largest", Math.max(...tees.map((row) => row.iterations)), "≤ 12"],
  ["iterations cold, seeds 1–5", Math.max(...iterations.map(({ cold }) => cold)), "≤ 12"],
  ["iterations warm, seeds 1–5", Math.max(...iterations.map(({ warm }) => warm)), "≤ 4"],
  ["gc events in 1,000 updates, 3,000 ducts", ours("garbage", 3000).collections, "0"],
  ["colebrook / churchill, warm update", laws[1] / laws[0], "≤ 1.3"],
  ["300,000 ducts, parsed to first update, s", once.firstMs / 1000, "< 2.5"],
  ["300,000 ducts, peak memory, MB", once.peakMB, "< 1000"],
  ["300,000 ducts, named solution, s", once.solutionMs / 1000, "< 2"],
  ["parseNetwork, 30,000 ducts, s", ours("parse", 30_000, 5).parseMs / 1000, "< 1"],
  ["300 ducts, JSON text to named solution, ms", ours("text", 300).textMs, "< 2"],
  ["import / import of all mathjs", imports[0] / imports[1], "≤ 0.2"],
];
for (const [bar, value, limit] of bars) note({ bar, value, limit });
console.table(bars.map(([bar, value, limit]) => ({ bar, value: Number(value.toPrecision(4)), limit })));
