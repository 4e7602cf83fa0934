import { runInNewContext } from "node:vm";
import { describe, expect, test } from "vitest";
import { readObject, requireKeys } from "../../src/core/keys.js";

test("known keys pass, and an undefined value counts as absent", () => {
  requireKeys("air", {}, ["density"]);
  requireKeys("air", { density: 1.2, other: undefined }, ["density"]);
});

test("a misspelt key is named together with the nearest known one", () => {
  expect(() => requireKeys("air", { desnity: 1.2 }, ["density", "viscosity"])).toThrow(
    expect.objectContaining({
      name: "InputError",
      problems: [expect.objectContaining({ code: "unknown-key", path: "desnity", nearest: "density" })],
    }),
  );
});

test.each([null, undefined, 5, "air"])("%j is no object", (value) => {
  expect(() => requireKeys("air", value as unknown as object, [])).toThrow(
    expect.objectContaining({ problems: [expect.objectContaining({ code: "not-an-object", path: "air" })] }),
  );
});

test.each([[], [5], new Map([["density", 1.2]]), new Set(["density"]), new Date(0), Object(1.2), Object("density")])(
  "%o holds nothing under keys of its own",
  (value) => {
    const problem = { code: "not-an-object", path: "air", expected: "a plain object of keys and values" };
    expect(() => requireKeys("air", value, ["density"])).toThrow(
      expect.objectContaining({ problems: [expect.objectContaining(problem)] }),
    );
  },
);

test("objects of a class, without a prototype and from another realm pass", () => {
  class Air {
    readonly density = 1.2;
  }
  const bare: object = Object.assign(Object.create(null), { density: 1.2 });
  for (const value of [new Air(), bare, runInNewContext("({ density: 1.2 })")]) requireKeys("air", value, ["density"]);
});

describe("an argument that is read", () => {
  const found = (value: unknown) => {
    try {
      return readObject("changes", value as object);
    } catch (error) {
      return (error as Error).message;
    }
  };

  test("is a plain object, also without a prototype or from another realm", () => {
    expect(found({ a: 1 })).toEqual({ a: 1 });
    expect(found(Object.assign(Object.create(null), { a: 1 }))).toEqual({ a: 1 });
    expect(found(runInNewContext("({ a: 1 })"))).toEqual({ a: 1 });
  });

  test.each([
    ["a Map", new Map([["fans.f.speed", 0.5]])],
    ["a Date", new Date(0)],
    ["a list", [1]],
    [
      "an object of a class",
      new (class {
        speed = 1;
      })(),
    ],
    ["a Map of another realm", runInNewContext("new Map()")],
  ])("is not %s, which would pass as empty", (_, value) => {
    expect(found(value)).toMatch(
      /changes: expected a plain object of keys and values, got (an object of a class|a list of 1|a Map|a Date)/,
    );
  });

  test("is not one that throws when it is read", () => {
    const throws = new Proxy(
      {},
      {
        ownKeys: () => {
          throw new RangeError("boo");
        },
      },
    );
    expect(found(throws)).toContain("got one that throws");
    expect(
      found({
        get a() {
          throw new RangeError("boo");
        },
      }),
    ).toContain("got one that throws");
    expect(
      found(
        new Proxy(
          {},
          {
            getPrototypeOf: () => {
              throw new RangeError("boo");
            },
          },
        ),
      ),
    ).toContain("one that throws");
  });
});
