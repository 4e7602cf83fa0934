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
