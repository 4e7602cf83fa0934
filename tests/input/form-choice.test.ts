import { expect, test } from "vitest";
import { readField } from "../../src/input/faults.js";
import { forms, number, object, optional, text } from "../../src/input/fields.js";

const any = () => optional(number({}));
const curve = forms(
  object({ kind: text(), points: number({}) }),
  object({ kind: text(), speeds: number({}) }),
  object({ kind: text(), coefficients: number({}), powers: any(), from: number({}), to: number({}) }),
);
const section = forms(
  object({ diameter: number({}) }),
  object({ width: number({}), height: number({}) }),
  object({ shape: text(), width: number({}), height: number({}) }),
);
const frost = forms(
  object({ below: number({}), heater: number({}) }),
  object({ below: number({}), reduceTo: number({}) }),
);
const efficiency = forms(number({}), object({ rated: number({}), points: number({}) }));

const told = (field: typeof curve | typeof section | typeof frost | typeof efficiency, value: unknown): string[] => {
  const reading = readField<unknown, unknown>(field, value, () => ({ path: "at" }));
  return "problems" in reading
    ? reading.problems.map(({ code, nearest, path }) =>
        [code, path, nearest].filter((one) => one !== undefined).join(" "),
      )
    : [];
};

test("a polynomial without its range lacks the range", () => {
  expect(told(curve, { kind: "a", coefficients: 1 })).toEqual(["key.missing at.from", "key.missing at.to"]);
  expect(told(curve, { kind: "a", powers: 1 })).toEqual([
    "key.missing at.coefficients",
    "key.missing at.from",
    "key.missing at.to",
  ]);
});

test("a misspelt key chooses the form of the key that it is nearest to", () => {
  expect(told(curve, { kind: "a", speds: 1 })).toEqual(["key.missing at.speeds", "key.unknown at.speds speeds"]);
  expect(told(frost, { below: 1, reduceToo: 1 })).toEqual([
    "key.missing at.reduceTo",
    "key.unknown at.reduceToo reduceTo",
  ]);
  expect(told(section, { shap: "flatOval", width: 1 })).toEqual([
    "key.missing at.shape",
    "key.missing at.height",
    "key.unknown at.shap shape",
  ]);
});

test("of two forms the one is meant of which more is there, and of equals the first", () => {
  expect(told(section, { width: 1 })).toEqual(["key.missing at.height"]);
  expect(told(section, { width: 1, diameter: 1 })).toEqual(["key.unknown at.width"]);
  expect(told(section, { width: 1, height: 1, diameter: 1 })).toEqual(["key.unknown at.diameter"]);
  expect(told(section, { shape: 3, width: 1 })).toEqual(["value.wrong at.shape", "key.missing at.height"]);
  expect(told(curve, { kind: "a", points: 1, speeds: 1 })).toEqual(["key.unknown at.speeds"]);
});

test("without a key that tells the form all forms are named, and what is wrong in any of them", () => {
  expect(told(curve, { kind: 3, x: 1 })).toEqual(["key.missing at.points", "value.wrong at.kind", "key.unknown at.x"]);
  const reading = readField<unknown, unknown>(curve, { x: 1 }, () => ({ path: "at" }));
  expect("problems" in reading && reading.problems.map(({ message }) => message)).toEqual([
    "at.points: expected points, or speeds, or coefficients, from and to, got nothing",
    "at.kind: expected a text, got nothing",
    "at.x: expected one of the keys kind, points, speeds, coefficients, powers, from, to, got the key 'x'",
  ]);
  expect(told(section, {})).toEqual(["key.missing at.diameter"]);
});

test("a number or an object: an object is judged as one, all else as a number", () => {
  expect(told(efficiency, {})).toEqual(["key.missing at.rated", "key.missing at.points"]);
  expect(told(efficiency, { rated: "a" })).toEqual(["value.wrong at.rated", "key.missing at.points"]);
  for (const one of ["80", null, []]) expect(told(efficiency, one)).toEqual(["value.wrong at"]);
});
