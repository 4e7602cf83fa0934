import { InputError, problemOf } from "./errors.js";
import { unknownName } from "./nearest.js";
import { shown } from "./show.js";

/** Throws InputError `not-an-object` unless the value of an argument is an object. */
export const requireObject = (name: string, value: unknown): void => {
  if (typeof value === "object" && value !== null) return;
  throw new InputError([problemOf("not-an-object", name, "an object", shown(value))]);
};

/**
 * The keys and values of an argument, read once: what is checked is then what is used, even if its getters say something else later.
 *
 * @param name - The argument's name, for the message.
 * @throws InputError `not-an-object` for what is none, or throws when it is read.
 */
export const readObject = <T extends object>(name: string, value: T): T => {
  requireObject(name, value);
  try {
    return { ...value };
  } catch {
    throw new InputError([problemOf("not-an-object", name, "an object that can be read", "one that throws")]);
  }
};

/**
 * Throws InputError `not-an-object` unless the value is an object, and `unknown-key` for all of its keys that are not
 * known: a misspelt optional key must not pass as absent. A key whose value is undefined counts as absent.
 *
 * @param name - The argument's name, for the message.
 */
export const requireKeys = (name: string, value: object, known: readonly string[]): void => {
  requireObject(name, value);
  const unknown = Object.keys(value).filter((key) => value[key as never] !== undefined && !known.includes(key));
  if (unknown.length === 0) return;
  throw new InputError(unknown.flatMap((key) => unknownName("key", key, key, known).problems));
};
