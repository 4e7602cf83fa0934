/**
 * Checks what the build put into dist/: foreign code only with its licence in THIRD-PARTY-NOTICES, no code derived
 * from LGPL files, no imports beside the declared dependencies, no foreign types in the declarations.
 */
import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";

const EXTERNAL = ["zod", "zod/v4/core", "graphology"];
const FOREIGN_TYPES = /\b(zod|graphology|mathjs)\b/;
/** The sparse matrix files of mathjs are ports of LGPL code. */
const LGPL = /mathjs\/lib\/.*\/algebra\/sparse\//;

const read = (path) => readFileSync(path, "utf8");
const flat = (text) => text.replace(/\s+/g, " ").trim();
const problems = [];

const outputs = ["esm", "cjs"].flatMap((format) =>
  Object.entries(JSON.parse(read(`dist/metafile-${format}.json`)).outputs),
);
const bundled = new Set();
for (const [output, { inputs, imports }] of outputs) {
  for (const [file, { bytesInOutput }] of Object.entries(inputs)) if (bytesInOutput > 0) bundled.add(file);
  for (const { path, external } of imports)
    if (external && !EXTERNAL.includes(path)) problems.push(`${output} imports ${path}`);
}

const notices = flat(read("THIRD-PARTY-NOTICES"));
const foreign = [...bundled].filter((file) => file.includes("node_modules/"));
const packages = new Set(foreign.map((file) => /.*node_modules\/(?:@[^/]+\/)?[^/]+/.exec(file)[0]));
for (const folder of packages) {
  const licences = readdirSync(folder).filter((name) => /^(licen[cs]e|notice)/i.test(name));
  if (licences.length === 0) problems.push(`${folder} is bundled and has no licence file`);
  for (const name of licences)
    if (!notices.includes(flat(read(join(folder, name)))))
      problems.push(`THIRD-PARTY-NOTICES lacks the text of ${folder}/${name}`);
}
for (const file of foreign) {
  if (LGPL.test(file)) {
    problems.push(`${file} is bundled, but derived from LGPL code`);
    continue;
  }
  // Files that a package itself took over from elsewhere.
  for (const [, line] of read(file).matchAll(/^[\s/*]*(.*(?:copyright |\(c\) \d{4}|SPDX-License).*)$/gim))
    if (!notices.includes(flat(line))) problems.push(`THIRD-PARTY-NOTICES lacks "${line}" of ${file}`);
}

/** Comments may name the packages, types may not; the lines keep their numbers. */
const withoutComments = (text) => text.replace(/\/\*[\s\S]*?\*\//g, (comment) => comment.replace(/./g, ""));
const declarations = readdirSync("dist", { recursive: true }).filter((file) => /\.d\.c?ts$/.test(file));
for (const file of declarations)
  for (const [index, line] of withoutComments(read(join("dist", file)))
    .split("\n")
    .entries()) {
    const name = FOREIGN_TYPES.exec(line)?.[0];
    if (name) problems.push(`dist/${file}:${index + 1} names ${name}`);
  }

for (const problem of problems) console.error(problem);
console.log(`Bundled from outside: ${[...packages].map((folder) => folder.replace("node_modules/", "")).join(", ")}.`);
console.log(`${declarations.length} declaration files, ${problems.length} problems.`);
process.exitCode = problems.length === 0 ? 0 : 1;
