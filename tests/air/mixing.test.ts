import fc from "fast-check";
import psychrolib from "psychrolib";
import { describe, expect, test } from "vitest";
import { type KnownAir, mixtureOf, towards } from "../../src/air/mixing.js";
import { airOfHumidityRatio, airState, saturationPressure } from "../../src/air/state.js";
import { numberWithin as between } from "../helpers/numbers.js";

psychrolib.SetUnitSystem(psychrolib.SI);

const known = (temperature: number, relativeHumidity: number, pressure = 101_325): KnownAir =>
  airState({ temperature, relativeHumidity, pressure }) as KnownAir;
const airs = fc.tuple(between(-40, 60), between(0, 1), between(70_000, 110_000)).map((parts) => known(...parts));
const relative = (value: number, reference: number): number => Math.abs(value / reference - 1);

describe("air of which the water is known", () => {
  test("has the relative humidity and the density of psychrolib, below saturation", () => {
    for (const temperature of [-40, -8, 0, 12.5, 20, 35, 60]) {
      for (const pressure of [70_000, 101_325]) {
        for (const share of [0.02, 0.3, 0.7, 0.99]) {
          const ratio = psychrolib.GetHumRatioFromRelHum(temperature, share, pressure);
          if (ratio <= 1e-7) continue; // the library's floor
          const { density, relativeHumidity = 0 } = airOfHumidityRatio(temperature, pressure, ratio);
          expect(
            relative(relativeHumidity, psychrolib.GetRelHumFromHumRatio(temperature, ratio, pressure)),
          ).toBeLessThan(1e-11);
          expect(relative(density, psychrolib.GetMoistAirDensity(temperature, ratio, pressure))).toBeLessThan(1e-11);
        }
      }
    }
  });

  test("is saturated where it is given more, whatever that is, and dry where it is given none", () => {
    const saturated = airState({ temperature: 3, relativeHumidity: 1 });
    expect(airOfHumidityRatio(3, 101_325, 0.02)).toEqual(saturated);
    expect(airOfHumidityRatio(3, 101_325, 5)).toEqual(saturated);
    expect(airOfHumidityRatio(3, 101_325, 0)).toEqual(airState({ temperature: 3 }));
  });

  test("exists up to where water boils", () => {
    for (const [temperature, pressure] of [
      [100, 101_325],
      [100, 30_000],
      [80, 30_000],
    ]) {
      const { relativeHumidity = 2 } = airOfHumidityRatio(temperature, pressure, 3);
      expect(relativeHumidity * saturationPressure(temperature)).toBeLessThan(pressure);
    }
  });
});

describe("air that is warmed or cooled", () => {
  test("keeps its water: outdoor air of −8 °C and 80 % brought to 14.4 °C has 15 % (psychrolib)", () => {
    const outdoor = known(-8, 0.8);
    const warmed = towards(outdoor, 0.8, 20);
    expect(warmed.temperature).toBeCloseTo(14.4, 12);
    expect(relative(warmed.humidityRatio ?? 0, outdoor.humidityRatio)).toBeLessThan(1e-13);
    const reference = psychrolib.GetRelHumFromHumRatio(14.4, outdoor.humidityRatio, 101_325);
    expect(relative(warmed.relativeHumidity ?? 0, reference)).toBeLessThan(1e-11);
    expect(reference).toBeCloseTo(0.151, 3);
  });

  test("loses what it cannot hold below its dew point", () => {
    const cooled = towards(known(20, 0.5), 0.8, -8);
    expect(cooled.relativeHumidity).toBe(1);
    expect(cooled.humidityRatio).toBeLessThan(known(20, 0.5).humidityRatio);
    expect(cooled.density).toBe(airState({ temperature: cooled.temperature ?? 0, relativeHumidity: 1 }).density);
  });

  test("is itself at no change, the other's temperature at a whole one, and never beyond", () => {
    fc.assert(
      fc.property(airs, between(-60, 100), between(0, 1), (air, other, share) => {
        expect(towards(air, 0, other)).toBe(air);
        expect(towards(air, 1, other).temperature).toBeCloseTo(other, 12);
        const { temperature = Number.NaN } = towards(air, share, other);
        expect(temperature).toBeGreaterThanOrEqual(Math.min(air.temperature, other));
        expect(temperature).toBeLessThanOrEqual(Math.max(air.temperature, other));
      }),
    );
  });
});

describe("airs that mix", () => {
  test("keep their water and enthalpy, both from psychrolib", () => {
    // Of less water than 1e-7 the library takes that much.
    const damp = fc.tuple(between(-20, 60), between(0.01, 1)).map((parts) => known(...parts));
    fc.assert(
      fc.property(damp, damp, between(0.01, 1), between(0.01, 1), (one, other, m, n) => {
        const parts = [
          { air: one, massFlow: m },
          { air: other, massFlow: n },
        ];
        const [dry, dryToo] = parts.map(({ air, massFlow }) => massFlow / (1 + air.humidityRatio));
        const mean = (a: number, b: number): number => (dry * a + dryToo * b) / (dry + dryToo);
        const [a, b] = parts.map(({ air }) => psychrolib.GetMoistAirEnthalpy(air.temperature, air.humidityRatio));
        const water = mean(one.humidityRatio, other.humidityRatio);
        const temperature = psychrolib.GetTDryBulbFromEnthalpyAndHumRatio(mean(a, b), water);
        const mixed = mixtureOf(parts) as KnownAir;
        expect(Math.abs(mixed.temperature - temperature)).toBeLessThan(1e-9);
        if (mixed.relativeHumidity !== 1) expect(relative(mixed.humidityRatio, water)).toBeLessThan(1e-11);
      }),
    );
  });

  test("are that air itself where they are one, in all bits", () => {
    fc.assert(
      fc.property(airs, fc.array(between(0.01, 1), { minLength: 1, maxLength: 7 }), (air, flows) => {
        expect(mixtureOf(flows.map((massFlow) => ({ air: { ...air }, massFlow })))).toEqual(air);
      }),
    );
  });

  test("lie between each other, whatever their order", () => {
    fc.assert(
      fc.property(fc.array(fc.tuple(airs, between(1e-6, 10)), { minLength: 2, maxLength: 6 }), (drawn) => {
        const parts = drawn.map(([air, massFlow]) => ({ air, massFlow }));
        const mixed = mixtureOf(parts);
        const temperatures = parts.map(({ air }) => air.temperature);
        expect(mixed.temperature).toBeGreaterThanOrEqual(Math.min(...temperatures));
        expect(mixed.temperature).toBeLessThanOrEqual(Math.max(...temperatures));
        expect(relative(mixtureOf([...parts].reverse()).density, mixed.density)).toBeLessThan(1e-12);
      }),
    );
  });

  test("make fog where warm damp air meets cold: equal parts of 30 °C and 0 °C, both saturated", () => {
    const mixed = mixtureOf([
      { air: known(30, 1), massFlow: 1 },
      { air: known(0, 1), massFlow: 1 },
    ]);
    expect(mixed.relativeHumidity).toBe(1);
  });

  test("add volumes where one is known by its density alone: 1 kg at 1.3 and 3 kg at 1.2 kg/m³", () => {
    const mixed = mixtureOf([
      { air: { density: 1.3, viscosity: 1.7e-5 }, massFlow: 1 },
      { air: { ...known(20, 0), density: 1.2, viscosity: 1.8e-5 }, massFlow: 3 },
    ]);
    expect(mixed.density).toBeCloseTo(4 / (1 / 1.3 + 3 / 1.2), 12);
    expect(mixed.viscosity).toBeCloseTo(1.775e-5, 18);
    expect(mixed.temperature).toBeUndefined();
  });
});
