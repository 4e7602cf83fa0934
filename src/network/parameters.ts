import { InputError, type Problem } from "../core/errors.js";
import { nearestName } from "../core/nearest.js";
import { isOfSize, isWithin, rangeText, sizeText } from "../core/ranges.js";
import { shown } from "../core/show.js";
import { type Place, readField } from "../input/faults.js";
import { type Field, type Numeric, numericAt } from "../input/fields.js";
import type { Network } from "./document.js";
import { duct, opening } from "./elements.js";
import { kindOf } from "./kinds/list.js";
import { air } from "./parts.js";
import { placeOf } from "./read.js";

/** Which part of a network a parameter belongs to. */
export interface Owner {
  readonly list: "air" | "outdoorAir" | "nodes" | "ducts" | "openings";
  /** Position in the list; 0 for an air. */
  readonly index: number;
}

/** Where the number of a parameter stands in a network. */
export interface ParameterPlace {
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

const lists = ["air", "outdoorAir", "nodes", "ducts", "openings", "fans"];

/** The error for a path that leads nowhere. */
export const unknownPath = (path: string, expected: string, found: string, nearest: string | undefined): InputError => {
  const hint = nearest === undefined ? "" : `; did you mean '${nearest}'?`;
  const message = `${shown(path)}: expected ${expected}, got ${found}${hint}`;
  return new InputError([
    { code: "path.unknown", path, message, expected, found, ...(nearest === undefined ? {} : { nearest }) },
  ]);
};

/** The nearest of the names that may stand at a place of a path, with the rest of the path as it was. */
export const nearestPath = (words: readonly string[], at: number, known: Iterable<string>): string | undefined => {
  const nearest = nearestName(words[at], known);
  return nearest === undefined ? undefined : [...words.slice(0, at), nearest, ...words.slice(at + 1)].join(".");
};

const ownerOf = (index: NetworkIndex, path: string): { owner: Owner; keys: readonly string[] } => {
  const words = typeof path === "string" ? path.split(".") : [];
  const [list, id = ""] = words;
  if (list === "air" || list === "outdoorAir") return { owner: { list, index: 0 }, keys: words.slice(1) };
  if (list === "fans") {
    // A fan of an air handler has a name of two words.
    const long = index.fans.get(words.slice(1, 3).join("."));
    const fan = long ?? index.fans.get(id);
    if (fan !== undefined) {
      const keys = [...fan.keys, ...words.slice(long === undefined ? 2 : 3)];
      return { owner: { list: "nodes", index: fan.index }, keys };
    }
    throw unknownPath(path, "the name of a fan after 'fans.'", shown(id), nearestPath(words, 1, index.fans.keys()));
  }
  if (list === "nodes" || list === "ducts" || list === "openings") {
    const positions = index.positions(list);
    const position = positions.get(id);
    if (position !== undefined) return { owner: { list, index: position }, keys: words.slice(2) };
    throw unknownPath(path, `an id after '${list}.'`, shown(id), nearestPath(words, 1, positions.keys()));
  }
  const expected = `a path that begins with ${lists.join(", ")}`;
  throw unknownPath(path, expected, shown(list), words.length > 0 ? nearestPath(words, 0, lists) : undefined);
};

/** The value of an owner in a network: an element or an air. */
export const ownedBy = (network: Network, { list, index }: Owner): unknown =>
  list === "air" || list === "outdoorAir" ? network[list] : network[list][index];

const fieldOf = (network: Network, { list, index }: Owner): Field<unknown, unknown> => {
  if (list === "ducts") return duct;
  if (list === "openings") return opening;
  return list === "nodes" ? kindOf(network.nodes[index]).field : air;
};

/** The object that holds the last key, and that key. */
export const holderOf = (value: unknown, keys: readonly string[]): { holder: Record<string, number>; key: string } => {
  let holder = value as Record<string, unknown>;
  for (const key of keys.slice(0, -1)) holder = holder[key] as Record<string, unknown>;
  return { holder: holder as Record<string, number>, key: keys[keys.length - 1] };
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
  const { owner, keys } = ownerOf(index, path);
  const value = ownedBy(network, owner);
  const numeric = keys[0] === "meta" ? undefined : numericAt(fieldOf(network, owner), keys, value);
  if (numeric !== undefined) return { path, owner, keys, numeric };
  const known = Array.from(numbersBelow(value), (found) => found.join("."));
  const given = keys.join(".");
  const near = nearestName(given, known);
  const nearest = near === undefined ? undefined : `${path.slice(0, path.length - given.length)}${near}`;
  const expected = known.length > 12 ? "a number that the document gives" : `one of the numbers ${known.join(", ")}`;
  throw unknownPath(path, expected, given === "" ? "no key" : shown(given), nearest);
};

/** What is wrong with a value for a parameter; nothing when it will do. */
export const valueProblem = ({ path, numeric }: ParameterPlace, value: number): Problem | undefined => {
  const { range, unit, whole } = numeric;
  const good = typeof value === "number" && isWithin(value, range) && isOfSize(value);
  if (good && (!whole || Number.isInteger(value))) return undefined;
  const limits = isWithin(value, range) ? sizeText : rangeText(range);
  const expected = whole ? "a whole number, 1 or more" : unit === "-" ? limits : `${limits} [${unit}]`;
  const found = shown(value);
  return { code: "value.range", path, message: `${path}: expected ${expected}, got ${found}`, expected, found };
};

/** What is wrong with the values of an owner's keys by themselves, by its place in the network. */
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
