import * as z from "zod";
import type { Range } from "../core/ranges.js";
import type { Quantity } from "./quantities.js";

/** What the JSON Schema says of a field beside its type and range. */
interface Note {
  /** The name under which the schema defines it once. */
  readonly id?: string;
  /** What it measures, with its unit: "length [m]". */
  readonly title?: string;
  readonly description?: string;
  readonly examples?: string[];
}

/** Notes stand in a register of their own: zod's global one belongs to the program that uses this library. */
const notes = z.registry<Note>();

export const noted = <F extends z.ZodType>(field: F, note: Note): F => {
  notes.add(field, { ...notes.get(field), ...note });
  return field;
};

/** What a field that gives a number says of it. */
export interface Numeric {
  /** What it measures; a number without a name, such as a coefficient, has none. */
  readonly quantity?: Quantity;
  /** The unit of the number, "-" where it has none. */
  readonly unit: string;
  readonly range: Range;
  readonly whole?: boolean;
}

const numerics = new WeakMap<z.ZodType, Numeric>();

export const measured = <F extends z.ZodType>(field: F, numeric: Numeric): F => {
  numerics.set(field, numeric);
  return field;
};

/**
 * What the field at the end of a path of keys says of its number; undefined where there is no number. `value` is a value
 * that the field has given: it tells which form of a union is meant.
 */
export const numericAt = (field: z.ZodType, keys: readonly string[], value: unknown): Numeric | undefined => {
  const known = numerics.get(field);
  if (known !== undefined) return keys.length === 0 ? known : undefined;
  if (field instanceof z.ZodOptional || field instanceof z.ZodPrefault) {
    return numericAt(field.unwrap() as z.ZodType, keys, value);
  }
  if (field instanceof z.ZodPipe) return numericAt(field.in as z.ZodType, keys, value);
  if (field instanceof z.ZodUnion) {
    for (const option of field.options as readonly z.ZodType[]) {
      if (!option.safeParse(value).success) continue;
      const found = numericAt(option, keys, value);
      if (found !== undefined) return found;
    }
    return undefined;
  }
  const [key, ...rest] = keys;
  if (key === undefined || typeof value !== "object" || value === null || !Object.hasOwn(value, key)) return undefined;
  const held = (value as Readonly<Record<string, unknown>>)[key];
  if (field instanceof z.ZodArray) return numericAt(field.element as z.ZodType, rest, held);
  if (!(field instanceof z.ZodObject) || !Object.hasOwn(field.shape, key)) return undefined;
  return numericAt(field.shape[key] as z.ZodType, rest, held);
};

/** The JSON Schema (2020-12) of what a field takes. */
export const jsonSchemaOf = (field: z.ZodType): Record<string, unknown> =>
  z.toJSONSchema(field, { io: "input", metadata: notes }) as Record<string, unknown>;
