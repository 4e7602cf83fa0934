import { InputError, joined, type Place, type Problem, problemOf } from "../../core/errors.js";
import { thrownBy } from "../../core/gather.js";
import { nearestName } from "../../core/nearest.js";
import { isOfSize, isWithin, rangeText, sizeText } from "../../core/ranges.js";
import { shown } from "../../core/show.js";
import { readField } from "../../input/faults.js";
import type { Field } from "../../input/fields.js";
import { type Numeric, numericAt } from "../../input/notes.js";
import type { Network } from "../document/document.js";
import { placeOf } from "../document/reading.js";
import { kindOf } from "../elements/kinds/list.js";
import { air } from "../format/air.js";
import { duct, opening } from "../format/elements.js";

/** Which part of a network a parameter belongs to. */
export interface Owner {
  readonly list: "air" | "outdoorAir" | "nodes" | "ducts" | "openings";
  /** Position in the list; 0 for an air. */
  readonly index: number;
}

/** Where the number of a parameter stands in a network. */
export interface ParameterPlace {
  /** As it was asked for: a fan's numbers have two names, by the fan and by its node. */
  readonly path: string;
  readonly owner: Owner;
  /** Keys below the owner. */
  readonly keys: readonly string[];
  readonly numeric: Numeric;
}

/** The elements of a network by id. */
export class NetworkIndex {
  private readonly known = new Map<string, ReadonlyMap<string, number>>();
  private knownFans: ReadonlyMap<string, { readonly index: number; readonly keys: readonly string[] }> | undefined;

  constructor(readonly network: Network) {}

  /** Positions in a list by id; found when they are first asked for. */
  positions(list: "nodes" | "ducts" | "openings"): ReadonlyMap<string, number> {
    let positions = this.known.get(list);
    if (positions === undefined) {
      positions = new Map(this.network[list].map(({ id }, index) => [id, index]));
      this.known.set(list, positions);
    }
    return positions;
  }

  /** The element of an owner, as the equations count them: nodes, ducts, openings. */
  elementOf({ list, index }: Owner): number {
    const { nodes, ducts } = this.network;
    return index + (list === "nodes" ? 0 : nodes.length) + (list === "openings" ? ducts.length : 0);
  }

  /** The node of each fan, and the keys of the fan below it. */
  get fans(): ReadonlyMap<string, { readonly index: number; readonly keys: readonly string[] }> {
    this.knownFans ??= new Map(
      this.network.nodes.flatMap((node, index) =>
        kindOf(node)
          .fans(node)
          .map(({ name, keys }) => [name, { index, keys }] as const),
      ),
    );
    return this.knownFans;
  }
}

const parameterLists = ["air", "outdoorAir", "nodes", "ducts", "openings", "fans"];

/** The error for a path that leads nowhere. */
export const unknownPath = (path: string, expected: string, found: string, nearest: string | undefined): InputError => {
  const text = typeof path === "string" ? path : "";
  return new InputError([problemOf("path.unknown", text, expected, found, { nearest, subject: shown(path) })]);
};

/** The words of a path; of what is no text, none. */
export const wordsOf = (path: string): readonly string[] => (typeof path === "string" ? path.split(".") : []);

/** The nearest of the names that may stand at a place of a path, with the rest of the path as it was. */
export const nearestPath = (words: readonly string[], at: number, known: Iterable<string>): string | undefined => {
  const nearest = nearestName(words[at] ?? "", known);
  return nearest === undefined ? undefined : [...words.slice(0, at), nearest, ...words.slice(at + 1)].join(".");
};

/** The error for a path whose first words name something that has no number by the rest. */
export const unknownNumber = (
  path: string,
  /** How many words name what the number is sought in. */
  named: number,
  held: unknown,
  what: string,
): InputError => {
  const words = wordsOf(path);
  const known = Array.from(numbersBelow(held), (found) => found.join("."));
  const given = words.slice(named).join(".");
  const near = nearestName(given, known);
  const nearest = near === undefined ? undefined : [...words.slice(0, named), near].join(".");
  const few = known.length > 0 && known.length <= 12;
  return unknownPath(
    path,
    few ? `one of the numbers ${known.join(", ")}` : what,
    given === "" ? "no key" : shown(given),
    nearest,
  );
};

/** An owner that a path names, and what stands below it. */
export interface Named {
  readonly owner: Owner;
  /** An id, or the name of a fan. */
  readonly name: string;
  /** Keys of the named thing below the owner: a fan's keys below its node. */
  readonly inner: readonly string[];
  /** How many words of the path name it. */
  readonly named: number;
}

/**
 * The owner that a path names.
 *
 * @param lists - The words that it may begin with.
 * @throws InputError `path.unknown`, with the nearest path.
 */
export const namedBy = (index: NetworkIndex, path: string, lists: readonly string[]): Named => {
  const words = wordsOf(path);
  const [list, id = ""] = words;
  if (!lists.includes(list)) {
    const expected = `a path that begins with ${lists.join(", ")}`;
    if (list === "terminals" || list === "airHandlers") {
      // As results name them; what the document gives of them stands with the nodes.
      const canonicalPath = ["nodes", ...words.slice(1)].join(".");
      if (thrownBy(() => parameterPlace(index, canonicalPath)).length === 0)
        throw unknownPath(path, expected, shown(list), canonicalPath);
    }
    throw unknownPath(path, expected, shown(list), words.length > 0 ? nearestPath(words, 0, lists) : undefined);
  }
  if (list === "air" || list === "outdoorAir") return { owner: { list, index: 0 }, name: list, inner: [], named: 1 };
  if (list === "fans") {
    // A fan of an air handler has a name of two words.
    const long = words.slice(1, 3).join(".");
    const name = index.fans.has(long) ? long : id;
    const fan = index.fans.get(name);
    if (fan !== undefined) {
      return { owner: { list: "nodes", index: fan.index }, name, inner: fan.keys, named: name === long ? 3 : 2 };
    }
    throw unknownPath(path, "the name of a fan after 'fans.'", shown(id), nearestPath(words, 1, index.fans.keys()));
  }
  const kept = list === "ducts" || list === "openings" ? list : "nodes";
  const positions = index.positions(kept);
  const position = positions.get(id);
  if (position !== undefined) return { owner: { list: kept, index: position }, name: id, inner: [], named: 2 };
  throw unknownPath(path, `an id after '${list}.'`, shown(id), nearestPath(words, 1, positions.keys()));
};

/** The value of an owner in a network: an element or an air. */
export const ownedBy = (network: Network, { list, index }: Owner): unknown =>
  list === "air" || list === "outdoorAir" ? network[list] : network[list][index];

const fieldOf = (network: Network, { list, index }: Owner): Field<unknown, unknown> => {
  if (list === "ducts") return duct;
  if (list === "openings") return opening;
  return list === "nodes" ? kindOf(network.nodes[index]).field : air;
};

const heldAt = (value: unknown, keys: readonly string[]): unknown =>
  keys.reduce<unknown>((held, key) => (held as Readonly<Record<string, unknown>>)[key], value);

/** The object that holds the last key, and that key. */
export const holderOf = (value: unknown, keys: readonly string[]): { holder: Record<string, number>; key: string } => {
  return { holder: heldAt(value, keys.slice(0, -1)) as Record<string, number>, key: keys[keys.length - 1] };
};

/** All keys below a value that lead to numbers. */
export function* numbersBelow(value: unknown, keys: readonly string[] = []): Generator<readonly string[]> {
  if (typeof value === "number") yield keys;
  if (typeof value !== "object" || value === null) return;
  for (const [key, held] of Object.entries(value)) if (key !== "meta") yield* numbersBelow(held, [...keys, key]);
}

/**
 * Finds the number that a parameter path names.
 *
 * @throws InputError `path.unknown`, with the nearest path, when there is none.
 */
export const parameterPlace = (index: NetworkIndex, path: string): ParameterPlace => {
  const { network } = index;
  const { owner, inner, named } = namedBy(index, path, parameterLists);
  const value = ownedBy(network, owner);
  if (value === undefined) throw unknownPath(path, `a document with '${owner.list}'`, "one without", undefined);
  const keys = [...inner, ...wordsOf(path).slice(named)];
  const numeric = keys[0] === "meta" ? undefined : numericAt(fieldOf(network, owner), keys, value);
  if (numeric !== undefined) return { path, owner, keys, numeric };
  throw unknownNumber(path, named, heldAt(value, inner), "a number that the document gives");
};

/** The path of an owner by the ids of a document. */
export const pathOf = (network: Network, { list, index }: Owner): string =>
  list === "air" || list === "outdoorAir" ? list : joined(list, network[list][index].id);

/** Where a number stands by the ids of a document: one path for each, under any of its names. */
export const canonicalPathOf = (network: Network, { owner, keys }: ParameterPlace): string =>
  joined(pathOf(network, owner), ...keys);

/** Problems of changes that give one number two values, by two of its names. */
export const doubledProblems = (
  network: Network,
  places: readonly ParameterPlace[],
  changes: Readonly<Record<string, number | string>>,
): Problem[] => {
  const first = new Map<string, string>();
  return places.flatMap((place) => {
    const { path } = place;
    const canonicalPath = canonicalPathOf(network, place);
    const before = first.get(canonicalPath) ?? path;
    first.set(canonicalPath, before);
    if (before === path || changes[before] === changes[path]) return [];
    const expected = `the value of ${before}, which is the same number`;
    return [problemOf("conflict", path, expected, `${shown(changes[path])} beside ${shown(changes[before])}`)];
  });
};

/** What is wrong with a value for a parameter; nothing when it will do. */
export const valueProblem = ({ path, numeric }: ParameterPlace, value: number): Problem | undefined => {
  const { range, unit, whole } = numeric;
  const good = typeof value === "number" && isWithin(value, range) && isOfSize(value);
  if (good && (!whole || Number.isInteger(value))) return undefined;
  const limits = isWithin(value, range) ? sizeText : rangeText(range);
  const expected = whole ? "a whole number, 1 or more" : unit === "-" ? limits : `${limits} [${unit}]`;
  return problemOf("value.range", path, expected, shown(value));
};

/** What is wrong with the values of an owner's keys on their own, by its place in the network. */
export const readingProblems = (network: Network, owner: Owner): readonly Problem[] => {
  const { list, index } = owner;
  const place = (): Place =>
    list === "air" || list === "outdoorAir" ? { path: list } : placeOf(list, index, network[list][index].id);
  const reading = readField(fieldOf(network, owner), ownedBy(network, owner), place);
  return "problems" in reading ? reading.problems : [];
};

/** A copy of plain data that may be changed; what the user attached is not copied. */
export const copyOf = <T>(value: T): T => {
  if (Array.isArray(value)) return value.map(copyOf) as T;
  if (typeof value !== "object" || value === null) return value;
  const copy = { ...value };
  for (const key in copy) if (typeof copy[key] === "object" && key !== "meta") copy[key] = copyOf(copy[key]);
  return copy;
};
