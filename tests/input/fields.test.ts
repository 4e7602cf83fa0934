import { expect, it } from "vitest";
import { type Field, readWith } from "../../src/input/fields.js";
import { node } from "../../src/network/elements/kinds/list.js";
import { duct, opening } from "../../src/network/format/elements.js";
import { mutantOf } from "../helpers/fuzz.js";

/** The elements of a list in a document; none where it throws when it is read. */
const listIn = (document: unknown, key: string): readonly unknown[] => {
  try {
    const held = (document as Readonly<Record<string, unknown>>)[key];
    return Array.isArray(held) ? [...held] : [];
  } catch {
    return [];
  }
};

/** What reading gives, or that the value throws when it is read. */
const ending = (read: () => { readonly success: boolean; readonly data?: unknown }): unknown => {
  try {
    const { success, data } = read();
    return success ? data : "faulty";
  } catch {
    return "throws";
  }
};

it("an element is read alike directly and through zod, be it well formed or not", () => {
  const found = { sound: 0, faulty: 0 };
  const compare = <T>(field: Field<T, unknown>, element: unknown): void => {
    const throughZod = ending(() => field.safeParse(element));
    expect(ending(() => readWith(field, element))).toStrictEqual(throughZod);
    found[typeof throughZod === "object" ? "sound" : "faulty"]++;
  };
  for (let seed = 1; seed <= 1500; seed++) {
    const document = mutantOf(seed);
    for (const element of listIn(document, "nodes")) compare(node, element);
    for (const element of listIn(document, "ducts")) compare(duct, element);
    for (const element of listIn(document, "openings")) compare(opening, element);
  }
  expect(found.sound).toBeGreaterThan(10_000);
  expect(found.faulty).toBeGreaterThan(300);
});

it("what is read is frozen all through, but for the user's own meta", () => {
  const written = {
    id: "a",
    kind: "terminal",
    service: "supply",
    loss: { coefficient: 3, section: { diameter: 0.1 } },
  };
  const reading = readWith(node, { ...written, meta: { note: "mine" } });
  const terminal = reading.data as { loss: { section: object }; meta: object };
  const held = [terminal, terminal.loss, terminal.loss.section, terminal.meta];
  expect(held.map(Object.isFrozen)).toEqual([true, true, true, false]);
});
