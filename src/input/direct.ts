/** What a direct reading gives for a value that it is not sure of. */
export const unsure: unique symbol = Symbol("unsure");

/** Reads a value as its field would, and freezes it; `unsure` where there may be a fault, for zod to judge. */
export type Direct = (value: unknown) => unknown;

/** How a key is read, and what it has where it is left out. */
export interface DirectKey {
  readonly read: Direct;
  /** A key without one must be there. */
  readonly leftOut?: () => unknown;
}

/** What a key has that may be left out and then is not there. */
export const nothing = (): undefined => undefined;

/** Gives a value back as it is. */
export const passing =
  (passes: (value: unknown) => boolean): Direct =>
  (value) =>
    passes(value) ? value : unsure;

/** Reads an object key by key as it comes; a bit of a number stands for each key, which is why there are no more. */
export const objectOf = (shape: Readonly<Record<string, DirectKey>>): Direct => {
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

/** Reads each entry of a list. */
export const listOf =
  (read: Direct, least: number, most: number): Direct =>
  (value) => {
    if (!Array.isArray(value) || value.length < least || value.length > most) return unsure;
    const made = new Array<unknown>(value.length);
    for (let i = 0; i < value.length; i++) {
      const one = read(value[i]);
      if (one === unsure) return unsure;
      made[i] = one;
    }
    return Object.freeze(made);
  };

/** What the first of some readings gives that is sure. */
export const firstOf =
  (reads: readonly Direct[]): Direct =>
  (value) => {
    for (let i = 0; i < reads.length; i++) {
      const made = reads[i](value);
      if (made !== unsure) return made;
    }
    return unsure;
  };

/** Reads an object by its `kind`. */
export const ofKind =
  (reads: ReadonlyMap<unknown, Direct>): Direct =>
  (value) => {
    if (typeof value !== "object" || value === null) return unsure;
    return reads.get((value as { readonly kind?: unknown }).kind)?.(value) ?? unsure;
  };

/** A reading followed by a change, which gives another object or none. */
export const changedBy =
  (read: Direct, change: (value: unknown) => unknown): Direct =>
  (value) => {
    const made = read(value);
    return made === unsure ? unsure : Object.freeze(change(made));
  };

/** A reading that gives only what passes. */
export const keptIf =
  (read: Direct, passes: (value: unknown) => boolean): Direct =>
  (value) => {
    const made = read(value);
    return made !== unsure && passes(made) ? made : unsure;
  };
