import { InputError, problemOf } from "./errors.js";
import { unknownName } from "./nearest.js";
import { shown } from "./show.js";

/**
 * What an object is built in as, "Map" or "Date"; "Object" for plain ones and those of a class, of any realm. One that
 * throws when it is asked counts as plain: who reads it says so.
 */
const builtInKind = (value: object): string => {
  try {
    return Object.prototype.toString.call(value).slice("[object ".length, -1);
  } catch {
    return "Object";
  }
};

/**
 * Throws InputError `not-an-object` unless the value of an argument is an object with keys of its own: what a list, a Map or
 * a Date holds stands under no key, and would be passed over without a word.
 */
export const requireObject = (name: string, value: unknown): void => {
  if (typeof value !== "object" || value === null) {
    throw new InputError([problemOf("not-an-object", name, "an object", shown(value))]);
  }
  const kind = builtInKind(value);
  if (kind === "Object") return;
  const found = kind === "Array" ? shown(value) : `a ${kind}`;
  throw new InputError([problemOf("not-an-object", name, "an object with keys of its own", found)]);
};

/**
 * The keys and values of an argument, read once: what is checked is then what is used, whatever its getters say next.
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
