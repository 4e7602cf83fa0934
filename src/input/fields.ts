import * as z from "zod";
import { _regex, type $ZodCheck, $ZodString } from "zod/v4/core";
import { InputError } from "../core/errors.js";
import { nearestName } from "../core/nearest.js";
import { isOfSize, isWithin, type Range, rangeText, sizeText } from "../core/ranges.js";
import { directOf, passing, readBy, unsure } from "./direct.js";
import { fault, wrong } from "./field-faults.js";
import { distinctKeys, type FormKeys, meantForm } from "./form-choice.js";
import { measured, noted } from "./notes.js";
import {
  describeQuantity,
  formatQuantity,
  inUnit,
  type Quantity,
  quantityPattern,
  readQuantity,
} from "./quantities.js";

/** A reader of one value: what it gives, and what it takes. */
export type Field<Out, In = Out> = z.ZodType<Out, In>;

/** A key that may be left out. */
export type Optional<F extends z.ZodType> = z.ZodOptional<F>;
/** A key that may be left out and then has a value all the same. */
export type Defaulted<F extends z.ZodType> = z.ZodPrefault<F>;
/** The field of a text. */
export type TextField = Field<string>;
/** The field of a number. */
export type NumberField = z.ZodNumber;
/** The field of a value that is kept unread. */
export type AnyField = z.ZodUnknown;
/** The field of an object. */
export type ObjectField<S extends Shape> = z.ZodObject<S, z.core.$strict>;

/** What a field gives. */
export type Output<F extends z.ZodType> = z.output<F>;
/** What a field takes. */
export type Input<F extends z.ZodType> = z.input<F>;
/** Fields by key. */
export type Shape = Readonly<Record<string, z.ZodType>>;

/** The field itself, with a sentence for the JSON Schema and docs/format.md where its key does not say enough. */
export const about = <F extends z.ZodType>(description: string, field: F): F => noted(field, { description });

/** The field itself, which the JSON Schema defines once, under this name. */
export const named = <F extends z.ZodType>(id: string, description: string, field: F): F =>
  noted(field, { id, description });

/** Freezes a value all through, so that what was once checked stays as it was; `meta` is the user's own. */
const freeze = <T>(value: T): T => {
  if (typeof value !== "object" || value === null) return value;
  for (const key in value) if (key !== "meta") freeze(value[key]);
  return Object.freeze(value);
};

/** Reads a value with a field: what it gives, frozen, or what zod found wrong. */
export const readWith = <Out>(field: Field<Out, unknown>, value: unknown): z.ZodSafeParseResult<Out> => {
  const read = directOf(field)(value);
  if (read !== unsure) return { success: true, data: read as Out };
  const result = field.safeParse(value);
  return result.success ? { success: true, data: freeze(result.data) } : result;
};

type FaultOf = { error(issue: { readonly input?: unknown }): string };

/**
 * The field of a text. zod's own `string()` brings every format that it knows along, from e-mail to base64, which would
 * be a tenth of this library; its core has the text alone.
 */
const stringField = (error: FaultOf, ...checks: $ZodCheck<string>[]): TextField =>
  new $ZodString({ type: "string", checks, error: error.error }) as unknown as TextField;

/** A text. */
export const text = (): TextField => stringField(wrong("a text"));

/** A text of a given form; `expected` says which. */
export const textLike = (pattern: RegExp, code: string, expected: string): TextField =>
  readBy(
    stringField(wrong(expected), _regex(pattern, wrong(expected, code))),
    passing((value) => typeof value === "string" && pattern.test(value)),
  );

/** True or false. */
export const flag = (): z.ZodBoolean => z.boolean(wrong("true or false"));

/** Any JSON value: kept, never read. */
export const anything = (): z.ZodUnknown => z.unknown();

/** One of a few words. */
export const choice = <const Words extends readonly string[]>(words: Words): z.ZodEnum<{ [W in Words[number]]: W }> =>
  z.enum(words, {
    error: ({ input }) => {
      const expected = words.map((one) => `'${one}'`).join(" or ");
      if (input === undefined) return fault("key.missing", expected);
      return fault("value.choice", expected, {
        nearest: typeof input === "string" ? nearestName(input, words) : undefined,
      });
    },
  });

/** Exactly this word. */
export const word = <const W extends string>(only: W): z.ZodLiteral<W> => z.literal(only, wrong(`'${only}'`));

const inRange = (schema: z.ZodNumber, range: Range, error: ReturnType<typeof wrong>): z.ZodNumber => {
  let bounded = schema;
  if (range.min !== undefined) bounded = bounded.gte(range.min, error);
  if (range.above !== undefined) bounded = bounded.gt(range.above, error);
  if (range.max !== undefined) bounded = bounded.lte(range.max, error);
  return bounded;
};

/** A plain number; its unit is for the JSON Schema, the number is never converted. */
export const number = (range: Range, unit = "-"): z.ZodNumber => {
  const expected = Object.keys(range).length === 0 ? rangeText(range) : `a number, ${rangeText(range)}`;
  const bounded = inRange(z.number(wrong(expected)), range, wrong(expected, "value.range"));
  const sized = bounded.refine(isOfSize, wrong(`${expected}: ${sizeText}`, "value.range"));
  return measured(noted(sized, { title: `number [${unit}]` }), { unit, range });
};

/** A whole number, 1 or more. */
export const count = (): z.ZodNumber => {
  const expected = "a whole number, 1 or more";
  const bounded = z.number(wrong(expected)).int(wrong(expected)).gte(1, wrong(expected, "value.range"));
  return measured(noted(bounded, { title: "whole number [-]" }), { unit: "-", range: { min: 1 }, whole: true });
};

/** The field of a quantity. */
export type QuantityField = z.ZodPipe<
  z.ZodUnion<readonly [z.ZodNumber, TextField]>,
  z.ZodTransform<number, number | string>
>;

/** What a quantity measures, with the SI unit of its number: "length [m]". */
const titleOf = (name: Quantity): string => {
  const { article, unit } = describeQuantity(name);
  return `${article.replace(/^an? /, "")} [${unit === "" ? "-" : unit}]`;
};

/** Limits in words: an angle's in degrees, as in its example. */
const limitsText = (name: Quantity, limits: Range): string => {
  const { unit } = describeQuantity(name);
  if (name !== "angle") return rangeText(limits, unit);
  const degrees = Object.entries(limits).map(([key, value]) => [key, Number(inUnit(value, "deg").toPrecision(6))]);
  return rangeText(Object.fromEntries(degrees), "deg");
};

/** An example inside its limits: the usual one, or else what lies in their middle. */
const exampleIn = (name: Quantity, limits: Range): string => {
  const { example, usual } = describeQuantity(name);
  const { above, max, min = above } = limits;
  const value = quantityIn(example, name) as number;
  if (isWithin(value, limits) || min === undefined || max === undefined) return example;
  return formatQuantity((min + max) / 2, usual[0], 2);
};

/**
 * A quantity: a number in SI or a text such as "180 mm", read into a number in SI.
 *
 * @param limits - Range in SI, checked for numbers and texts alike.
 */
export const quantity = (name: Quantity, limits: Range = {}): QuantityField => {
  const { article, unit } = describeQuantity(name);
  const example = exampleIn(name, limits);
  const bounds = Object.keys(limits).length === 0 ? "" : `, ${limitsText(name, limits)}`;
  const expected = `${article} such as '${example}'${bounds}`;
  const explain = (input: unknown): string => {
    if (input === undefined) return fault("key.missing", expected);
    if (typeof input === "string") {
      const read = readQuantity(input, name, limits);
      if ("code" in read) return fault(read.code, read.expected, { message: read.message, nearest: read.nearest });
      return fault("value.range", isWithin(read.value, limits) ? `${expected}: ${sizeText}` : expected);
    }
    if (typeof input !== "number" || Number.isNaN(input)) return fault("value.wrong", expected);
    if (isWithin(input, limits)) return fault("value.range", `${expected}: ${sizeText}`);
    return fault(Number.isFinite(input) ? "value.range" : "quantity.not-finite", expected);
  };
  const error = { error: (issue: { readonly input?: unknown }) => explain(issue.input) };
  const either = [inRange(z.number(error), limits, error), stringField(error, _regex(quantityPattern, error))] as const;
  const written = noted(z.union(either, error), { title: titleOf(name), examples: [example] });
  const fits = (value: number | undefined): boolean =>
    value !== undefined && isWithin(value, limits) && isOfSize(value);
  const read = (given: unknown): number | typeof unsure => {
    if (typeof given === "number") return fits(given) ? given : unsure;
    const value = typeof given === "string" ? quantityIn(given, name) : undefined;
    return fits(value) ? (value as number) : unsure;
  };
  const field = written.transform((given, context) => {
    const value = read(given);
    if (value !== unsure) return value;
    context.issues.push({ code: "custom", message: explain(given), input: given });
    return z.NEVER;
  });
  return measured(readBy(field, read), { quantity: name, unit: unit === "" ? "-" : unit, range: limits });
};

/** The number in a text; undefined where it has another form. */
const quantityIn = (given: string, name: Quantity): number | undefined => {
  const read = readQuantity(given, name);
  return "value" in read ? read.value : undefined;
};

/** An object with these keys and no others. */
export const object = <S extends Shape>(shape: S): ObjectField<S> =>
  z.strictObject(shape, {
    error: (issue) =>
      issue.code === "unrecognized_keys"
        ? fault("key.unknown", "a known key", { known: Object.keys(shape) })
        : issue.input === undefined
          ? fault("key.missing", "an object")
          : fault("value.wrong", "an object"),
  });

/** The same object where at least one of two keys must be there. */
export const withOneOf = <F extends z.ZodObject>(field: F, [one, other]: readonly [string, string]): F => {
  const has = (value: Readonly<Record<string, unknown>>): boolean =>
    value[one] !== undefined || value[other] !== undefined;
  return field.refine(has, { path: [one], error: fault("key.missing", `${one}, ${other} or both`) });
};

/** More entries than any list needs that says no limit of its own. */
const mostEntries = 10_000;

/**
 * A list of one kind of thing, with at least `least` and at most `most` entries: one that is longer, or that says so
 * without holding anything, is refused before any entry is read.
 */
export const list = <F extends z.ZodType>(entry: F, least = 0, most: number = mostEntries): z.ZodArray<F> => {
  const many = most < mostEntries ? `${least} to ${most}` : `${least} or more`;
  const expected = least === 0 ? "a list" : `a list of ${many}`;
  return z
    .array(entry, wrong(expected))
    .min(least, wrong(expected, "list.short"))
    .max(most, wrong(`a list of ${most} or fewer`, "list.long"));
};

/** The keys of an object field. */
const keysOf = ({ shape }: z.ZodObject): FormKeys => {
  const all = Object.keys(shape);
  return { all, needed: all.filter((key) => shape[key]._zod.optin === undefined) };
};

/** Some keys in words: "a, b and c". */
const together = (keys: readonly string[]): string =>
  keys.length < 2 ? keys.join("") : `${keys.slice(0, -1).join(", ")} and ${keys[keys.length - 1]}`;

/** What an object lacks that has no key by which its forms differ. */
const formless = (keys: readonly FormKeys[]): string => {
  const distinct = distinctKeys(keys);
  const expected = distinct.map(({ needed }) => together(needed)).join(", or ");
  const [missing] = distinct[0].needed;
  const known = [...new Set(keys.flatMap(({ all }) => all))];
  return fault("key.missing", expected, { formless: { missing, distinct: distinct.flatMap(({ all }) => all) }, known });
};

/**
 * One of several forms of an object; faults are reported for the form that the keys present point to. Where none
 * does, as in what is no object, the keys of all forms are told. Each form has a needed key that not all of them have.
 *
 * Zod is quicker where just one form lacks nothing and has only keys or sizes that it does not take: it takes that one.
 */
export const forms = <const Fs extends readonly z.ZodType[]>(...options: Fs): z.ZodUnion<Fs> => {
  const places = options.flatMap((option, i) => (option instanceof z.ZodObject ? [i] : []));
  const keys = places.map((i) => keysOf(options[i] as unknown as z.ZodObject));
  return z.union(options, {
    error: ({ input }) => {
      if (typeof input === "object" && input !== null && !Array.isArray(input)) {
        const meant = keys.length === 1 ? 0 : meantForm(keys, input);
        return meant === undefined ? formless(keys) : fault("", "", { form: places[meant] });
      }
      const other = options.findIndex((_, i) => !places.includes(i));
      if (other >= 0) return fault("", "", { form: other });
      const expected = `an object with ${keys.map(({ needed }) => together(needed)).join(", or ")}`;
      return fault(input === undefined ? "key.missing" : "value.wrong", expected);
    },
  });
};

/** A key that may be left out. */
export const optional = <F extends z.ZodType>(field: F): Optional<F> => z.optional(field);

/** A key that may be left out and then has this value. */
export const preset = <F extends z.ZodType>(field: F, value: z.input<F>): Defaulted<F> => z.prefault(field, value);

/** A key that may be left out; the object around it then fills it in from its other keys, by `filledBy`. */
export const derived = <F extends z.ZodType>(field: F): Defaulted<F> => optional(field) as unknown as Defaulted<F>;

/** The same object with its derived keys filled in; `fill` is given what was read, and changes nothing of it. */
export const filledBy = <F extends ObjectField<Shape>>(field: F, fill: <T extends object>(read: T) => T): F =>
  field.overwrite((read) => fill(read));

/**
 * An object told apart by its `kind`.
 *
 * @param what - What is chosen, for the message: "a node".
 */
export const byKind = <const Fs extends readonly [ObjectWithKind, ...ObjectWithKind[]]>(
  what: string,
  ...options: Fs
): z.ZodDiscriminatedUnion<Fs, "kind"> => {
  const kinds = options.flatMap((option) => [...option.shape.kind.values]);
  return z.discriminatedUnion("kind", options, {
    error: ({ input }) => {
      if (typeof input !== "object" || input === null) return fault("value.wrong", `${what} with a kind`);
      return kindFault(what, (input as { readonly kind?: unknown }).kind, kinds);
    },
  });
};

/** An object field whose `kind` is one word. */
export type ObjectWithKind = z.ZodObject<{ readonly kind: z.ZodLiteral<string> } & Shape, z.core.$strict>;

const kindFault = (what: string, kind: unknown, kinds: readonly string[]): string => {
  const expected = `${what} of kind ${kinds.map((one) => `'${one}'`).join(", ")}`;
  if (typeof kind !== "string") return fault(kind === undefined ? "key.missing" : "value.wrong", expected);
  return fault("kind.unknown", expected, { nearest: nearestName(kind, kinds) });
};

/**
 * A quantity, or the name of a thing that has one: a text that begins with a digit, a sign or a point is a quantity,
 * any other a name, which is given back as it is.
 *
 * @param lookUp - Throws InputError for a name that is not known.
 */
export const quantityOrName = (
  name: Quantity,
  limits: Range,
  what: string,
  lookUp: (name: string) => number,
): z.ZodUnion<readonly [QuantityField, z.ZodPipe<TextField, z.ZodTransform<string, string>>]> => {
  const { article, example, unit } = describeQuantity(name);
  const expected = `${article} such as '${example}', or ${what}`;
  const known = z.transform((given: string, context) => {
    try {
      lookUp(given);
    } catch (error) {
      if (!(error instanceof InputError)) throw error;
      const [{ nearest }] = error.problems;
      context.issues.push({ code: "custom", message: fault("name.unknown", expected, { nearest }), input: given });
    }
    return given;
  });
  const named = z.pipe(stringField(wrong(expected)), known);
  const numbered = quantity(name, limits);
  const either = z.union([numbered, named], {
    error: (issue) => {
      const { input } = issue;
      if (typeof input !== "string" && typeof input !== "number") return wrong(expected).error(issue);
      const asNumber = typeof input === "number" || /^[-+−.0-9]/.test(input);
      const failed = (asNumber ? numbered : named).safeParse(input);
      return failed.error?.issues[0]?.message ?? fault("value.wrong", expected);
    },
  });
  return measured(noted(either, { title: `${titleOf(name)} or ${what}` }), { quantity: name, unit, range: limits });
};

/** A field followed by a change of its value, which is another object or none; it does not reach the JSON Schema. */
export const changed = <F extends z.ZodType, Out>(
  field: F,
  change: (value: z.output<F>) => Out,
): z.ZodType<Out, z.input<F>> => field.transform(change) as unknown as z.ZodType<Out, z.input<F>>;

type Plain<T> = T extends (...args: never[]) => unknown
  ? T
  : T extends object
    ? { -readonly [K in keyof T]: Plain<T[K]> }
    : T;
type Same<A, B> = (<T>() => T extends A ? 1 : 2) extends <T>() => T extends B ? 1 : 2 ? true : false;

/**
 * Holds a schema equal to the public types written by hand: it compiles only when the field gives exactly `Out` and
 * takes exactly `In` (readonly apart). Every exported schema passes through it.
 *
 * @example export const point: Field<Point, PointInput> = exactly<Point, PointInput>()(object({ … }));
 */
export const exactly =
  <Out, In>() =>
  <F extends z.ZodType>(
    field: F &
      (Same<Plain<z.output<F>>, Plain<Out>> extends true ? unknown : { readonly "the output differs": never }) &
      (Same<Plain<z.input<F>>, Plain<In>> extends true ? unknown : { readonly "the input differs": never }),
  ): Field<Out, In> =>
    field as unknown as Field<Out, In>;
