import { InputError, problemOf } from "./errors.js";
import { unknownName } from "./nearest.js";
import { shown } from "./show.js";

/** Throws InputError `not-an-object` unless the value of an argument is an object. */
export const requireObject = (name: string, value: unknown): void => {
  if (typeof value === "object" && value !== null) return;
  throw new InputError([problemOf("not-an-object", name, "an object", shown(value))]);
};

/**
 * Throws InputError `not-an-object` unless the value is an object, and `unknown-key` when it has a key that is not
 * known: a misspelt optional key must not pass as absent. A key whose value is undefined counts as absent.
 *
 * @param name - The argument's name, for the message.
 */
export const requireKeys = (name: string, value: object, known: readonly string[]): void => {
  requireObject(name, value);
  for (const [key, held] of Object.entries(value)) {
    if (held !== undefined && !known.includes(key)) throw unknownName("key", key, key, known);
  }
};
