/**
 * Holds how functions are written: `export function` is what the package gives to its users, `const` with an arrow is all
 * else, and a generator, which has no arrow form, is `function*` in either case. A reader sees at the definition whether
 * a change of it reaches users.
 *
 *   node scripts/check-functions.mjs [source folder]
 */
import { existsSync, readdirSync, readFileSync } from "node:fs";
import { dirname, join, relative } from "node:path";
import ts from "typescript";
import { ENTRIES } from "./check-layers.mjs";

/** What breaks the rule in a source folder, each with file and line. */
export function functionProblems(root) {
  const entries = ENTRIES.map((entry) => join(root, entry)).filter((entry) => existsSync(entry));
  const given = new Set(entries.flatMap((entry) => exportedNames(parsed(entry))));
  const files = readdirSync(root, { recursive: true }).filter((file) => file.endsWith(".ts"));
  return files.flatMap((file) => {
    const source = parsed(join(root, file));
    const lineOf = (statement) => source.getLineAndCharacterOfPosition(statement.getStart(source)).line + 1;
    return source.statements.flatMap((statement) =>
      breaches(statement, given).map((breach) => `${file}:${lineOf(statement)}: ${breach}`),
    );
  });
}

const parsed = (file) => ts.createSourceFile(file, readFileSync(file, "utf8"), ts.ScriptTarget.Latest);

const exportedNames = ({ statements }) =>
  statements
    .filter((statement) => ts.isExportDeclaration(statement) && statement.exportClause !== undefined)
    .flatMap(({ exportClause }) => exportClause.elements.map(({ propertyName, name }) => (propertyName ?? name).text));

const isExported = ({ modifiers }) => modifiers?.some(({ kind }) => kind === ts.SyntaxKind.ExportKeyword) ?? false;

function breaches(statement, given) {
  if (ts.isFunctionDeclaration(statement) && statement.asteriskToken === undefined) {
    const name = statement.name.text;
    const isPublic = isExported(statement) && given.has(name);
    return isPublic ? [] : [`${name} is not given to users: write it as a const`];
  }
  if (!ts.isVariableStatement(statement) || !isExported(statement)) return [];
  return statement.declarationList.declarations
    .filter(({ name, initializer }) => given.has(name.text) && initializer && ts.isArrowFunction(initializer))
    .map(({ name }) => `${name.text} is given to users: write it as export function`);
}

if (process.argv[1] === import.meta.filename) {
  const source = process.argv[2] ?? join(dirname(import.meta.dirname), "src");
  const problems = functionProblems(source);
  for (const problem of problems) console.error(join(relative(process.cwd(), source), problem));
  console.log(problems.length === 0 ? "Functions follow the rule." : `${problems.length} do not follow the rule.`);
  process.exitCode = problems.length === 0 ? 0 : 1;
}
