/**
 * Holds how functions are written: `export function` is what the package gives to its users, `const` with an arrow is all
 * else, and a generator, which has no arrow form, is `function*` in either case. A reader sees at the definition whether
 * a change of it reaches users.
 *
 *   node scripts/check-functions.mjs
 */
import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import ts from "typescript";

const ENTRIES = ["src/index.ts", "src/fans/index.ts", "src/fittings/index.ts"];

const parsed = (file) => ts.createSourceFile(file, readFileSync(file, "utf8"), ts.ScriptTarget.Latest, true);

const exportedNames = (file) =>
  parsed(file)
    .statements.filter((line) => ts.isExportDeclaration(line) && line.exportClause !== undefined)
    .flatMap((line) => line.exportClause.elements.map((name) => (name.propertyName ?? name.name).text));

const isExported = (line) => line.modifiers?.some(({ kind }) => kind === ts.SyntaxKind.ExportKeyword) ?? false;

const given = new Set(ENTRIES.flatMap(exportedNames));

/** What a statement breaks of the rule, in words. */
const breachesOf = (line) => {
  if (ts.isFunctionDeclaration(line) && line.asteriskToken === undefined) {
    const name = line.name.text;
    return given.has(name) && isExported(line) ? [] : [`${name} is not given to users: write \`const ${name} = …\``];
  }
  if (!ts.isVariableStatement(line) || !isExported(line)) return [];
  return line.declarationList.declarations
    .filter(({ name, initializer }) => given.has(name.text) && initializer && ts.isArrowFunction(initializer))
    .map(({ name }) => `${name.text} is given to users: write \`export function ${name.text}\``);
};

const files = readdirSync("src", { recursive: true })
  .filter((file) => file.endsWith(".ts"))
  .map((file) => join("src", file));
const breaches = files.flatMap((file) =>
  parsed(file).statements.flatMap((line) => breachesOf(line).map((breach) => `${file}: ${breach}`)),
);
for (const breach of breaches) console.error(breach);
console.log(breaches.length === 0 ? `Functions of ${files.length} files are written by the rule.` : "");
process.exitCode = breaches.length === 0 ? 0 : 1;
