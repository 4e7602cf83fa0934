import { DocumentError, type Problem } from "../../core/errors.js";
import type { FrictionLawName } from "../../ducts/friction.js";
import { readField } from "../../input/faults.js";
import {
  about,
  anything,
  choice,
  exactly,
  type Field,
  list,
  object,
  optional,
  preset,
  text,
  word,
} from "../../input/fields.js";
import { jsonSchemaOf } from "../../input/notes.js";
import { type NetworkNode, node } from "../elements/kinds/list.js";
import { type AirPart, air } from "../format/air.js";
import { type Duct, duct, type Opening, opening } from "../format/elements.js";
import type { Form, Labelled, Preset } from "../format/forms.js";
import { endPattern, idPattern, labels } from "../format/identifiers.js";
import type { Elements, Layout } from "../layout/layout.js";
import { checkElements } from "./element-checks.js";
import { type Ends, placeOf, Read, withItsPlace } from "./reading.js";

/** A network document: as it is written, or parsed (SI, defaults filled in). */
export type NetworkForm<F extends Form> = Labelled & {
  /** Where the JSON Schema is; ignored. */
  readonly $schema?: string;
  readonly format: "ductgraph/1";
  readonly title?: string;
  /** Default: as `air`. */
  readonly outdoorAir?: AirPart<F>;
  readonly nodes: readonly NetworkNode<F>[];
} & Preset<
    F,
    {
      /** Of all rooms and nodes that name no other, and of ducts that neither name nor inherit another. */
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
  $schema: about("Where the JSON Schema is; ignored.", optional(text())),
  format: word("ductgraph/1"),
  title: about("A name for people; ignored.", optional(text())),
  ...labels(),
  air: about(
    "The air of all rooms, nodes and ducts that neither name nor inherit their own.",
    preset(air, { density: 1.2 }),
  ),
  outdoorAir: about("Default: as `air`.", optional(air)),
  friction: about("The friction law of all ducts.", preset(choice(lawNames), "colebrook" as const)),
});

/** A list of more elements than this is no network that can be solved, and is not read. */
const mostElements = 1_000_000;

const documentField: Field<Network, NetworkDocument> = exactly<Network, NetworkDocument>()(
  object({
    ...rootKeys(),
    nodes: list(node, 0, mostElements),
    ducts: preset(list(duct, 0, mostElements), []),
    openings: preset(list(opening, 0, mostElements), []),
  }),
);

/** The document without its elements, which are read one by one so that each fault leaves the others standing. */
const rootField = object({
  ...rootKeys(),
  nodes: list(anything(), 0, mostElements),
  ducts: preset(list(anything(), 0, mostElements), []),
  openings: preset(list(anything(), 0, mostElements), []),
});

/** A key of a value that may be anything, even something that throws when it is read. */
const peek = (value: unknown, key: string): unknown => {
  try {
    return typeof value === "object" && value !== null ? (value as Record<string, unknown>)[key] : undefined;
  } catch {
    return undefined;
  }
};

/** A text of the right form at a key. */
const nameAt = (value: unknown, key: string, pattern: RegExp): string | undefined => {
  const held = peek(value, key);
  return typeof held === "string" && pattern.test(held) ? held : undefined;
};

/** The entries of a list of elements; undefined where they cannot be read as one, which the root's own faults say. */
const entriesAt = (value: unknown, key: string): readonly unknown[] | undefined => {
  const given = peek(value, key);
  try {
    if (!Array.isArray(given) || given.length > mostElements) return undefined;
    const entries: unknown[] = [];
    for (let index = 0; index < given.length; index++) entries.push(given[index]);
    return entries;
  } catch {
    return undefined;
  }
};

const readList = <T extends Ends & { readonly id: string }>(
  field: Field<T, unknown>,
  name: "nodes" | "ducts" | "openings",
  entries: readonly unknown[] | undefined,
  problems: Problem[],
): Read<T>[] => {
  const pattern = name === "ducts" ? endPattern : idPattern;
  return (entries ?? []).map((entry, index): Read<T> => {
    const reading = readField(field, entry, () => placeOf(name, index, nameAt(entry, "id", idPattern)));
    if ("value" in reading) return new Read(name, index, reading.value.id, reading.value, reading.value);
    // One by one: very many arguments of one call overflow the stack.
    for (const one of reading.problems) problems.push(withItsPlace(one));
    const [from, to, room] = ["from", "to", "room"].map((key) => nameAt(entry, key, pattern));
    return new Read<T>(name, index, nameAt(entry, "id", idPattern), { from, to, room }, undefined);
  });
};

const airAt = (value: unknown, key: string): AirPart | undefined => {
  const reading = readField(air, peek(value, key), () => ({ path: key }));
  return "value" in reading ? reading.value : undefined;
};

interface Document {
  readonly network?: Network;
  /** Where there is a network. */
  readonly layout?: Layout;
  readonly problems: readonly Problem[];
}

const readDocument = (value: unknown): Document => {
  const root = readField(rootField, value, () => ({ path: "" }));
  const problems: Problem[] = "problems" in root ? [...root.problems] : [];
  const given = entriesAt(value, "nodes");
  const nodes = readList(node, "nodes", given, problems);
  const givenDucts = entriesAt(value, "ducts");
  const ducts = readList(duct, "ducts", givenDucts, problems);
  const openings = readList(opening, "openings", entriesAt(value, "openings"), problems);
  const { air, outdoorAir, friction }: Pick<Elements, "air" | "outdoorAir" | "friction"> =
    "value" in root
      ? root.value
      : {
          air: airAt(value, "air") ?? { density: 1.2, viscosity: 1.81e-5 },
          outdoorAir: airAt(value, "outdoorAir"),
          friction: "colebrook",
        };
  const listed = given !== undefined;
  const ductsListed = givenDucts !== undefined || peek(value, "ducts") === undefined;
  const read = { air, outdoorAir, friction, nodes, listed, ducts, ductsListed, openings };
  const { problems: found, layout } = checkElements(read);
  const all = [...problems, ...found];
  if (all.length > 0 || "problems" in root) return { problems: all };
  const { elements } = layout;
  const lists = { nodes: elements.nodes, ducts: elements.ducts, openings: elements.openings };
  for (const list of Object.values(lists)) Object.freeze(list);
  return { network: { ...root.value, ...lists }, layout, problems: all };
};

/** Marks what `parseNetwork` has given, and holds its layout; not to be seen, and lost in any copy. */
const parsed = Symbol("parsed");

/**
 * Reads a network document: checks it whole, reads its quantities into SI, fills in its defaults.
 *
 * @param value - The document of format `ductgraph/1`, as plain data from JSON for instance.
 * @returns The network as plain frozen data in SI [m, m³/s, Pa, kg/m³, Pa·s, W, °C, rad]; itself a valid document, and
 *   `parseNetwork` of it gives an equal one.
 * @throws DocumentError with every fault of the document at once; the codes are listed in docs/errors.md. Nothing else.
 *
 * Source: the format is this library's own.
 * @example const network = parseNetwork(JSON.parse(text));
 */
export function parseNetwork(value: unknown): Network {
  if (isParsed(value)) return value;
  const { network, layout, problems } = readDocument(value);
  if (network === undefined) throw new DocumentError(problems);
  return Object.freeze(Object.defineProperty(network, parsed, { value: layout }));
}

/** The layout of a network that `parseNetwork` has given, made with it. */
export const layoutOf = (network: Network): Layout => (network as unknown as { readonly [parsed]: Layout })[parsed];

const isParsed = (value: unknown): value is Network => {
  try {
    return typeof value === "object" && value !== null && Object.hasOwn(value, parsed);
  } catch {
    return false; // a proxy that throws: its reading will say so
  }
};

/**
 * The faults of a network document, for a form that checks while one types.
 *
 * @param value - The document, as plain data.
 * @returns `problems`, plain data: every fault at once; empty when `parseNetwork` would take the document.
 * @throws Nothing.
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
