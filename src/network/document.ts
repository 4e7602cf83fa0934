import { DocumentError, type Problem } from "../core/errors.js";
import { shown } from "../core/show.js";
import type { FrictionLawName } from "../ducts/friction.js";
import { type Place, problem, readField } from "../input/faults.js";
import {
  anything,
  choice,
  exactly,
  type Field,
  jsonSchemaOf,
  list,
  object,
  optional,
  preset,
  text,
  word,
} from "../input/fields.js";
import { checkElements } from "./checks.js";
import { type Duct, duct, type Opening, opening } from "./elements.js";
import type { Form, Labelled, Preset } from "./forms.js";
import { type NetworkNode, node } from "./kinds/list.js";
import { type AirPart, air, idPattern, labels } from "./parts.js";
import type { Elements } from "./plan.js";
import type { Read } from "./read.js";

/** A network document: as it is written, or parsed (SI, defaults filled in). */
export type NetworkForm<F extends Form> = Labelled & {
  /** Where the JSON Schema is; never read. */
  readonly $schema?: string;
  readonly format: "ductgraph/1";
  readonly title?: string;
  /** Default: as `air`. */
  readonly outdoorAir?: AirPart<F>;
  readonly nodes: readonly NetworkNode<F>[];
} & Preset<
    F,
    {
      /** Of all ducts, rooms and nodes that name no other. */
      readonly air: AirPart<F>;
      readonly friction: FrictionLawName;
      readonly ducts: readonly Duct<F>[];
      readonly openings: readonly Opening<F>[];
    }
  >;

/** A parsed network: plain frozen data in SI, itself a valid document. */
export type Network = NetworkForm<"parsed">;
/** A network as it is written: quantities may be texts, defaults may be left out. */
export type NetworkDocument = NetworkForm<"written">;

const lawNames = ["colebrook", "haaland", "swamee-jain", "serghides", "churchill"] as const;

const rootKeys = () => ({
  $schema: optional(text()),
  format: word("ductgraph/1"),
  title: optional(text()),
  ...labels(),
  air: preset(air, { density: 1.2 }),
  outdoorAir: optional(air),
  friction: preset(choice(lawNames), "colebrook" as const),
});

const documentField: Field<Network, NetworkDocument> = exactly<Network, NetworkDocument>()(
  object({
    ...rootKeys(),
    nodes: list(node),
    ducts: preset(list(duct), []),
    openings: preset(list(opening), []),
  }),
);

/** The document without its elements, which are read one by one so that each fault leaves the others standing. */
const rootField = object({
  ...rootKeys(),
  nodes: list(anything()),
  ducts: preset(list(anything()), []),
  openings: preset(list(anything()), []),
});

/** A key of a value that may be anything, even something that throws when it is read. */
const peek = (value: unknown, key: string): unknown => {
  try {
    return typeof value === "object" && value !== null ? (value as Record<string, unknown>)[key] : undefined;
  } catch {
    return undefined;
  }
};

const textAt = (value: unknown, key: string): string | undefined => {
  const held = peek(value, key);
  return typeof held === "string" ? held : undefined;
};

const readList = <T>(
  field: Field<T, unknown>,
  name: "nodes" | "ducts" | "openings",
  given: unknown,
  problems: Problem[],
): Read<T>[] => {
  if (!Array.isArray(given)) return [];
  return Array.from(given, (value: unknown, index): Read<T> => {
    const named = textAt(value, "id");
    const id = named !== undefined && idPattern.test(named) ? named : undefined;
    const place: Place = { path: `${name}.${index}`, ...(id === undefined ? {} : { id }) };
    const reading = readField(field, value, place);
    const ends = { from: textAt(value, "from"), to: textAt(value, "to"), room: textAt(value, "room") };
    if ("value" in reading) return { place, id, ends, value: reading.value };
    problems.push(...reading.problems);
    return { place, id, ends };
  });
};

const values = <T>(reads: readonly Read<T>[]): T[] =>
  reads.flatMap(({ value }) => (value === undefined ? [] : [value]));

interface Document {
  readonly network?: Network;
  readonly problems: readonly Problem[];
}

const readDocument = (value: unknown): Document => {
  if (typeof value !== "object" || value === null || Array.isArray(value)) {
    return { problems: [problem({ path: "" }, "value.wrong", "an object, the network document", shown(value))] };
  }
  const root = readField(rootField, value, { path: "" });
  const problems: Problem[] = "problems" in root ? [...root.problems] : [];
  const nodes = readList(node, "nodes", peek(value, "nodes"), problems);
  const ducts = readList(duct, "ducts", peek(value, "ducts"), problems);
  const openings = readList(opening, "openings", peek(value, "openings"), problems);
  const airs: Pick<Elements, "air" | "outdoorAir"> =
    "value" in root ? root.value : { air: { density: 1.2, viscosity: 1.81e-5 } };
  problems.push(...checkElements({ air: airs.air, outdoorAir: airs.outdoorAir, nodes, ducts, openings }));
  if (problems.length > 0 || "problems" in root) return { problems };
  const elements: Elements = { air: airs.air, nodes: values(nodes), ducts: values(ducts), openings: values(openings) };
  return { network: { ...root.value, ...elements }, problems };
};

/** Freezes a parsed value all through, so that what was once checked stays as it was; `meta` is the user's own. */
const freeze = <T>(value: T): T => {
  if (typeof value !== "object" || value === null || Object.isFrozen(value)) return value;
  for (const key in value) if (key !== "meta") freeze(value[key]);
  return Object.freeze(value);
};

const parsed = new WeakSet<object>();

/**
 * Reads a network document: checks it whole, reads its quantities into SI, fills in its defaults.
 *
 * @param value - The document, from JSON for instance: the format `ductgraph/1`.
 * @returns The network as plain frozen data in SI [m, m³/s, Pa, kg/m³, Pa·s, W, °C, rad]; itself a valid document, and
 *   `parseNetwork` of it gives an equal one.
 * @throws DocumentError with every fault of the document at once; the codes are listed in docs/errors.md. Nothing else.
 *
 * Source: the format is this library's own.
 * @example const network = parseNetwork(JSON.parse(text));
 */
export function parseNetwork(value: unknown): Network {
  if (typeof value === "object" && value !== null && parsed.has(value)) return value as Network;
  const { network, problems } = readDocument(value);
  if (network === undefined) throw new DocumentError(problems);
  parsed.add(network);
  return freeze(network);
}

/**
 * The faults of a network document, for a form that checks while one types. Never throws.
 *
 * @param value - The document.
 * @returns `problems`: every fault at once; empty when `parseNetwork` would take the document.
 *
 * Source: the format is this library's own.
 * @example checkNetwork({ format: "ductgraph/1", nodes: [] }).problems; // []
 */
export function checkNetwork(value: unknown): { problems: Problem[] } {
  return { problems: [...readDocument(value).problems] };
}

/**
 * The JSON Schema (2020-12) of a network document, as `ductgraph/schema.json` holds it. It covers keys, types, ranges of
 * numbers and defaults; what depends on several elements, only `parseNetwork` checks.
 *
 * @returns A new object each time.
 * @throws Nothing.
 *
 * Source: the format is this library's own; the schema is made from the fields that `parseNetwork` reads with.
 * @example JSON.stringify(networkSchema());
 */
export function networkSchema(): object {
  return { title: "ductgraph/1", ...jsonSchemaOf(documentField) };
}
