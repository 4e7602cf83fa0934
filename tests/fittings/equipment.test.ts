import fc from "fast-check";
import { expect, test } from "vitest";
import { attenuator, coil, exchanger, filter } from "../../src/fittings/equipment.js";
import { numberWithin } from "../helpers/numbers.js";

const air = { density: 1.2, viscosity: 1.81e-5 };
const pleated = { clean: 55, loaded: 200, flow: 0.044, exponent: 1.4, ...air };

test.each([
  [0, 55],
  [0.5, 127.5],
  [1, 200],
])("a filter loaded by %f of 55 to 200 Pa loses %f Pa at its flow", (loading, pressure) => {
  expect(filter.rating({ ...pleated, loading })).toEqual({ pressure, flow: 0.044, exponent: 1.4, ...air });
});

test("a filter never loses less as it loads", () => {
  const loading = numberWithin(0, 1);
  const pressure = (at: number): number => filter.rating({ ...pleated, loading: at }).pressure;
  fc.assert(fc.property(loading, loading, (a, b) => pressure(Math.min(a, b)) <= pressure(Math.max(a, b))));
});

test("a loaded filter that loses less than the clean one is a fault; one that loses as much is none", () => {
  expect(filter.faults?.({ ...pleated, loading: 0, loaded: 50 })).toEqual([
    { key: "loaded", expected: "at least 55, the clean loss", found: "50" },
  ]);
  expect(filter.faults?.({ ...pleated, loading: 0, loaded: Number.NaN })).toHaveLength(1);
  expect(filter.faults?.({ ...pleated, loading: 0, loaded: 55 })).toEqual([]);
});

test.each([coil, attenuator, exchanger])("a $kind is its rating and nothing more", (equipment) => {
  const rating = { pressure: 40, flow: 0.05, exponent: 1.6, ...air };
  expect(equipment.rating(rating)).toEqual(rating);
});

test.each([
  [filter, 1.4],
  [coil, 1.75],
  [attenuator, 2],
  [exchanger, 1.4],
])("equipment's loss grows between laminar and turbulent: preset of a %o", (equipment, preset) => {
  const { exponent, density, viscosity } = equipment.parameters;
  expect(exponent).toMatchObject({ preset, range: { min: 1, max: 2 } });
  expect([density.preset, viscosity.preset]).toEqual([1.2, 1.81e-5]);
});
