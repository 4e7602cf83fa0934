/**
 * Writes the keys of the document into docs/format.md, below its marker, from the JSON Schema that the built package
 * gives. What stands above the marker is written by hand.
 */
import { readFileSync, writeFileSync } from "node:fs";
import { networkSchema } from "ductgraph";

const MARKER = "<!-- From here on `npm run docs:format` writes; edit the fields in src/network/ instead. -->\n";

/** The page with the part below its marker written again. */
export function withKeys(page, schema) {
  const [byHand, ...rest] = page.split(MARKER);
  if (rest.length !== 1) throw new Error("docs/format.md: expected one marker line");
  return `${byHand}${MARKER}\n${keysOf(schema)}`;
}

/** Sections of tables: the document, its nodes, ducts and openings, then the parts that these share. */
function keysOf({ properties, required, $defs }) {
  const kinds = properties.nodes.items.oneOf;
  const kindOf = (node) => node.properties.kind.const;
  const everyNode = sharedRows(kinds);
  return [
    section(2, "The document", "", table(rowsOf({ properties, required }))),
    section(2, "Nodes", "Every node has:", table(everyNode)),
    ...kinds.map((node) =>
      section(3, kindOf(node), node.description, table(without(rowsOf(node), [...everyNode, "kind"]))),
    ),
    section(2, "Ducts", "", table(rowsOf(properties.ducts.items))),
    section(2, "Openings", "A door gap, a transfer grille, a crack.", formTables(properties.openings.items)),
    section(2, "Parts", "", ""),
    ...Object.entries($defs).map(([name, part]) => section(3, name, part.description, tablesOf(part))),
  ].join("\n");
}

const section = (level, title, text, body) =>
  [`${"#".repeat(level)} ${title}`, text, body]
    .filter((paragraph) => paragraph !== "")
    .map((one) => `${one}\n`)
    .join("\n");

/** The tables of a part: of one object, of several forms, or of several kinds. */
function tablesOf(part) {
  if (part.oneOf === undefined) return part.anyOf === undefined ? table(rowsOf(part)) : formTables(part);
  const titled = part.oneOf.map((kind) => `\`"kind": "${kind.properties.kind.const}"\`: ${kind.description}`);
  return part.oneOf.map((kind, i) => `${titled[i]}\n\n${table(without(rowsOf(kind), ["kind"]))}`).join("\n\n");
}

/** A part with several forms: the keys that all of them have, then those of each form. */
function formTables({ anyOf }) {
  const shared = sharedRows(anyOf);
  const each = anyOf.map((form) => (form.properties ? table(without(rowsOf(form), shared)) : plainForm(form)));
  const [first, ...others] = each;
  const before = shared.length === 0 ? [] : [table(shared), "and one of these forms:"];
  return [...before, first, ...others.flatMap((one) => ["or", one])].join("\n\n");
}

/** A form that is a number or a text by itself. */
const plainForm = (form) => `A ${typeOf(form)}, ${rangeOf(form)}: ${form.description}`;

/** The rows of an object's keys; of objects and lists of objects inside it too, with their path as the key. */
function rowsOf({ properties = {}, required = [] }, path = "") {
  return Object.entries(properties).flatMap(([key, field]) => {
    const inner = field.properties === undefined ? field.items : field;
    const name = `${path}${key}`;
    const row = [
      `\`${name}\``,
      typeOf(field, key),
      rangeOf(field),
      defaultOf(field, required.includes(key)),
      field.description ?? "",
    ];
    const below = field.properties === undefined ? `${name}.0.` : `${name}.`;
    return [row, ...(inner?.properties === undefined || hasSection(field) ? [] : rowsOf(inner, below))];
  });
}

/** Nodes, ducts and openings have sections of their own. */
const hasSection = ({ items = {} }) =>
  [items, ...(items.oneOf ?? []), ...(items.anyOf ?? [])].some(({ properties }) => properties?.id !== undefined);

const same = (a, b) => a.join() === b.join();
const sharedRows = ([first, ...others]) =>
  rowsOf(first).filter((row) => others.every((other) => rowsOf(other).some((one) => same(one, row))));
/** Rows without some of them, given whole or by their key. */
const without = (rows, left) =>
  rows.filter((row) => !left.some((one) => (typeof one === "string" ? row[0] === `\`${one}\`` : same(one, row))));

const table = (rows) => (rows.length === 0 ? "No other keys." : tableOf(rows));

const tableOf = (rows) =>
  [["key", "type", "range", "default", ""], ["---", "---", "---", "---", "---"], ...rows]
    .map((cells) => `| ${cells.map((cell) => cell.replaceAll("|", "\\|")).join(" | ")} |`.replace(/ {2,}/g, " "))
    .join("\n");

const link = (name) => `[${name}](#${name.toLowerCase()})`;

function typeOf(field, key) {
  if (field.$ref !== undefined) return link(field.$ref.split("/").at(-1));
  if (field.const !== undefined) return `\`${JSON.stringify(field.const)}\``;
  if (field.enum !== undefined) return field.enum.map((word) => `\`"${word}"\``).join(", ");
  if (field.title !== undefined) return field.title;
  if (hasSection(field)) return `list of ${link(key)}`;
  if (field.type === "array") return `list of ${typeOf(field.items)}`;
  if (field.type === "string") return "text";
  return field.type ?? "any JSON";
}

function rangeOf(field) {
  if (field.type === "array") {
    if (!(field.minItems > 0)) return "";
    return field.maxItems < 1000 ? `${field.minItems} to ${field.maxItems}` : `${field.minItems} or more`;
  }
  if (field.pattern !== undefined) return `\`${field.pattern}\``;
  const number = [field, ...alternatives(field)].find(({ type }) => type === "number" || type === "integer") ?? {};
  const { minimum, exclusiveMinimum, maximum = Number.MAX_SAFE_INTEGER } = number;
  const written = isAngle(field) ? degrees : decimal;
  const most = maximum < Number.MAX_SAFE_INTEGER ? written(maximum) : undefined;
  if (minimum !== undefined) return most === undefined ? `≥ ${written(minimum)}` : `${written(minimum)} to ${most}`;
  if (exclusiveMinimum === undefined) return "";
  return most === undefined ? `> ${written(exclusiveMinimum)}` : `> ${written(exclusiveMinimum)}, ≤ ${most}`;
}

const alternatives = ({ anyOf = [] }) => anyOf.flatMap((one) => [one, ...alternatives(one)]);

function defaultOf(field, required) {
  if (field.default !== undefined && isAngle(field)) return `\`"${degrees(field.default)}"\``;
  if (field.default !== undefined) return `\`${JSON.stringify(field.default)}\``;
  return required ? "required" : "";
}

/** A number with a true minus sign, so that a range reads as one. */
const decimal = (value) => String(value).replace("-", "−");

/** People read angles in degrees, and a document may write them so. */
const isAngle = ({ title }) => title?.startsWith("angle ") === true;
const degrees = (radians) => `${decimal(Number(((radians * 180) / Math.PI).toPrecision(6)))}°`;

if (process.argv[1] === import.meta.filename) {
  const file = "docs/format.md";
  writeFileSync(file, withKeys(readFileSync(file, "utf8"), networkSchema()));
}
