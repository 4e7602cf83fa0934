/** Bundles each entry, and some fittings alone, for browsers, everything inlined; holds size and packages in it. */
import { gzipSync } from "node:zlib";
import * as library from "ductgraph/fittings";
import { build } from "esbuild";

/** Limits in kB of 1000 bytes, minified and gzipped. Raise one only in the commit that needs it, and say why. */
const ENTRIES = [
  // Networks hold the whole catalogue of fittings (16 kB alone), the laws of tees and the solver of controllers; fans may
  // come as families and polynomials; the choice of units stands beside them. Reading without zod and the check of
  // controllers in the whole network added 3, air along streams 4; controllers by groups with their limits 1.5, regulators at
  // terminals and dampers that shut 1, defaults and laws of families 1, heat, steps and states of units 1, system curves
  // whose every meeting is solved 1, warnings of rooms and frost 1, all faults of a call at once 1. The index run found on
  // the network itself, with the terminals that a fan serves, added 2.5; states in which all controllers hold 1; changes of
  // compiled networks held to the checks of a document 1.5; tees that give no power, counterflow and tables of fans 1.
  // Arguments read once 0.5; flows that no speeds can hold told before they are sought 1.5;
  // index runs that take terminals back and say what is missing where 1; what each element reads, declared by it, 0.5;
  // plainer and longer messages 1.5.
  { name: "ductgraph", file: "dist/index.js", limit: 167, without: [] },
  // Curves by polynomial, fit and family, tables, power chains and intersections. Arguments read once, power held against
  // flow times pressure and tables that ask for units added 0.5.
  { name: "ductgraph/fans", file: "dist/fans/index.js", limit: 14, without: [/node_modules/] },
  { name: "ductgraph/fittings", file: "dist/fittings/index.js", limit: 25, without: [/node_modules/] },
  // Whoever needs one fitting does not load the catalogue; `coefficientOf` with its checks is 2.7 kB more, once; of
  // that, arguments read once with all that is in them are 0.3.
  ...library.catalogue().flatMap(({ kind: fitting }) =>
    [
      { name: fitting, limit: 4 },
      { name: `${fitting}, coefficientOf`, limit: 5.5 },
    ].map(({ name, limit }) => ({
      name,
      contents: `export { ${name} } from "./dist/fittings/index.js";`,
      limit,
      without: [/node_modules/],
    })),
  ),
];
/** English is the only language whose messages zod needs. */
const NOWHERE = [/decimal\.js/, /zod\/v4\/locales\/(?!en\.js)/, /algebra\/sparse/];

const problems = [];
const rows = [];
for (const { name, file, contents, limit, without } of ENTRIES) {
  const { outputFiles, metafile } = await build({
    ...(file === undefined ? { stdin: { contents, resolveDir: "." } } : { entryPoints: [file] }),
    bundle: true,
    minify: true,
    format: "esm",
    platform: "browser",
    target: "es2022",
    write: false,
    metafile: true,
  });
  const [{ contents: bundle }] = outputFiles;
  const gzip = gzipSync(bundle, { level: 9 }).length / 1000;
  rows.push({ entry: name, "minified kB": bundle.length / 1000, "gzip kB": gzip, "limit kB": limit });
  if (!(gzip <= limit)) problems.push(`${name} has ${gzip} kB, above its limit of ${limit} kB`);

  const [{ inputs }] = Object.values(metafile.outputs);
  for (const [input, { bytesInOutput }] of Object.entries(inputs))
    if (bytesInOutput > 0 && [...NOWHERE, ...without].some((pattern) => pattern.test(input)))
      problems.push(`${name} contains ${input}`);
}

console.table(rows);
for (const problem of problems) console.error(problem);
process.exitCode = problems.length === 0 ? 0 : 1;
