import { DocumentError, InputError, type Problem } from "../core/errors.js";
import type { Quantity } from "../input/quantities.js";
import { type Network, type NetworkDocument, parseNetwork } from "./document.js";
import { copyOf, holderOf, NetworkIndex, ownedBy, type ParameterPlace, parameterPlace } from "./parameters.js";

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
 * @throws DocumentError for a wrong document; InputError with all wrong paths, or with all faults of the changed network,
 *   by their places in it.
 *
 * Source: the format is this library's own.
 * @example withChanges(network, { "ducts.main.section.diameter": "250 mm", "fans.unit.supply.speed": 0.8 });
 */
export function withChanges(
  network: Network | NetworkDocument,
  changes: Readonly<Record<string, number | string>>,
): Network {
  const parsed = parseNetwork(network);
  const index = new NetworkIndex(parsed);
  const places: ParameterPlace[] = [];
  const problems: Problem[] = [];
  for (const path of Object.keys(changes)) {
    try {
      places.push(parameterPlace(index, path));
    } catch (error) {
      if (!(error instanceof InputError)) throw error;
      problems.push(...error.problems);
    }
  }
  if (problems.length > 0) throw new InputError(problems);
  const copy = copyOf(parsed);
  for (const { owner, keys, path } of places) {
    const { holder, key } = holderOf(ownedBy(copy, owner), keys);
    (holder as Record<string, number | string>)[key] = changes[path];
  }
  try {
    return parseNetwork(copy);
  } catch (error) {
    if (error instanceof DocumentError) throw new InputError(error.problems);
    throw error;
  }
}
