import { expect, it } from "vitest";
import { readWith } from "../../src/input/fields.js";
import { duct, opening } from "../../src/network/elements.js";
import { node } from "../../src/network/kinds/list.js";
import { mutantOf } from "../helpers/fuzz.js";

const listIn = (document: unknown, key: string): readonly unknown[] => {
  const held = typeof document === "object" && document !== null ? (document as Record<string, unknown>)[key] : [];
  return Array.isArray(held) ? held : [];
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
  let sound = 0;
  let faulty = 0;
  for (let seed = 1; seed <= 1500; seed++) {
    const document = mutantOf(seed);
    for (const [key, field] of [["nodes", node] as const, ["ducts", duct] as const, ["openings", opening] as const]) {
      for (const element of listIn(document, key)) {
        const throughZod = ending(() => field.safeParse(element));
        expect(ending(() => readWith(field, element))).toStrictEqual(throughZod);
        if (typeof throughZod === "object") sound++;
        else faulty++;
      }
    }
  }
  expect(sound).toBeGreaterThan(10_000);
  expect(faulty).toBeGreaterThan(300);
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
