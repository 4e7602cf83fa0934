import fc from "fast-check";
import psychrolib from "psychrolib";
import { expect, test } from "vitest";
import { standardGravity, standardPressure } from "../../src/air/atmosphere.js";
import { type Air, airState, saturationPressure } from "../../src/air/state.js";
import { numberWithin } from "../helpers/numbers.js";
import viscosities from "../references/air-viscosity.json" with { type: "json" };
import moistAir from "../references/moist-air.json" with { type: "json" };
import atmosphere from "../references/standard-atmosphere.json" with { type: "json" };

psychrolib.SetUnitSystem(psychrolib.SI);

const relative = (value: number, reference: number) => Math.abs(value / reference - 1);
const within = (value: number, printed: number, decimals: number) =>
  expect(Math.abs(value - printed)).toBeLessThanOrEqual(0.5 * 10 ** -decimals * (1 + 1e-6));

test.each(moistAir.rows)(
  `${moistAir.source}: air of %f °C, humidity %f, %f Pa`,
  (temperature, relativeHumidity, pressure, humidityRatio, moist, dry, saturation) => {
    const state = airState({ temperature, relativeHumidity, pressure });
    within(state.humidityRatio!, humidityRatio, 8);
    within(state.density, moist, 6);
    within(airState({ temperature, pressure }).density, dry, 6);
    within(saturationPressure(temperature), saturation, 3);
  },
);

test("moist air agrees with psychrolib to 1e-12 from −60 to 100 °C, ice and triple point included", () => {
  const temperatures = [-60, -40, -25, -10, -5, -1e-9, 0, 0.005, 0.01, 0.010001, 0.02, 1, 4, 8, 15, 20, 25, 40, 60, 80];
  for (const temperature of [...temperatures, 95, 100]) {
    expect(relative(saturationPressure(temperature), psychrolib.GetSatVapPres(temperature))).toBeLessThan(1e-12);
    for (const relativeHumidity of [0.05, 0.2, 0.5, 0.8, 0.95, 1]) {
      for (const pressure of [30_000, 70_000, 101_325, 120_000]) {
        // Near boiling the ratio is a difference of near-equal pressures and keeps fewer digits.
        if (relativeHumidity * saturationPressure(temperature) > 0.9 * pressure) continue;
        const state = airState({ temperature, relativeHumidity, pressure });
        const ratio = psychrolib.GetHumRatioFromRelHum(temperature, relativeHumidity, pressure);
        const density = psychrolib.GetMoistAirDensity(temperature, ratio, pressure);
        // The library's humidity ratio has a floor of 1e-7.
        if (ratio > 1e-7) expect(relative(state.humidityRatio!, ratio)).toBeLessThan(1e-11);
        expect(relative(state.density, density)).toBeLessThan(ratio > 1e-7 ? 1e-12 : 1e-7);
      }
    }
  }
});

test("ice and water meet at the triple point", () => {
  expect(relative(saturationPressure(0.01 + 1e-12), saturationPressure(0.01))).toBeLessThan(1e-8);
});

// The table is of R = 287.055, the state of 287.042 J/(kg·K).
test.each(viscosities.rows)(
  `${viscosities.source} (${viscosities.status}): at %f °C µ = %f, ν = %f, ρ = %f`,
  (temperature, viscosity, kinematic, density) => {
    const state = airState({ temperature });
    within(state.viscosity, viscosity, 11);
    expect(relative(state.viscosity / state.density, kinematic)).toBeLessThan(5e-5);
    expect(Math.abs(state.density - density)).toBeLessThan(0.5e-4 + 6e-5 * density);
  },
);

test("a textbook's air (Çengel and Cimbala, example 14-1, read) of 25 °C: ρ = 1.184, ν = 1.562e-5 m²/s within 1 %", () => {
  const { density, viscosity } = airState({ temperature: 25 });
  within(density, 1.184, 3);
  expect(relative(viscosity / density, 1.562e-5)).toBeLessThan(0.01);
});

test.each(atmosphere.library.rows)(
  `${atmosphere.library.source}: at %f m (%f Pa, %f K) ρ = %f and µ = %f`,
  (altitude, pressure, kelvin, density, viscosity) => {
    const state = airState({ temperature: kelvin - 273.15, altitude });
    expect(relative(state.pressure!, pressure)).toBeLessThan(2.5e-7);
    expect(relative(state.density, density)).toBeLessThan(5e-5);
    within(state.viscosity, viscosity, 10);
  },
);

// Computed with p/(287.055 T), sea level, g 9.80665.
test.each([
  [3, 20, 0, 2.593775],
  [5, 20, -10, 6.730854],
  [6, 21, 5, 4.061584],
])("a column of %f m, %f °C inside and %f °C outside, draws %f Pa", (height, inside, outside, pressure) => {
  const difference = airState({ temperature: outside }).density - airState({ temperature: inside }).density;
  expect(relative(standardGravity * height * difference, pressure)).toBeLessThan(6e-5);
});

const temperature = numberWithin(-30, 45);
const share = numberWithin(0, 1);
const altitude = numberWithin(-1000, 8000);

test("warmer, damper and higher air is lighter", () => {
  fc.assert(
    fc.property(temperature, share, altitude, (temperature, relativeHumidity, altitude) => {
      const density = airState({ temperature, relativeHumidity, altitude }).density;
      expect(airState({ temperature: temperature + 1, relativeHumidity, altitude }).density).toBeLessThan(density);
      expect(airState({ temperature, relativeHumidity, altitude: altitude + 1 }).density).toBeLessThan(density);
      const drier = airState({ temperature, relativeHumidity: relativeHumidity / 2, altitude }).density;
      expect(drier).toBeGreaterThan(density * (1 - 1e-15)); // a trace of vapour is lost in rounding
    }),
  );
});

test("the densities of dry air and vapour add up: Dalton's law, with the gas constants 287.042 and 461.524 J/(kg·K)", () => {
  fc.assert(
    fc.property(temperature, share, (temperature, relativeHumidity) => {
      const state = airState({ temperature, relativeHumidity, pressure: 1e5 });
      const vapour = relativeHumidity * saturationPressure(temperature);
      const kelvin = temperature + 273.15;
      const sum = (1e5 - vapour) / (287.042 * kelvin) + vapour / (461.524 * kelvin);
      expect(relative(state.density, sum)).toBeLessThan(2e-6);
    }),
  );
});

test("viscosity rises with temperature and knows no pressure", () => {
  fc.assert(
    fc.property(temperature, altitude, (temperature, altitude) => {
      const { viscosity } = airState({ temperature, altitude });
      expect(airState({ temperature: temperature + 1 }).viscosity).toBeGreaterThan(viscosity);
      expect(airState({ temperature }).viscosity).toBe(viscosity);
    }),
  );
});

test("air given by its density is taken as it stands", () => {
  expect(airState({ density: 1.2 })).toEqual({ density: 1.2, viscosity: 1.81e-5 });
  expect(airState({ density: 1.1, viscosity: 1.9e-5 })).toEqual({ density: 1.1, viscosity: 1.9e-5 });
});

test("the state repeats what it was made of; absent means dry air at sea level", () => {
  expect(airState({ temperature: 20 })).toMatchObject({
    temperature: 20,
    pressure: 101325,
    relativeHumidity: 0,
    humidityRatio: 0,
  });
  expect(airState({ temperature: 20, altitude: 500 }).pressure).toBe(standardPressure(500));
  expect(airState({ temperature: 20, altitude: 500, pressure: undefined })).toEqual(
    airState({ temperature: 20, altitude: 500 }),
  );
});

test("water boils where its vapour reaches the pressure", () => {
  // 100 °C: 101,418 Pa by Hyland and Wexler.
  const boiling = expect.objectContaining({
    problems: [expect.objectContaining({ code: "out-of-range", path: "relativeHumidity" })],
  });
  expect(() => airState({ temperature: 100, relativeHumidity: 1 })).toThrow(boiling);
  expect(() => airState({ temperature: 80, relativeHumidity: 0.7, pressure: 30_000 })).toThrow(boiling);
  const nearly = airState({ temperature: 100, relativeHumidity: 0.999 });
  // Steam of 100 °C: 0.598 kg/m³ (steam tables, memory); as an ideal gas it is 1.6 % lighter.
  expect(relative(nearly.density, 0.598)).toBeLessThan(0.02);
});

test.each<[unknown, string, string]>([
  [{ density: 0 }, "density", "out-of-range"],
  [{ density: -1.2 }, "density", "out-of-range"],
  [{ density: Number.NaN }, "density", "out-of-range"],
  [{ density: "1.2" }, "density", "out-of-range"],
  [{ density: null }, "density", "out-of-range"],
  [{ density: 1.2, viscosity: 0 }, "viscosity", "out-of-range"],
  [{ density: 1.2, temperature: 20 }, "temperature", "unknown-key"],
  [{ temperature: 20, viscosity: 1.8e-5 }, "viscosity", "unknown-key"],
  [{ temperature: 20, relativeHumidty: 0.5 }, "relativeHumidty", "unknown-key"],
  [{ temperature: 293.15 }, "temperature", "out-of-range"],
  [{ temperature: -60.1 }, "temperature", "out-of-range"],
  [{ temperature: Number.NaN }, "temperature", "out-of-range"],
  [{ temperature: 20, relativeHumidity: 50 }, "relativeHumidity", "out-of-range"],
  [{ temperature: 20, relativeHumidity: -0.1 }, "relativeHumidity", "out-of-range"],
  [{ temperature: 20, pressure: 101.325 }, "pressure", "out-of-range"],
  [{ temperature: 20, pressure: 120_001 }, "pressure", "out-of-range"],
  [{ temperature: 20, altitude: 9001 }, "altitude", "out-of-range"],
  [{ temperature: 20, altitude: Number.NaN }, "altitude", "out-of-range"],
  [{ temperature: 20, altitude: 0, pressure: 101_325 }, "altitude", "conflict"],
  [{}, "temperature", "out-of-range"],
  [null, "air", "not-an-object"],
])("%j is refused and the fault is at %s", (air, path, code) => {
  expect(() => airState(air as Air)).toThrow(
    expect.objectContaining({ name: "InputError", problems: [expect.objectContaining({ code, path })] }),
  );
});

test.each([-100.1, 200.1, Number.NaN])("no saturation pressure at %f °C", (temperature) => {
  expect(() => saturationPressure(temperature)).toThrow(expect.objectContaining({ name: "InputError" }));
});
