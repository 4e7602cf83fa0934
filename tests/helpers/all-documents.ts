import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import * as library from "../../src/index.js";

/** A document with the name by which a failure calls it. */
export type NamedDocument = readonly [name: string, document: unknown];

const root = new URL("../../", import.meta.url);
const textOf = (path: string): string => readFileSync(new URL(path, root), "utf8");

/** Every document that stands in a file of its own. */
export const filedDocuments = (): NamedDocument[] =>
  ["tests/networks/published", "tests/networks/independent", "tests/networks/independent-tees", "examples/hostel"]
    .flatMap((folder) => readdirSync(new URL(folder, root)).map((file) => `${folder}/${file}`))
    .filter((path) => path.endsWith(".json"))
    .map((path) => [path, JSON.parse(textOf(path))]);

/** Every faultless document that a program on a page, or an example, gives to the library; the programs run. */
export const documentsOfPrograms = async (): Promise<NamedDocument[]> => {
  const pages = ["README.md", ...readdirSync(new URL("docs", root)).map((file) => `docs/${file}`)];
  const programs = pages
    .filter((page) => page.endsWith(".md"))
    .flatMap((page) =>
      [...textOf(page).matchAll(/^```(js|ts) run\n([\s\S]*?)^```$/gm)].map(([, language, text], i) => ({
        name: `${page} program ${i + 1}`,
        language,
        text,
      })),
    );
  const examples = ["easy-or-tight-bends", "two-branches"].map((name) => ({
    name: `examples/${name}`,
    language: "mjs",
    text: textOf(`examples/${name}/run.mjs`),
  }));
  const found: NamedDocument[] = [];
  const seen = new Set<string>();
  const log = console.log;
  console.log = () => {};
  try {
    for (const { name, language, text } of [...programs, ...examples]) {
      const take = (network: unknown): void => {
        if (typeof network !== "object" || network === null || !("format" in network)) return;
        const written = JSON.stringify(network);
        if (!seen.has(written) && library.checkNetwork(network).problems.length === 0)
          found.push([`${name}, document ${found.length}`, JSON.parse(written)]);
        seen.add(written);
      };
      const recording = Object.fromEntries(
        Object.entries(library).map(([key, value]) => [
          key,
          typeof value !== "function" || /^[A-Z]/.test(key)
            ? value
            : (...given: never[]) => {
                take(given[0]);
                return (value as (...some: never[]) => unknown)(...given);
              },
        ]),
      );
      Object.assign(globalThis, { recording });
      const folder = mkdtempSync(join(tmpdir(), "programs-"));
      const file = join(folder, `program.${language}`);
      writeFileSync(
        file,
        text.replaceAll(/import \{([^}]*)\} from "ductgraph";/g, (_, names: string) => {
          const values = names
            .split(",")
            .filter((one) => !one.trim().startsWith("type "))
            .join(",");
          return `const {${values.replaceAll(" as ", ": ")}} = globalThis.recording;`;
        }),
      );
      await import(file);
      rmSync(folder, { recursive: true });
    }
  } finally {
    console.log = log;
  }
  return found;
};
