import { runInNewContext } from "node:vm";
import { expect, test } from "vitest";
import { requireKeys } from "../../src/core/keys.js";

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
    const problem = { code: "not-an-object", path: "air", expected: "an object with keys of its own" };
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
