/**
 * Writes docs/errors.md: every code with its meaning, the smallest example, and the message that the built package gives
 * for it. The codes and examples stand in tests/network/document/faults.data.mjs.
 */
import { writeFileSync } from "node:fs";
import * as main from "ductgraph";
import * as fans from "ductgraph/fans";
import * as fittings from "ductgraph/fittings";
import * as data from "../tests/network/document/faults.data.mjs";

const INTRODUCTION = `# Codes of faults, errors and warnings

<!-- Written by \`npm run docs:errors\` from tests/network/document/faults.data.mjs. -->

A wrong document gives all its faults at once: \`parseNetwork\` throws a \`DocumentError\`, \`checkNetwork\` returns the same
list. Every other function throws an \`InputError\` for a wrong argument. Both carry \`problems\`, each with

- \`code\`: one of the words below, which do not change between versions;
- \`path\`: where it is, by position in a document (\`ducts.3.section.diameter\`), else the argument; the empty text is the whole;
- \`message\`: one sentence, "path: expected …, got …";
- \`id\`: the id of the element that the path leads to, where it has one;
- \`expected\` and \`found\`: the two halves of the sentence;
- \`nearest\`: the name that was probably meant, if a name is not known.

A network that has no answer throws a \`SolveError\` with a \`status\`; a solution lists its \`warnings\`.`;

/** The page, from the data and the functions of the library. */
export function errorsPage({ documentFaults, inputErrors, solveStatuses, warnings, network }, library) {
  const { checkNetwork, solveNetwork } = library;
  const scope = { ...library, network, solution: solveNetwork(network) };
  return `${[
    INTRODUCTION,
    "## Faults of a document",
    ...documentFaults.map((fault) => {
      const [{ message }] = checkNetwork(documentOf(fault)).problems;
      return entry(fault, exampleOf(fault), message);
    }),
    "## Wrong arguments",
    `Texts of quantities and fan curves outside a document give the \`quantity.\` and \`curve.\` codes above. In these calls
\`network\` is this one, and \`solution\` its solution:`,
    block("json", written(network)),
    ...inputErrors.map((error) =>
      entry(
        error,
        block("ts", error.call),
        thrownBy(() => evaluated(error.call, scope)),
      ),
    ),
    "## Statuses of a SolveError",
    ...solveStatuses.map((status) =>
      entry(
        status,
        exampleOf(status),
        status.document && thrownBy(() => solveNetwork(status.document, status.options)),
      ),
    ),
    "## Warnings",
    "Paths of warnings use ids: they are paths of the solution, or of the document with ids in place of positions.",
    ...warnings.map((warning) =>
      entry(warning, exampleOf(warning), warning.document && solveNetwork(warning.document).warnings[0].message),
    ),
  ].join("\n\n")}\n`;
}

/**
 * The document of an example; one that JSON cannot hold stands as a text.
 *
 * @param {{ document?: unknown, text?: string }} example
 */
export const documentOf = ({ document, text }) => document ?? evaluated(text, {});

/** The value of an expression with these names known. */
export const evaluated = (expression, scope) =>
  new Function(...Object.keys(scope), `return (${expression});`)(...Object.values(scope));

function thrownBy(call) {
  try {
    call();
  } catch (error) {
    return error.problems === undefined ? error.message : error.problems[0].message;
  }
  throw new Error(`expected an error from ${call}`);
}

const entry = ({ code, meaning }, example, message) =>
  [`### ${code}`, meaning, example, message && block("text", message)].filter(Boolean).join("\n\n");

const block = (language, text) => `\`\`\`${language}\n${text}\n\`\`\``;

function exampleOf({ document, text, options }) {
  if (text !== undefined) return block("js", text);
  if (document === undefined) return undefined;
  const json = block("json", written(document));
  return options === undefined ? json : `${json}\n\nwith the options \`${inline(options)}\``;
}

/** A document with one element a line. */
function written(document) {
  const entries = Object.entries(document).map(([key, value]) => {
    const lines =
      Array.isArray(value) && value.length > 0 ? `[\n    ${value.map(inline).join(",\n    ")} ]` : inline(value);
    return `"${key}": ${lines}`;
  });
  return `{ ${entries.join(",\n  ")} }`;
}

function inline(value) {
  if (Array.isArray(value)) return value.length === 0 ? "[]" : `[${value.map(inline).join(", ")}]`;
  if (typeof value !== "object") return JSON.stringify(value);
  return `{ ${Object.entries(value)
    .map(([key, held]) => `"${key}": ${inline(held)}`)
    .join(", ")} }`;
}

if (process.argv[1] === import.meta.filename)
  writeFileSync("docs/errors.md", errorsPage(data, { ...main, ...fans, ...fittings }));
