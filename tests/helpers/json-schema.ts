/** As much of JSON Schema 2020-12 as the document's schema uses; a word beside these throws, so that none is passed over. */
export interface Schema {
  readonly [word: string]: unknown;
}

const notes = new Set(["title", "description", "default", "examples", "$schema", "$defs"]);

const types: Readonly<Record<string, (value: unknown) => boolean>> = {
  object: (value) => typeof value === "object" && value !== null && !Array.isArray(value),
  array: Array.isArray,
  string: (value) => typeof value === "string",
  number: (value) => typeof value === "number",
  integer: Number.isInteger,
  boolean: (value) => typeof value === "boolean",
};

const record = (value: unknown): Record<string, unknown> => value as Record<string, unknown>;

/** Whether a JSON value fits a schema; `root` holds its definitions. */
export function fits(value: unknown, schema: Schema, root: Schema = schema): boolean {
  const every = (word: string, held: unknown): boolean => {
    const schemas = held as Schema[];
    const count = (among: readonly Schema[]): number => among.filter((one) => fits(value, one, root)).length;
    switch (word) {
      case "type":
        return types[held as string](value);
      case "$ref":
        return fits(value, record(root.$defs)[(held as string).replace("#/$defs/", "")] as Schema, root);
      case "anyOf":
        return count(schemas) > 0;
      case "oneOf":
        return count(schemas) === 1;
      case "allOf":
        return count(schemas) === schemas.length;
      case "const":
        return value === held;
      case "enum":
        return (held as unknown[]).includes(value);
      case "pattern":
        return typeof value !== "string" || new RegExp(held as string, "u").test(value);
      case "minimum":
        return typeof value !== "number" || value >= (held as number);
      case "maximum":
        return typeof value !== "number" || value <= (held as number);
      case "exclusiveMinimum":
        return typeof value !== "number" || value > (held as number);
      case "minItems":
        return !Array.isArray(value) || value.length >= (held as number);
      case "maxItems":
        return !Array.isArray(value) || value.length <= (held as number);
      case "items":
        return !Array.isArray(value) || value.every((one) => fits(one, held as Schema, root));
      case "required":
        return !types.object(value) || (held as string[]).every((key) => Object.hasOwn(record(value), key));
      case "properties":
        return (
          !types.object(value) ||
          Object.entries(record(held)).every(
            ([key, one]) => !Object.hasOwn(record(value), key) || fits(record(value)[key], one as Schema, root),
          )
        );
      case "additionalProperties":
        if (held !== false) throw new Error("expected additionalProperties to be false");
        return (
          !types.object(value) ||
          Object.keys(record(value)).every((key) => Object.hasOwn(record(schema.properties), key))
        );
      default:
        if (notes.has(word)) return true;
        throw new Error(`the word "${word}" is not checked`);
    }
  };
  return Object.entries(schema).every(([word, held]) => every(word, held));
}

/** A schema and every schema inside it. */
export function* schemasIn(schema: unknown): Generator<Schema> {
  if (typeof schema !== "object" || schema === null) return;
  if (!Array.isArray(schema)) yield schema as Schema;
  for (const held of Object.values(schema)) yield* schemasIn(held);
}
