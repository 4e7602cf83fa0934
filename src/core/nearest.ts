import { InputError, problemOf } from "./errors.js";
import { shortened, shown } from "./show.js";

/** Names longer than this get no suggestion, so that the work stays linear in what was typed. */
const longestName = 64;

/** Levenshtein distance: the fewest letters to insert, delete or replace. */
const editDistance = (a: string, b: string): number => {
  let previous = Array.from({ length: b.length + 1 }, (_, j) => j);
  for (let i = 1; i <= a.length; i++) {
    const current = [i];
    for (let j = 1; j <= b.length; j++) {
      const replaced = previous[j - 1] + (a[i - 1] === b[j - 1] ? 0 : 1);
      current.push(Math.min(replaced, previous[j] + 1, current[j - 1] + 1));
    }
    previous = current;
  }
  return previous[b.length];
};

/**
 * The known name that was probably meant by a name that is not known.
 *
 * Letter case does not count. A suggestion differs by at most a third of the longer name's letters, rounded up, and
 * never by all of them; of several equally near the first is taken.
 *
 * @returns The nearest known name; undefined when none is near, or when `name` has more than 64 characters.
 * @example nearestName("diametre", ["diameter", "width"]); // "diameter"
 */
export const nearestName = (name: string, known: Iterable<string>): string | undefined => {
  if (name.length > longestName) return undefined;
  const wanted = name.toLowerCase();
  let nearest: string | undefined;
  let least = Number.POSITIVE_INFINITY;
  for (const candidate of known) {
    const longer = Math.max(name.length, candidate.length);
    const allowed = Math.min(Math.ceil(longer / 3), longer - 1);
    if (Math.abs(name.length - candidate.length) > allowed) continue;
    const distance = editDistance(wanted, candidate.toLowerCase());
    if (distance <= allowed && distance < least) {
      nearest = candidate;
      least = distance;
    }
  }
  return nearest;
};

/**
 * The InputError for a name that is not among the known ones, with the nearest of them.
 *
 * @param kind - What is named ("material"); the code is `unknown-<kind>`.
 * @param path - The argument, or the place in it, that holds the name.
 * @param name - What was given, of any type.
 */
export const unknownName = (kind: string, path: string, name: unknown, known: readonly string[]): InputError => {
  const isText = typeof name === "string";
  const found = isText ? shortened(name) : shown(name);
  const nearest = isText ? nearestName(name, known) : undefined;
  const few = known.length === 0 ? `no ${kind}` : `one of ${known.join(", ")}`;
  const expected = known.length <= 8 ? few : `a known ${kind}`;
  return new InputError([problemOf(`unknown-${kind}`, path, expected, found, { nearest, got: shown(name) })]);
};
