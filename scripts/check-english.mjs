/**
 * Counts turns of phrase that a reader has to read twice, in the pages and in the strings and comments of src/. None may
 * stand in a string, since strings are what users see: messages, warnings, descriptions.
 *
 *   node scripts/check-english.mjs
 */
import { readdirSync, readFileSync } from "node:fs";
import { join, resolve, sep } from "node:path";
import ts from "typescript";

/** Each phrase with what to write in its place. */
const PHRASES = [
  [/\b(?:that|those) of\b/gi, "repeat the noun, or use a possessive"],
  [/(?<!\b(?:each|all|both|some|one|none) )\bof wh(?:ich|om)\b/gi, "whose, or a sentence of its own"],
  [/\b(?:whatever|whoever)\b/gi, "any, regardless of"],
  [/\bby (?:itself|themselves)\b/gi, "alone, on its own"],
  [/\banew\b/gi, "again"],
  [/\bto and fro\b/gi, "back and forth"],
  [/\blest\b/gi, "so that … not"],
  [/\bnobody\b/gi, "no one, nothing"],
  [/\bairs\b/gi, "air states, air streams"],
  [/\balone (?:gives?|takes?|sucks?|blows?)\b/gi, "is the only source, the only sink"],
  [/\bgives? to what\b|\bto what (?:supplies|extracts)\b/gi, "air enters from …, leaves to …"],
  [/’s to (?:say|choose|decide)\b|'s to (?:say|choose|decide)\b/gi, "the manufacturer's data state …"],
  [/\bof no account\b/gi, "has no effect"],
  [/\bnothing more is won\b/gi, "brings no further gain"],
  [/\bsince there is none\b/gi, "this … has no …"],
  [/\bbe (?:it|they|the \w+)\b(?=[^.]* or not)/gi, "whether or not"],
  [/\bhangs? (?:alone )?on\b/gi, "depends on"],
  [/\bgoes? by\b/gi, "follows, depends on"],
  [/\bleans? on\b/gi, "depends on, relies on"],
];

/** Written by other scripts, from strings of src/ that are counted there. */
const GENERATED = ["docs/errors.md", "docs/fittings.md"];

/** The prose of a page: without blocks of code, code in a line, and what a script has written below its mark. */
const proseOf = (markdown) =>
  markdown
    .split(/^<!-- Written by /m)[0]
    .replace(/^```[\s\S]*?^```$/gm, "")
    .replace(/`[^`\n]*`/g, "``");

/** The strings and the comments of a TypeScript file, each as one text. */
export function textsOf(source) {
  const file = ts.createSourceFile("file.ts", source, ts.ScriptTarget.Latest, true);
  const strings = [];
  const comments = [];
  const visit = (node) => {
    if (ts.isJSDoc(node)) return;
    const children = node.getChildren(file);
    if (children.length > 0) {
      if (!ts.isImportDeclaration(node) && !ts.isExportDeclaration(node)) children.forEach(visit);
      return;
    }
    comments.push(source.slice(node.pos, node.getStart(file, false)));
    if (ts.isStringLiteralLike(node) || isTemplatePart(node)) strings.push(node.text);
  };
  visit(file);
  const plain = (texts) => texts.join("\n").replace(/^[ \t]*\/?\*+/gm, "");
  return { strings: strings.join("\n"), comments: plain(comments) };
}

const isTemplatePart = (node) => ts.isTemplateHead(node) || ts.isTemplateMiddleOrTemplateTail(node);

/** How often each phrase stands in a text, broken lines included. */
export const countsIn = (text) => {
  const line = text.replace(/\s+/g, " ");
  return PHRASES.map(([phrase]) => line.match(phrase)?.length ?? 0);
};

const filesIn = (folder, end) =>
  readdirSync(folder, { recursive: true })
    .map((file) => join(folder, file).split(sep).join("/"))
    .filter((file) => file.endsWith(end))
    .sort();

function main() {
  const pages = ["README.md", ...filesIn("docs", ".md"), ...filesIn("examples", ".md")]
    .filter((page) => !GENERATED.includes(page))
    .map((page) => [page, countsIn(proseOf(readFileSync(page, "utf8")))]);
  const sources = filesIn("src", ".ts").map((file) => [file, textsOf(readFileSync(file, "utf8"))]);
  const strings = sources.map(([file, texts]) => [file, countsIn(texts.strings)]);
  const comments = sources.map(([file, texts]) => [file, countsIn(texts.comments)]);

  const sum = (rows, i) => rows.reduce((total, [, counts]) => total + counts[i], 0);
  console.log("pages  strings  comments  phrase");
  PHRASES.forEach(([phrase, instead], i) => {
    const numbers = [sum(pages, i), sum(strings, i), sum(comments, i)];
    const cells = numbers.map((number, k) => String(number).padStart([5, 7, 8][k]));
    console.log(`${cells.join("  ")}  ${phrase.source}  (${instead})`);
  });
  const rows = [...pages, ...strings.map(([file, counts]) => [`${file} (strings)`, counts]), ...comments];
  for (const [file, counts] of rows) {
    const found = PHRASES.flatMap(([phrase], i) => (counts[i] > 0 ? [`${counts[i]} × ${phrase.source}`] : []));
    if (found.length > 0) console.log(`${file}: ${found.join(", ")}`);
  }
  const inMessages = strings.flatMap(([, counts]) => counts).reduce((total, count) => total + count, 0);
  if (inMessages > 0) {
    console.error(`${inMessages} of these phrases stand in strings of src/`);
    process.exitCode = 1;
  }
}

if (resolve(process.argv[1] ?? "") === import.meta.filename) main();
