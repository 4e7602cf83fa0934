import type * as z from "zod";
import type { Problem } from "../core/errors.js";
import { nearestName } from "../core/nearest.js";
import { shortened, shown } from "../core/show.js";
import { type Fault, type Field, readWith } from "./fields.js";

/** The outcome of reading one value: the value, or its problems. */
export type Reading<T> = { readonly value: T } | { readonly problems: readonly Problem[] };

/** Where a value stands: its path by position, and the id of the element that holds it. */
export interface Place {
  readonly path: string;
  readonly id?: string;
}

const joined = (path: string, keys: readonly PropertyKey[]): string =>
  [path, ...keys.map(String)].filter((part) => part !== "").join(".");

/** One problem from its parts, with the sentence made of them. */
export const problem = (
  place: Place,
  code: string,
  expected: string,
  found: string,
  more: { readonly nearest?: string } = {},
): Problem => {
  const hint = more.nearest === undefined ? "" : `; did you mean '${more.nearest}'?`;
  const subject = place.path === "" ? "document" : place.path;
  return {
    code,
    path: place.path,
    message: `${subject}: expected ${expected}, got ${found}${hint}`,
    ...(place.id === undefined ? {} : { id: place.id }),
    expected,
    found,
    ...more,
  };
};

const at = (value: unknown, keys: readonly PropertyKey[]): unknown => {
  let current = value;
  for (const key of keys) {
    if (typeof current !== "object" || current === null) return undefined;
    current = (current as Record<PropertyKey, unknown>)[key];
  }
  return current;
};

/** How badly a form fits an object: keys it does not know, keys it misses, and words that name another form. */
const misfit = (issues: readonly z.core.$ZodIssue[], value: unknown): number => {
  let score = 0;
  for (const issue of issues) {
    if (issue.code === "unrecognized_keys" && issue.path.length === 0) score += issue.keys.length;
    else if (issue.path.length === 1 && at(value, issue.path) === undefined) score += 1;
    else if (issue.code === "invalid_value" && issue.path.length === 1) score += 1;
    else if (issue.path.length === 0) score += 100; // not even an object
  }
  return score;
};

const unknownKeys = (keys: readonly string[], known: readonly string[], place: Place): Problem[] =>
  keys.map((key) => {
    const name = shortened(key);
    const few = known.length === 1 ? `only the key ${known[0]}` : `one of the keys ${known.join(", ")}`;
    const expected = known.length > 12 ? "a known key" : few;
    const nearest = nearestName(key, known);
    return problem(
      { ...place, path: joined(place.path, [name]) },
      "key.unknown",
      expected,
      `the key '${name}'`,
      nearest === undefined ? {} : { nearest },
    );
  });

const translate = (issues: readonly z.core.$ZodIssue[], value: unknown, place: Place): Problem[] =>
  issues.flatMap((issue) => {
    const here = { ...place, path: joined(place.path, issue.path) };
    const held = at(value, issue.path);
    if (issue.code === "invalid_union" && !issue.message.startsWith("{")) {
      const best = issue.errors.reduce((a, b) => (misfit(b, held) < misfit(a, held) ? b : a));
      return translate(best, held, here);
    }
    const { code, expected, message, nearest, known = [] } = JSON.parse(issue.message) as Fault;
    if (issue.code === "unrecognized_keys") return unknownKeys(issue.keys, known, here);
    const made = problem(here, code, expected, shown(held), nearest === undefined ? {} : { nearest });
    return [message === undefined ? made : { ...made, message: `${here.path}: ${message}` }];
  });

/**
 * Reads a value with a field: frozen data, or all of its problems at once; an exception thrown by the value itself (a
 * getter, a proxy) becomes a problem too.
 *
 * @param place - Where it stands; asked for where there is a problem.
 */
export const readField = <Out, In>(field: Field<Out, In>, value: unknown, place: () => Place): Reading<Out> => {
  try {
    const result = readWith(field, value);
    if (result.success) return { value: result.data };
    return { problems: translate(result.error.issues, value, place()) };
  } catch {
    return { problems: [problem(place(), "value.unreadable", "plain data", "a value that throws when it is read")] };
  }
};
