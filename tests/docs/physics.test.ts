import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import ts from "typescript";
import { describe, expect, test } from "vitest";
import { type FrictionLawName, frictionFactor } from "../../src/ducts/friction.js";
import { roughnessMaterials } from "../../src/ducts/roughness.js";
import { equivalentDiameter } from "../../src/ducts/section.js";

const root = new URL("../../", import.meta.url).pathname;
const page = readFileSync(join(root, "docs/physics.md"), "utf8");
const sources = readdirSync(join(root, "src"), { recursive: true, encoding: "utf8" })
  .filter((file) => file.endsWith(".ts"))
  .map((file) => ({ file: `src/${file}`, text: readFileSync(join(root, "src", file), "utf8") }));

/** A section of the page, from its heading to the next of the same or a higher level. */
const section = (title: string): string => {
  const [, level, text] = new RegExp(`^(#+) ${title}\n([^]*)`, "m").exec(page) ?? [];
  return text.split(new RegExp(`^#{1,${level.length}} `, "m"))[0];
};

test("every warning of a solution is explained, and no other", () => {
  const pushed = sources
    .filter(({ text }) => /Warning|warnings|remarks/.test(text))
    .flatMap(({ text }) => [...text.matchAll(/\{ code: "([a-z]+\.[a-z-]+)", path\b.*, message\b/g)])
    .map(([, code]) => code);
  const explained = [...section("Warnings").matchAll(/^\| `([^`]+)`/gm)].map(([, code]) => code);
  expect(explained.sort()).toEqual([...new Set(pushed)].sort());
});

test("the roughness of every material stands as it is computed with", () => {
  const millimetres = (metres: number): string => String(Number((1000 * metres).toPrecision(6)));
  const rows = roughnessMaterials.map(
    ({ name, roughness, low, high, source }) =>
      `| ${name} | ${millimetres(roughness)} | ${millimetres(low)}–${millimetres(high)} | ${source.status} |`,
  );
  expect(section("Roughness").match(/^\| .* \| [\d.]+ \|.*$/gm)).toEqual(rows);
});

/** Pairs of a file and a declaration in it. */
type Place = `${string}: ${string}`;

/** Every status `memory` in the code, by the declaration that it stands in: once for each source, once for a comment. */
const remembered = (): Place[] => {
  // The two files that speak of the word itself.
  const parsed = sources
    .filter(({ file }) => !file.endsWith("/sources.ts"))
    .map(({ file, text }) => ({ file, ...ts.createSourceFile(file, text, ts.ScriptTarget.Latest, true) }));
  const walk = (node: ts.Node, visit: (node: ts.Node) => void): void => {
    visit(node);
    ts.forEachChild(node, (child) => walk(child, visit));
  };
  const declared = (statement: ts.Statement): ts.VariableDeclaration | undefined =>
    ts.isVariableStatement(statement) ? statement.declarationList.declarations[0] : undefined;
  const nameOf = (statement: ts.Statement): string =>
    (declared(statement)?.name ?? (statement as ts.FunctionDeclaration).name)?.getText() ?? "";
  const isStatus = (node: ts.Node): boolean =>
    ts.isStringLiteral(node) &&
    node.text === "memory" &&
    ((ts.isPropertyAssignment(node.parent) && node.parent.name.getText() === "status") ||
      ts.isCallExpression(node.parent));
  const places: Place[] = [];
  // A function that makes a source from memory stands for each of its calls.
  const makers = new Set<string>();
  for (const { file, statements } of parsed) {
    for (const statement of statements) {
      const { initializer } = declared(statement) ?? {};
      walk(statement, (node) => {
        if (!isStatus(node)) return;
        if (initializer !== undefined && ts.isArrowFunction(initializer)) makers.add(nameOf(statement));
        else places.push(`${file}: ${nameOf(statement)}`);
      });
      const said = statement
        .getFullText()
        .split("\n")
        .some((line) => /^\s*(\/\*\*|\*|\/\/).*\bmemory\b/.test(line));
      if (said) places.push(`${file}: ${nameOf(statement)}`);
    }
  }
  for (const { file, statements } of parsed) {
    for (const statement of statements) {
      walk(statement, (node) => {
        if (ts.isCallExpression(node) && makers.has(node.expression.getText()))
          places.push(`${file}: ${nameOf(statement)}`);
      });
    }
  }
  return places.sort();
};

describe("what rests on memory is named", () => {
  const listed = section("Values from memory");
  const places = [...listed.matchAll(/^\|.*\| (`src\/.*) \|$/gm)].flatMap(([, cell]) =>
    cell.split("; ").flatMap((part) => {
      const [file, ...names] = [...part.matchAll(/`([^`]+)`/g)].map(([, name]) => name);
      return names.map((name): Place => `${file}: ${name}`);
    }),
  );

  test("each value by itself, and all that is named carries the word in the code", () => {
    expect(places.sort()).toEqual(remembered());
  });

  test("and no row is without a place", () => {
    const rows = listed.match(/^\| (?!value |---).*$/gm) ?? [];
    expect(rows.filter((row) => !/\| `src\/[^`]+`: `/.test(row))).toEqual([]);
  });

  test.each(roughnessMaterials.filter(({ source }) => source.status === "memory"))("$name", ({ name }) => {
    expect(listed).toContain(`"${name}"`);
  });
});

test("what is chosen here stands in files that there are", () => {
  const files = [...section("Chosen here").matchAll(/`(src\/[^`]+)`/g)].map(([, file]) => file);
  expect(files.length).toBeGreaterThan(5);
  expect(files.filter((file) => !sources.some((one) => one.file === file))).toEqual([]);
});

test.each<[FrictionLawName, number]>([
  ["haaland", 1.5],
  ["swamee-jain", 3.4],
  ["serghides", 0.004],
  ["churchill", 3.2],
])("%s stays within %s per cent of Colebrook over Re 4,000 to 1e8 and ε/D up to 0.05", (law, percent) => {
  let largest = 0;
  for (let i = 0; i <= 150; i++) {
    const reynolds = 4000 * 25_000 ** (i / 150);
    for (const relative of [0, ...Array.from({ length: 41 }, (_, j) => 1e-6 * 50_000 ** (j / 40))]) {
      largest = Math.max(
        largest,
        Math.abs(frictionFactor(reynolds, relative, law) / frictionFactor(reynolds, relative) - 1),
      );
    }
  }
  expect(100 * largest).toBeLessThanOrEqual(percent);
  expect(page.replace(/\s+/g, " ").includes(`${percent} % (\`${law}\`)`), "the page says so").toBe(true);
});

test.each([
  [1, 11],
  [2, 16],
  [4, 27],
  [8, 42],
])("sides %d:1: the circular equivalent with the true velocity loses %d per cent too little", (aspect, percent) => {
  const [width, height, velocity, viscosity, roughness] = [0.2 * aspect, 0.2, 3, 1.516e-5, 0.09e-3];
  const gradient = (diameter: number, v: number): number =>
    (frictionFactor((v * diameter) / viscosity, roughness / diameter) * v ** 2) / diameter;
  const diameter = equivalentDiameter({ width, height });
  const right = gradient(diameter, (velocity * width * height) / ((Math.PI * diameter ** 2) / 4));
  expect(Math.round(100 * (1 - gradient(diameter, velocity) / right))).toBe(percent);
  const place = aspect === 1 ? "too little in a square duct" : `at ${aspect}:1`;
  expect(page.replace(/\s+/g, " ").includes(`${percent} % ${place}`), "the page says so").toBe(true);
  const hydraulic = gradient(equivalentDiameter({ width, height }, "hydraulic"), velocity);
  expect(Math.abs(right / hydraulic - 1)).toBeLessThan(0.03);
});
