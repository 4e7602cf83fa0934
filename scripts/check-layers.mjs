/**
 * Holds the order of the folders in src/ and of the floors in src/network/: each imports only from itself and from those
 * above it in the list, files import one another in no circle, and each foreign package has one place.
 *
 *   node scripts/check-layers.mjs [source folder]
 */
import { existsSync, readdirSync, readFileSync } from "node:fs";
import { dirname, join, posix, relative, resolve, sep } from "node:path";
import ts from "typescript";

/**
 * From the ground up, a step in a line: rooms of one step do not know each other. The rooms of `network/` are its floors.
 * `index.ts` is the main entry: it may show what stands before it here. No room stands above `command/`, so nothing
 * imports it.
 */
const ORDER = [
  ...[["core"], ["numerics"], ["air"], ["ducts"], ["fittings"], ["fans"], ["input"]],
  ["network/results", "network/equations"],
  ...[["network/format"], ["network/elements"], ["network/layout"], ["network/document"], ["network/solve"]],
  ["network/queries", "network/compiled"],
  ...[["brief"], ["operation"], ["sound"], ["design"], ["index.ts"]],
  ...[["options"], ["studies"], ["pictures"], ["command"]],
];

/** The room of a file: its folder, or its floor in `network/`. */
const roomOf = (file) =>
  file
    .split("/")
    .slice(0, file.startsWith("network/") ? 2 : 1)
    .join("/");

/** The step on which a room stands, −1 for none. */
const stepOf = (room) => ORDER.findIndex((rooms) => rooms.includes(room));

export const ENTRIES = ["index.ts", "fans/index.ts", "fittings/index.ts"];

/** The packages that src/ may import: where, and in which form, if that matters. */
const PACKAGES = {
  mathjs: {
    files: /^input\/[\w-]*(quantity|quantities|unit|units)\.ts$/,
    where: "input/*quantities.ts or input/*units.ts",
  },
  zod: { files: /^input\//, where: "input/", form: "namespace z" },
  // Its string without the formats that the classic one brings along; by name, since a namespace would bring all.
  "zod/v4/core": { files: /^input\//, where: "input/", form: "named" },
  graphology: {
    files: /^network\/document\/topology[\w-]*\.ts$/,
    where: "network/document/topology*.ts",
    form: "named",
  },
};

/** Every violation under a source folder, as `file:line: what is wrong`. */
export function layerProblems(source) {
  const root = resolve(source);
  const files = readdirSync(root, { recursive: true })
    .map((file) => file.split(sep).join("/"))
    .filter((file) => file.endsWith(".ts"))
    .sort();
  const problems = [];
  const graph = new Map();

  for (const file of files) {
    const room = roomOf(file);
    if (stepOf(room) < 0) problems.push(`${file}:1: "${room}" has no place in the order of folders`);
    if (posix.basename(file) === "index.ts" && !ENTRIES.includes(file))
      problems.push(`${file}:1: only ${ENTRIES.join(", ")} are index files`);

    const edges = [];
    graph.set(file, edges);
    for (const { specifier, form, line } of importsOf(join(root, file))) {
      const at = `${file}:${line}`;
      if (!specifier.startsWith(".")) {
        const problem = packageProblem(file, specifier, form);
        if (problem) problems.push(`${at}: ${problem}`);
        continue;
      }
      const target = posix.join(posix.dirname(file), specifier).replace(/\.js$/, ".ts");
      const targetRoom = roomOf(target);
      if (targetRoom === "..") problems.push(`${at}: imports ${specifier}, outside the source folder`);
      else if (!existsSync(join(root, target))) problems.push(`${at}: imports ${specifier}, which is no source file`);
      else {
        edges.push({ target, line });
        if (posix.basename(target) === "index.ts")
          problems.push(`${at}: imports ${target}; import the file that holds the name`);
        if (targetRoom !== room && stepOf(targetRoom) >= stepOf(room))
          problems.push(`${at}: ${room} imports ${target}, but ${targetRoom} does not stand above ${room}`);
      }
    }
  }
  return [...problems, ...circles(graph)];
}

function packageProblem(file, specifier, form) {
  const allowed = Object.hasOwn(PACKAGES, specifier) ? PACKAGES[specifier] : undefined;
  if (!allowed) return `imports "${specifier}"; src may import only ${Object.keys(PACKAGES).join(", ")}`;
  if (!allowed.files.test(file)) return `imports "${specifier}", which has its place in ${allowed.where}`;
  if (allowed.form && form !== allowed.form) {
    const right = allowed.form === "named" ? `import { … } from "${specifier}"` : `import * as z from "${specifier}"`;
    return `imports "${specifier}" in another form than ${right}`;
  }
}

/** Every import of a file: static, re-exported, dynamic or in a type. */
function importsOf(path) {
  const source = ts.createSourceFile(path, readFileSync(path, "utf8"), ts.ScriptTarget.Latest);
  const found = [];
  const visit = (node) => {
    const specifier = specifierOf(node);
    if (specifier) {
      const line = source.getLineAndCharacterOfPosition(node.getStart(source)).line + 1;
      found.push({ specifier, form: formOf(node), line });
    }
    ts.forEachChild(node, visit);
  };
  visit(source);
  return found;
}

function specifierOf(node) {
  if (ts.isImportDeclaration(node) || ts.isExportDeclaration(node)) return node.moduleSpecifier?.text;
  if (ts.isImportTypeNode(node)) return node.argument.literal.text;
  const isCall = ts.isCallExpression(node) && node.arguments.length > 0;
  if (isCall && (node.expression.kind === ts.SyntaxKind.ImportKeyword || node.expression.text === "require"))
    return ts.isStringLiteralLike(node.arguments[0]) ? node.arguments[0].text : "(a computed name)";
}

function formOf(node) {
  if (!ts.isImportDeclaration(node) || !node.importClause || node.importClause.name) return "other";
  const bindings = node.importClause.namedBindings;
  return ts.isNamespaceImport(bindings) ? `namespace ${bindings.name.text}` : "named";
}

/** One message for each circle met on a walk in depth. */
function circles(graph) {
  const problems = [];
  const done = new Set();
  const walk = (file, trail) => {
    if (done.has(file)) return;
    for (const { target, line } of graph.get(file) ?? []) {
      const start = [...trail, file].indexOf(target);
      if (start < 0) walk(target, [...trail, file]);
      else problems.push(`${file}:${line}: closes a circle: ${[...[...trail, file].slice(start), target].join(" → ")}`);
    }
    done.add(file);
  };
  for (const file of graph.keys()) walk(file, []);
  return problems;
}

if (process.argv[1] === import.meta.filename) {
  const source = process.argv[2] ?? join(dirname(import.meta.dirname), "src");
  const problems = layerProblems(source);
  for (const problem of problems) console.error(join(relative(process.cwd(), source), problem));
  console.log(problems.length === 0 ? "Folders are in order." : `${problems.length} out of order.`);
  process.exitCode = problems.length === 0 ? 0 : 1;
}
