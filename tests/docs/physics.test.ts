import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
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

describe("what rests on memory is named", () => {
  const listed = section("Values from memory");
  const remembering = sources.filter(({ text }) => /\(memory\)|from memory|status: "memory"/.test(text));
  test.each(remembering.filter(({ file }) => file !== "src/core/sources.ts"))("$file", ({ file }) => {
    expect(listed).toContain(`\`${file}\``);
  });
  test.each(roughnessMaterials.filter(({ source }) => source.status === "memory"))("$name", ({ name }) => {
    expect(listed).toContain(name);
  });
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
