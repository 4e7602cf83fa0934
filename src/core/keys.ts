import { InputError, problemOf } from "./errors.js";
import { unknownName } from "./nearest.js";
import { shown } from "./show.js";

/**
 * What an object is built in as, "Map" or "Date"; "Object" for plain objects and objects of a class, of any realm. One
 * that throws when asked counts as plain: the reader then reports it.
 */
const builtInKind = (value: object): string => {
  try {
    return Object.prototype.toString.call(value).slice("[object ".length, -1);
  } catch {
    return "Object";
  }
};

const plainObject = "a plain object of keys and values";

/**
 * Throws InputError `not-an-object` unless the value of an argument is an object with its own keys: what a list, a Map or
 * a Date holds has no key, and would be ignored without an error.
 */
export const requireObject = (name: string, value: unknown): void => {
  if (typeof value !== "object" || value === null) {
    throw new InputError([problemOf("not-an-object", name, "an object", shown(value))]);
  }
  const kind = builtInKind(value);
  if (kind === "Object") return;
  const found = kind === "Array" ? shown(value) : `a ${kind}`;
  throw new InputError([problemOf("not-an-object", name, plainObject, found)]);
};

/** Whether an object is of no class; of another realm too, whose plain prototype has none above it. */
const isPlain = (value: object): boolean => {
  const prototype: unknown = Object.getPrototypeOf(value);
  return prototype === null || Object.getPrototypeOf(prototype) === null;
};

/**
 * The keys and values of an argument, read once: what is checked is then what is used, even if its getters say something
 * else later. A list, a Map or any object of a class is refused: it holds its content under no own keys, and would pass
 * as empty.
 *
 * @param name - The argument's name, for the message.
 * @throws InputError `not-an-object` for anything but a plain object, or one that throws when it is read.
 */
export const readObject = <T extends object>(name: string, value: T): T => {
  requireObject(name, value);
  try {
    if (isPlain(value)) return { ...value };
  } catch {
    throw new InputError([problemOf("not-an-object", name, "an object that can be read", "one that throws")]);
  }
  throw new InputError([problemOf("not-an-object", name, plainObject, "an object of a class")]);
};

const copied = (value: unknown, depth: number): unknown => {
  if (typeof value !== "object" || value === null || depth === 0) return value;
  if (Array.isArray(value)) return value.map((one) => copied(one, depth - 1));
  if (!isPlain(value)) return value;
  return Object.fromEntries(Object.entries(value).map(([key, held]) => [key, copied(held, depth - 1)]));
};

/** Lists and objects in one another that an argument may have: a point of a family in one of several units is the eighth. */
const deepest = 10;

/**
 * An argument of plain data, read once with all that is in it, as `readObject` reads one object. What is no plain data, such
 * as a number or the model of a fan, comes back as it is: the checks of the argument judge it.
 *
 * @param name - The argument's name, for the message.
 * @throws InputError `not-an-object` where it throws when it is read.
 */
export const readData = <T>(name: string, value: T): T => {
  try {
    return copied(value, deepest) as T;
  } catch {
    throw new InputError([problemOf("not-an-object", name, "data that can be read", "some that throws")]);
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
