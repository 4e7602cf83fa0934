import { DocumentError, InputError } from "../../core/errors.js";
import { thrownBy } from "../../core/gather.js";
import { readObject } from "../../core/keys.js";
import type { Quantity } from "../../input/quantities.js";
import { type Network, type NetworkDocument, parseNetwork } from "../document/document.js";
import {
  copyOf,
  doubledProblems,
  holderOf,
  NetworkIndex,
  ownedBy,
  type ParameterPlace,
  parameterPlace,
  readingProblems,
} from "./paths.js";

/** What a parameter measures. */
export interface Description {
  /** "number" for one that has no name of its own, such as a coefficient. */
  readonly quantity: Quantity | "number";
  /** The unit of its value; "-" for none. */
  readonly unit: string;
}

/**
 * What the number at a parameter path measures, and in which unit its value is.
 *
 * @param network - A parsed network, or a document, which is parsed first.
 * @param path - A parameter path such as `ducts.d1.length`.
 * @returns `quantity`, a plain word, and `unit`, the SI unit of the value [m, m³/s, Pa, …].
 * @throws DocumentError for a wrong document; InputError `path.unknown`, with the nearest path.
 *
 * Source: the format is this library's own.
 * @example describe(network, "ducts.d1.length"); // { quantity: "length", unit: "m" }
 */
export function describe(network: Network | NetworkDocument, path: string): Description {
  const { numeric } = parameterPlace(new NetworkIndex(parseNetwork(network)), path);
  return { quantity: numeric.quantity ?? "number", unit: numeric.unit };
}

/**
 * A network with some numbers changed; the one given stays as it is.
 *
 * @param network - A parsed network, or a document, which is parsed first.
 * @param changes - New values by parameter path: numbers [SI], or quantity texts such as "180 mm".
 * @returns A parsed network.
 * @throws DocumentError for a wrong document; InputError with all wrong paths and values, including one number given
 *   two values by two names (`conflict`); if no path is wrong, with all faults of the changed network. Values and
 *   faults are named by their places in it.
 *
 * Source: the format is this library's own.
 * @example withChanges(network, { "ducts.main.section.diameter": "250 mm", "fans.unit.supply.speed": 0.8 });
 */
export function withChanges(
  network: Network | NetworkDocument,
  changes: Readonly<Record<string, number | string>>,
): Network {
  const given = readObject("changes", changes);
  const parsed = parseNetwork(network);
  const index = new NetworkIndex(parsed);
  const places: ParameterPlace[] = [];
  const problems = Object.keys(given).flatMap((path) => thrownBy(() => places.push(parameterPlace(index, path))));
  problems.push(...doubledProblems(parsed, places, given));
  const copy = copyOf(parsed);
  for (const { owner, keys, path } of places) {
    const { holder, key } = holderOf(ownedBy(copy, owner), keys);
    (holder as Record<string, number | string>)[key] = given[path];
  }
  if (problems.length > 0) {
    // What else is at odds may follow from a change whose path is wrong: values are only read.
    const owners = new Map(places.map(({ owner }) => [`${owner.list}.${owner.index}`, owner]));
    throw new InputError([...problems, ...[...owners.values()].flatMap((owner) => readingProblems(copy, owner))]);
  }
  try {
    return parseNetwork(copy);
  } catch (error) {
    if (error instanceof DocumentError) throw new InputError(error.problems);
    throw error;
  }
}
