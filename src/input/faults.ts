import type * as z from "zod";
import { joined, type Place, type Problem, problemOf } from "../core/errors.js";
import { nearestName } from "../core/nearest.js";
import { shortened, shown } from "../core/show.js";
import type { Fault } from "./field-faults.js";
import { type Field, readWith } from "./fields.js";

/** The outcome of reading one value: the value, or its problems. */
export type Reading<T> = { readonly value: T } | { readonly problems: readonly Problem[] };

/** The problem of a value at a place; the empty path is the document. */
const problemAt = ({ path, id }: Place, code: string, expected: string, found: string, nearest?: string): Problem =>
  problemOf(code, path, expected, found, { id, nearest, subject: path === "" ? "document" : path });

const below = ({ path, id }: Place, keys: readonly PropertyKey[]): Place => ({
  path: joined(path, ...keys.map(String)),
  id,
});

const heldAt = (value: unknown, keys: readonly PropertyKey[]): unknown => {
  let current = value;
  for (const key of keys) {
    if (typeof current !== "object" || current === null) return undefined;
    current = (current as Record<PropertyKey, unknown>)[key];
  }
  return current;
};

const unknownKeys = (keys: readonly string[], known: readonly string[], place: Place): Problem[] =>
  keys.map((key) => {
    const name = shortened(key);
    const few = known.length === 1 ? `only the key ${known[0]}` : `one of the keys ${known.join(", ")}`;
    const expected = known.length > 12 ? "a known key" : few;
    return problemAt(below(place, [name]), "key.unknown", expected, `the key '${name}'`, nearestName(key, known));
  });

/** What an object lacks that tells no form, and what any of its forms says of the keys that all of them have. */
const formless = (
  fault: Fault,
  [issues]: readonly (readonly z.core.$ZodIssue[])[],
  value: unknown,
  place: Place,
): Problem[] => {
  const { missing, distinct } = fault.formless as NonNullable<Fault["formless"]>;
  const lacking = problemAt(below(place, [missing]), fault.code, fault.expected, "nothing");
  const shared = issues.filter(({ path: [key] }) => key !== undefined && !distinct.includes(String(key)));
  const unknown = issues.flatMap((one) => (one.code === "unrecognized_keys" && one.path.length === 0 ? one.keys : []));
  return [lacking, ...translate(shared, value, place), ...unknownKeys(unknown, fault.known ?? [], place)];
};

const translate = (issues: readonly z.core.$ZodIssue[], value: unknown, place: Place): Problem[] =>
  issues.flatMap((issue) => {
    const here = below(place, issue.path);
    const held = heldAt(value, issue.path);
    const fault = JSON.parse(issue.message) as Fault;
    const { code, expected, message, nearest, known = [] } = fault;
    if (issue.code === "invalid_union") {
      if (fault.form !== undefined) return translate(issue.errors[fault.form], held, here);
      if (fault.formless !== undefined) return formless(fault, issue.errors, held, here);
    }
    if (issue.code === "unrecognized_keys") return unknownKeys(issue.keys, known, here);
    const made = problemAt(here, code, expected, shown(held), nearest);
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
    return { problems: [problemAt(place(), "value.unreadable", "plain data", "a value that throws when it is read")] };
  }
};
