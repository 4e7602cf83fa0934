/**
 * Runs the README and the pages with programs. Each ```ts or ```js block is marked `run` or `no-run` after its language. A `run` block stands by
 * itself, with its own imports, and what it prints is the ```text block that follows it.
 */
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { format } from "node:util";
import { describe, expect, onTestFinished, test, vi } from "vitest";

interface Block {
  readonly language: string;
  readonly marks: readonly string[];
  readonly text: string;
  readonly line: number;
}

function blocksOf(markdown: string): Block[] {
  const lineOf = (index: number): number => markdown.slice(0, index).split("\n").length;
  return [...markdown.matchAll(/^```(\S+)(.*)\n([\s\S]*?)^```$/gm)].map((match) => ({
    language: match[1],
    marks: match[2].split(" ").filter(Boolean),
    text: match[3],
    line: lineOf(match.index),
  }));
}

/** What a program prints, with its bare imports of ductgraph led to the source. */
async function printedBy({ language, text }: Block): Promise<string> {
  const folder = mkdtempSync(join(tmpdir(), "readme-"));
  onTestFinished(() => rmSync(folder, { recursive: true }));
  const file = join(folder, `block.${language}`);
  writeFileSync(file, text);
  const log = vi.spyOn(console, "log").mockImplementation(() => {});
  onTestFinished(() => log.mockRestore());
  await import(file);
  return log.mock.calls.map((line) => `${format(...line)}\n`).join("");
}

describe.each(["README.md", "docs/repeated-solves.md", "docs/fans.md"])("%s", (page) => {
  const blocks = blocksOf(readFileSync(new URL(`../${page}`, import.meta.url), "utf8"));
  const programs = blocks.filter(({ language }) => language === "ts" || language === "js");

  test("has examples that run", () => {
    expect(programs.filter(({ marks }) => marks.includes("run")).length).toBeGreaterThan(0);
  });

  test.each(programs)("line $line: the $language block is marked run or no-run", ({ marks }) => {
    expect([["run"], ["no-run"]]).toContainEqual(marks);
  });

  test.each(programs.filter(({ marks }) => marks.includes("run")))("line $line prints what it says", async (block) => {
    const next = blocks[blocks.indexOf(block) + 1];
    expect(next?.language, "a text block with the printed lines follows").toBe("text");
    expect(await printedBy(block)).toBe(next.text);
  });
});

test("the second sh block of the README is the command that CI runs", () => {
  const blocks = blocksOf(readFileSync(new URL("../README.md", import.meta.url), "utf8"));
  const commands = blocks.filter(({ language }) => language === "sh");
  expect(commands[1]?.text.trim()).toBe("npm ci && npm test");
});
