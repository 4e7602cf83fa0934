/** Bundles each entry, and some fittings alone, for browsers, everything inlined; holds size and packages in it. */
import { gzipSync } from "node:zlib";
import { build } from "esbuild";

/** Limits in kB of 1000 bytes, minified and gzipped. Raise one only in the commit that needs it, and say why. */
const ENTRIES = [
  { name: "ductgraph", file: "dist/index.js", limit: 90, without: [] },
  { name: "ductgraph/fans", file: "dist/fans/index.js", limit: 6, without: [/node_modules/] },
  { name: "ductgraph/fittings", file: "dist/fittings/index.js", limit: 25, without: [/node_modules/] },
  ...["bend", "mitredBend", "damper", "filter"].map((fitting) => ({
    name: `${fitting} alone`,
    // Whoever needs one fitting does not load the catalogue.
    contents: `export { ${fitting}, coefficientOf } from "./dist/fittings/index.js";`,
    limit: 4,
    without: [/node_modules/],
  })),
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
