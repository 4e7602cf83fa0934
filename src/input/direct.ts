import type { $ZodCheck, $ZodType, $ZodTypes } from "zod/v4/core";

/** What a direct reading gives for a value that it is not sure of. */
export const unsure: unique symbol = Symbol("unsure");

/** Reads a value as its field would, and freezes it; `unsure` where there may be a fault, for zod to judge. */
export type Direct = (value: unknown) => unknown;

/** How a key is read, and what it has where it is left out. */
interface DirectKey {
  readonly read: Direct;
  /** A key without one must be there. */
  readonly leftOut?: () => unknown;
}

/** What a key has that may be left out and then is not there. */
const nothing = (): undefined => undefined;

/** Gives a value back as it is. */
export const passing =
  (passes: (value: unknown) => boolean): Direct =>
  (value) =>
    passes(value) ? value : unsure;

/** Reads an object key by key as it comes; a bit of a number stands for each key, which is why there are no more. */
const objectOf = (shape: Readonly<Record<string, DirectKey>>): Direct => {
  const names = Object.keys(shape);
  if (names.length > 31) return () => unsure;
  const keys = new Map(names.map((name, i) => [name, { bit: 1 << i, read: shape[name].read }]));
  let required = 0;
  const presets: { readonly name: string; readonly bit: number; readonly preset: () => unknown }[] = [];
  names.forEach((name, i) => {
    const { leftOut } = shape[name];
    if (leftOut === undefined) required |= 1 << i;
    else if (leftOut !== nothing) presets.push({ name, bit: 1 << i, preset: leftOut });
  });
  return (value) => {
    if (typeof value !== "object" || value === null || Array.isArray(value)) return unsure;
    const given = value as Readonly<Record<string, unknown>>;
    const made: Record<string, unknown> = {};
    let seen = 0;
    for (const name in given) {
      const key = keys.get(name);
      if (key === undefined) return unsure;
      const read = key.read(given[name]);
      if (read === unsure) return unsure;
      made[name] = read;
      seen |= key.bit;
    }
    if ((seen & required) !== required) return unsure;
    for (let i = 0; i < presets.length; i++) {
      const { name, bit, preset } = presets[i];
      if ((seen & bit) === 0) made[name] = preset();
    }
    return Object.freeze(made);
  };
};

/** Reads each entry of a list. A list that is too long, or says so without holding anything, is not read. */
const listOf =
  (read: Direct, fits: (list: readonly unknown[]) => boolean): Direct =>
  (value) => {
    if (!Array.isArray(value) || !fits(value)) return unsure;
    const made = new Array<unknown>(value.length);
    for (let i = 0; i < value.length; i++) {
      const one = read(value[i]);
      if (one === unsure) return unsure;
      made[i] = one;
    }
    return Object.freeze(made);
  };

/** What the first of some readings gives that is sure. */
const firstOf =
  (reads: readonly Direct[]): Direct =>
  (value) => {
    for (let i = 0; i < reads.length; i++) {
      const made = reads[i](value);
      if (made !== unsure) return made;
    }
    return unsure;
  };

/** Reads an object by its `kind`. */
const ofKind =
  (reads: ReadonlyMap<unknown, Direct>): Direct =>
  (value) => {
    if (typeof value !== "object" || value === null) return unsure;
    return reads.get((value as { readonly kind?: unknown }).kind)?.(value) ?? unsure;
  };

/** Lets the checks of a field go over a value, with one payload for all values, since there are very many. */
const checksOf = (checks: readonly $ZodCheck<never>[]): Direct => {
  const payload: { value: never; issues: [] } = { value: undefined as never, issues: [] };
  return (value) => {
    payload.value = value as never;
    for (let i = 0; i < checks.length; i++) {
      checks[i]._zod.check(payload);
      if (payload.issues.length === 0) continue;
      payload.issues.length = 0;
      return unsure;
    }
    return payload.value;
  };
};

const keyOf = (schema: $ZodType): DirectKey => {
  const { def } = (schema as $ZodTypes)._zod;
  const read = directOf(schema);
  if (def.type === "optional") return { read, leftOut: nothing };
  if (def.type !== "prefault") return { read };
  const { defaultValue } = def; // which zod copies each time that it is asked for
  return { read, leftOut: () => read(defaultValue) };
};

/** Reads what is of a field's type, before its checks. */
const typeReading = (schema: $ZodType, check: Direct): Direct => {
  const { def } = (schema as $ZodTypes)._zod;
  switch (def.type) {
    case "string":
    case "boolean":
      return passing((value) => typeof value === def.type);
    case "number":
      return passing(Number.isFinite);
    case "unknown":
      return passing(() => true);
    case "enum":
    case "literal": {
      const words: readonly unknown[] = def.type === "enum" ? Object.values(def.entries) : def.values;
      return passing((value) => words.includes(value));
    }
    case "object":
      return objectOf(Object.fromEntries(Object.entries(def.shape).map(([key, one]) => [key, keyOf(one)])));
    case "array":
      return listOf(directOf(def.element), (list) => check(list) !== unsure);
    case "optional":
    case "prefault":
      return directOf(def.innerType);
    case "union": {
      const { options } = def;
      if (!("discriminator" in def)) return firstOf(options.map(directOf));
      return ofKind(new Map(options.flatMap((option) => kindsOf(option).map((kind) => [kind, directOf(option)]))));
    }
    case "pipe": {
      const [given, made] = [directOf(def.in), directOf(def.out)];
      return (value) => {
        const read = given(value);
        return read === unsure ? unsure : made(read);
      };
    }
    case "transform":
      return (value) => {
        const payload = { value, issues: [] };
        const made = def.transform(value, payload);
        return payload.issues.length > 0 ? unsure : Object.freeze(made);
      };
    default:
      return () => unsure;
  }
};

/** The words by which an object of a discriminated union is told. */
const kindsOf = (option: $ZodType): unknown[] => [...(option._zod.propValues?.kind ?? [])];

const directs = new WeakMap<$ZodType, Direct>();

/** The field itself, which `read` reads whole: for what stands in a document most often. */
export const readBy = <F extends $ZodType>(schema: F, read: Direct): F => {
  directs.set(schema, read);
  return schema;
};

/**
 * The direct way to read what a field takes, made of its schema when it is first asked for. Nearly every value of a large
 * document is well formed; the way through zod, which judges all others and words their faults, costs five times as much.
 */
export const directOf = (schema: $ZodType): Direct => {
  const known = directs.get(schema);
  if (known !== undefined) return known;
  const { checks = [] } = (schema as $ZodTypes)._zod.def;
  const check = checksOf(checks);
  const plain = typeReading(schema, check);
  const isList = (schema as $ZodTypes)._zod.def.type === "array";
  const read: Direct =
    checks.length === 0 || isList
      ? plain
      : (value) => {
          const made = plain(value);
          return made === unsure ? unsure : Object.freeze(check(made));
        };
  directs.set(schema, read);
  return read;
};
