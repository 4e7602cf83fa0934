import { describe, expect, test } from "vitest";
import { parseNetwork, solveNetwork } from "../../../../src/index.js";
import { bare, bareArea, codesOf, solved } from "../../../helpers/documents.js";
import { expectSolved } from "../../../helpers/evaluator.js";

const out = (id: string, more: object = {}) => ({ id, kind: "outdoors" as const, entry: 0, exit: 1, ...more });
/** A line of two points, so that everything between is exact: 200 Pa at rest, 100 Pa at 0.1 m³/s. */
const points = [
  { flow: 0, pressure: 200 },
  { flow: 0.1, pressure: 100 },
];
const total = { pressureKind: "total" as const, points };
const line = (fan: object, more: object = {}, ducts: object[] = []) =>
  solved({
    nodes: [out("in"), { id: "fan", kind: "fan", curve: total, ...fan }, out("out")],
    ducts: [bare("a", "in", "fan.inlet"), bare("b", "fan.outlet", "out"), ...(ducts as never[])],
    ...more,
  });

describe("a fan", () => {
  test("runs where its curve meets the system: here 200 − 1000·q = ½ρ(q/A)²", () => {
    const { fans } = line({});
    const k = 0.6 / bareArea ** 2;
    const q = (-1000 + Math.sqrt(1e6 + 800 * k)) / (2 * k);
    expect(fans.fan.flow).toBeCloseTo(q, 9);
    expect(fans.fan.totalPressure).toBeCloseTo(200 - 1000 * q, 6);
    expect(fans.fan.airPower).toBeCloseTo(q * (200 - 1000 * q), 6);
  });

  test("of a static curve gains the velocity pressure at its outlet, of a static difference that less the inlet's", () => {
    const section = { diameter: 0.1 };
    const still = line({ curve: { ...total, pressureKind: "static", outlet: section } }).fans.fan;
    // The whole velocity pressure is lost at the exit, so that static pressure 0 is left: at the end of the line.
    expect(still.staticPressure).toBeCloseTo(0, 5);
    const even = line({ curve: { ...total, pressureKind: "externalStatic", inlet: section, outlet: section } });
    expect(even.fans.fan.flow).toBeCloseTo(line({}).fans.fan.flow, 9);
  });

  test("whose points end less than half as steep as before runs in the last piece and beyond it, alone and in a family", () => {
    const steep = [
      { flow: 0, pressure: 300 },
      { flow: 0.13, pressure: 298 },
      { flow: 0.16, pressure: 180 },
      { flow: 0.29, pressure: 20 },
    ];
    const slower = steep.map(({ flow, pressure }) => ({ flow: 0.5 * flow, pressure: 0.24 * pressure }));
    const single = { pressureKind: "total", points: steep };
    const family = {
      pressureKind: "total",
      speeds: [0.5, 1].map((n) => ({ speed: n, points: n < 1 ? slower : steep })),
    };
    const wide = { section: { diameter: 0.3 } };
    for (const fan of [{ curve: single }, { curve: family }, { curve: family, speed: 0.7 }]) {
      for (const pressure of [-90, 60]) {
        const network = parseNetwork({
          format: "ductgraph/1",
          nodes: [out("in"), { id: "fan", kind: "fan", ...fan }, out("out", { pressure })],
          ducts: [bare("a", "in", "fan.inlet", wide), bare("b", "fan.outlet", "out", wide)],
        });
        const solution = solveNetwork(network);
        expectSolved(network, solution);
        expect(solution.fans.fan.withinCurve).toBe(pressure > 0);
      }
    }
  });

  test("at speed n in an all-quadratic system moves n times the flow at n² the pressure", () => {
    const [full, slow] = [1, 0.5].map((speed) => line({ speed }).fans.fan);
    expect(slow.flow / full.flow).toBeCloseTo(0.5, 7);
    expect(slow.totalPressure / full.totalPressure).toBeCloseTo(0.25, 7);
  });

  test("reports power only where the curve gives it, scaled by n³ and marked beyond 20 %, standby unscaled", () => {
    const power = (p: number) => ({ ...total, controlsPower: 2, points: points.map((one) => ({ ...one, power: p })) });
    expect(line({}).fans.fan.power).toBeUndefined();
    expect(line({ curve: power(30) }).fans.fan.power).toBeCloseTo(32, 9);
    const slow = line({ curve: power(30), speed: 0.5 }).fans.fan;
    expect(slow.power).toBeCloseTo(30 / 8 + 2, 9);
    expect(slow.powerEstimated).toBe(true);
  });

  test("takes its specific power over the flow at 1.2 kg/m³, whatever its air weighs", () => {
    const curve = { ...total, controlsPower: 2, points: points.map((one) => ({ ...one, power: 30 })) };
    const { massFlow, specificFanPower } = line({ curve }, { air: { density: 1.1 } }).fans.fan;
    // 30 W at 1.2 kg/m³ go with density; 2 W of standby do not.
    expect(specificFanPower).toBeCloseTo((30 * (1.1 / 1.2) + 2) / (massFlow / 1.2), 9);
    expect(line({}).fans.fan).not.toHaveProperty("specificFanPower");
    // Air that a stronger wind drives backwards is no flow of the fan.
    const blown = [out("in"), { id: "fan", kind: "fan", curve }, out("out", { pressure: 5000 })];
    const { flow, power, ...reversed } = line({}, { nodes: blown }).fans.fan;
    expect(flow).toBeLessThan(0);
    expect(power).toBeGreaterThan(0);
    expect(reversed).not.toHaveProperty("specificFanPower");
  });

  test("warms its air by all that it takes, and by an unknown part of it where the motor is outside the stream", () => {
    const curve = { ...total, points: points.map((one) => ({ ...one, power: 30 })) };
    expect(line({ curve }).fans.fan.heatToAir).toBeCloseTo(30, 9);
    expect(line({ curve, motorOutside: true }).fans.fan).not.toHaveProperty("heatToAir");
    expect(line({}).fans.fan).not.toHaveProperty("heatToAir");
  });

  test("leaves controls power out of the heat to its air, with and without a chain: controls stand outside the stream", () => {
    const curve = { ...total, controlsPower: 2, points: points.map((one) => ({ ...one, efficiency: 0.5 })) };
    // A chain without losses changes nothing.
    for (const chain of [undefined, { motor: 1 }]) {
      const { airPower, power, heatToAir } = line({ curve, chain }).fans.fan;
      expect([power, heatToAir]).toEqual([expect.closeTo(2 * airPower + 2, 9), expect.closeTo(2 * airPower, 9)]);
    }
  });

  test("standing still takes its controls power and has neither a specific power nor heat for the air", () => {
    const still = { curve: { ...total, controlsPower: 2 }, speed: 0, stopped: { pressure: 50, flow: 0.1 } };
    const nodes = [out("in", { pressure: 1 }), { id: "fan", kind: "fan", ...still }, out("out")];
    const { fan } = line({}, { nodes }).fans;
    expect(fan.flow).toBeGreaterThan(0);
    expect(fan.power).toBe(2);
    for (const key of ["specificFanPower", "heatToAir"]) expect(fan).not.toHaveProperty(key);
  });

  test("standing still is its rating", () => {
    const { fans } = line(
      { speed: 0, stopped: { pressure: 50, flow: 0.1 }, curve: undefined },
      {
        nodes: [
          out("in", { pressure: 60 }),
          { id: "fan", kind: "fan", speed: 0, stopped: { pressure: 50, flow: 0.1 } },
          out("out"),
        ],
      },
    );
    expect(fans.fan.totalPressure).toBeCloseTo(-50 * (fans.fan.flow / 0.1) ** 2, 6);
    expect(fans.fan.speed).toBe(0);
  });

  test("blown beyond its points says so and by how much", () => {
    const solution = line(
      {},
      { nodes: [out("in", { pressure: 900 }), { id: "fan", kind: "fan", curve: total }, out("out")] },
    );
    expect(solution.fans.fan.withinCurve).toBe(false);
    expect(solution.warnings[0].message).toMatch(/beyond its last point/);
  });
});

describe("an air handler", () => {
  const unitCodes = (solution: Parameters<typeof codesOf>[0]) =>
    codesOf(solution).filter((code) => code.startsWith("unit."));
  const unit = (supply: object, extract?: object) => ({
    id: "unit",
    kind: "airHandler" as const,
    supply: { fan: { curve: total }, ...supply },
    ...(extract === undefined ? {} : { extract: { fan: { curve: total }, ...extract } }),
  });
  const supplied = (supply: object, ends: object = {}) =>
    solved({
      nodes: [out("in"), unit(supply), out("out")],
      ducts: [bare("a", "in", "unit.intake", ends), bare("b", "unit.supply", "out", { section: { diameter: 0.2 } })],
    });

  test("offers its fan's pressure less its components; static pressure counts the spigots' velocities", () => {
    const component = { name: "filter", pressure: 40, flow: 0.05, exponent: 1 };
    const { airHandlers, ducts } = supplied({ components: [component] });
    const { supply } = airHandlers.unit;
    const loss = 40 * ((supply?.flow ?? 0) / 0.05);
    expect(supply?.externalTotalPressure).toBeCloseTo((supply?.fanTotalPressure ?? 0) - loss, 6);
    expect(supply?.externalStaticPressure).toBeCloseTo(
      (supply?.externalTotalPressure ?? 0) - ducts.b.velocityPressure + ducts.a.velocityPressure,
      9,
    );
  });

  test("by a unit curve takes from a contained component only what it loses beyond clean", () => {
    const curve = { ...total, of: "unit" as const };
    const filter = { name: "filter", pressure: 40, clean: 40, flow: 0.05 };
    const clean = supplied({ fan: { curve }, components: [filter], includes: ["filter"] });
    const none = supplied({ fan: { curve } });
    expect(clean.fans["unit.supply"].flow).toBeCloseTo(none.fans["unit.supply"].flow, 12);
    const loaded = { ...filter, pressure: 90 };
    const dirty = supplied({ fan: { curve }, components: [loaded], includes: ["filter"] }).airHandlers.unit.supply;
    const beyond = 50 * ((dirty?.flow ?? 0) / 0.05) ** 2;
    expect(dirty?.externalTotalPressure).toBeCloseTo((dirty?.fanTotalPressure ?? 0) - beyond, 6);
  });

  test("refers specific fan power to flow at 1.2 kg/m³, and the unit's to its larger flow", () => {
    const curve = { ...total, points: points.map((one) => ({ ...one, power: 30 })) };
    const { airHandlers } = solved({
      nodes: [out("in"), out("out"), unit({ fan: { curve } }, { fan: { curve, speed: 0.9 } })],
      ducts: [
        bare("a", "in", "unit.intake"),
        bare("b", "unit.supply", "out"),
        bare("c", "in", "unit.extract"),
        bare("d", "unit.exhaust", "out"),
      ],
    });
    const { supply, extract, power = 0, specificFanPower } = airHandlers.unit;
    expect(supply?.specificFanPower).toBeCloseTo((30 * 1.2) / (supply?.massFlow ?? 0), 6);
    expect(power).toBeCloseTo((supply?.power ?? 0) + (extract?.power ?? 0), 9);
    expect(specificFanPower).toBeCloseTo((power * 1.2) / (supply?.massFlow ?? 0), 6);
  });

  test("takes flow and density at its fan, and asks where that is when the air differs by more than 2 %", () => {
    const cold = { air: { density: 1.3 } };
    const inlet = supplied({}, cold);
    expect(inlet.fans["unit.supply"].flow).toBeCloseTo(inlet.ducts.a.flow, 12);
    expect(unitCodes(inlet)).toEqual(["unit.fan-at-missing"]);
    const outlet = supplied({ fanAt: "outlet" }, cold);
    expect(outlet.fans["unit.supply"].flow).toBeCloseTo(outlet.ducts.b.flow, 12);
    expect(unitCodes(outlet)).toEqual([]);
  });

  test.each([
    [0.98, []],
    [0.9, ["unit.imbalance"]],
  ])("with its extract fan at %f of the supply fan's speed warns %j", (speed, codes) => {
    const solution = solved({
      nodes: [out("in"), out("out"), unit({}, { fan: { curve: total, speed } })],
      ducts: [
        bare("a", "in", "unit.intake"),
        bare("b", "unit.supply", "out"),
        bare("c", "in", "unit.extract"),
        bare("d", "unit.exhaust", "out"),
      ],
    });
    expect(unitCodes(solution)).toEqual(codes);
  });
});
