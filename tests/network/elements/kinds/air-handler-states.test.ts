import { describe, expect, test } from "vitest";
import {
  checkNetwork,
  compileNetwork,
  frostReducedSupply,
  indexRun,
  type NetworkDocument,
  solveNetwork,
  systemCurve,
} from "../../../../src/index.js";
import { bare, codesOf } from "../../../helpers/documents.js";

const out = (id: string) => ({ id, kind: "outdoors" as const, entry: 0, exit: 0 });
/** 200 − 1000·q, so that answers are roots of quadratics. */
const curve = {
  pressureKind: "total" as const,
  controlsPower: 3,
  points: [
    { flow: 0, pressure: 200, power: 40 },
    { flow: 0.2, pressure: 0, power: 40 },
  ],
};
const stopped = { pressure: 40, flow: 0.1 };
const [cold, warm] = [{ temperature: -8 }, { temperature: 20 }];
const stream = (fan: object = {}, more: object = {}) => ({
  fan: { curve, stopped, ...fan },
  components: [
    { name: "filter", pressure: 30, flow: 0.1 },
    { name: "exchanger", pressure: 90, bypassed: 20, flow: 0.1 },
  ],
  ...more,
});
const house = (unit: object, supply: object = stream(), intake: object = cold, winds: object = {}): NetworkDocument =>
  ({
    format: "ductgraph/1",
    nodes: [
      { ...out("in"), ...winds },
      out("room"),
      out("kitchen"),
      out("roof"),
      { id: "unit", kind: "airHandler", supply, extract: stream(), ...unit },
    ],
    ducts: [
      bare("a", "in", "unit.intake", { air: intake }),
      bare("b", "unit.supply", "room", { air: warm, fittings: [{ kind: "rating", pressure: 50, flow: 0.1 }] }),
      bare("c", "kitchen", "unit.extract", { air: warm }),
      bare("d", "unit.exhaust", "roof", { fittings: [{ kind: "rating", pressure: 50, flow: 0.1 }] }),
    ],
  }) as NetworkDocument;
const problemsOf = (document: unknown) => checkNetwork(document).problems.map(({ code, path }) => [code, path]);
/** The positive root of a = b·q + k·q². */
const rootOf = (a: number, b: number, k: number): number => (2 * a) / (b + Math.sqrt(b * b + 4 * k * a));
/** One air of 1.2 kg/m³ everywhere, so that hand sums hold. */
const plain = (unit: object): NetworkDocument => {
  const document = house(unit);
  return { ...document, ducts: document.ducts?.map(({ air: _, ...duct }) => duct) };
};

describe("a unit in bypass", () => {
  test("loses what its components lose when they are passed by: p₀ − s·q = k·q² with 90 or 20 Pa", () => {
    const flowIn = (state: string) => solveNetwork(plain({ state })).fans["unit.supply"].flow;
    expect(flowIn("on")).toBeCloseTo(rootOf(200, 1000, 100 * (30 + 90 + 50)), 9);
    expect(flowIn("bypass")).toBeCloseTo(rootOf(200, 1000, 100 * (30 + 20 + 50)), 9);
    expect(solveNetwork(plain({}))).toEqual(solveNetwork(plain({ state: "on" })));
  });

  test("reports that loss, recovers no heat and leaves both airs as they are", () => {
    const { airHandlers } = solveNetwork(house({ state: "bypass", exchanger: { efficiency: 0.8 } }));
    const { supply, supplyTemperature, exhaustTemperature, heatRecovered } = airHandlers.unit;
    const [, exchanger] = supply?.components ?? [];
    // 20 Pa at 0.1 m³/s in air of 1.2 kg/m³.
    const [flow, mass] = [supply?.flow ?? 0, supply?.massFlow ?? 0];
    expect(exchanger.pressure).toBeCloseTo((20 * (mass / flow / 1.2) * flow ** 2) / 0.1 ** 2, 9);
    expect([supplyTemperature, exhaustTemperature, heatRecovered]).toEqual([-8, 20, 0]);
  });

  test("keeps the loss of a component that says nothing of bypass", () => {
    const same = stream({}, { components: [{ name: "filter", pressure: 30, flow: 0.1 }] });
    expect(solveNetwork(house({ state: "bypass" }, same)).fans["unit.supply"].flow).toBe(
      solveNetwork(house({}, same)).fans["unit.supply"].flow,
    );
  });

  test("cannot lose less than what a unit curve contains: nobody knows the curve without it", () => {
    const unitCurve = { ...curve, of: "unit" };
    const supply = stream({ curve: unitCurve }, { includes: ["exchanger"] });
    expect(problemsOf(house({}, supply))).toEqual([
      ["component.bypassed-below-clean", "nodes.4.supply.components.1.bypassed"],
    ]);
  });
});

describe("a unit that is off", () => {
  const wind = { pressure: 10 };

  test("is the ratings of its fans and components: wind alone moves the air, q = √(Δp/k)", () => {
    const document = plain({ state: "off" });
    const nodes = document.nodes.map((node) => (node.id === "in" ? { ...node, ...wind } : node));
    const { fans, airHandlers } = solveNetwork({ ...document, nodes } as NetworkDocument);
    const supply = fans["unit.supply"];
    expect(supply.flow).toBeCloseTo(Math.sqrt(10 / (100 * (30 + 90 + 50 + 40))), 9);
    expect(supply.speed).toBe(0);
    // At rest a quadratic loss tells flows to the root of the tolerance: √(1e-6/21000).
    expect(Math.abs(fans["unit.extract"].flow)).toBeLessThan(1e-5);
    // The controls of both fans stay under power.
    expect(airHandlers.unit.power).toBe(6);
    // Controls power over a leak is no specific fan power.
    for (const one of [airHandlers.unit, airHandlers.unit.supply, airHandlers.unit.extract, supply])
      expect(one).not.toHaveProperty("specificFanPower");
  });

  test("recovers no heat and is not out of balance, whatever the wind moves", () => {
    const solution = solveNetwork(house({ state: "off", exchanger: { efficiency: 0.8 } }, stream(), cold, wind));
    expect(solution.airHandlers.unit.supplyTemperature).toBeUndefined();
    expect(codesOf(solution)).not.toContain("unit.imbalance");
  });

  test("counts flows of running fans only: a draught through a fan that stands still serves nobody", () => {
    const document = plain({ extract: stream({ speed: 0 }) });
    const nodes = document.nodes.map((node) => (node.id === "kitchen" ? { ...node, pressure: 1000 } : node));
    const {
      supply,
      extract,
      power = 0,
      specificFanPower,
    } = solveNetwork({ ...document, nodes } as NetworkDocument).airHandlers.unit;
    expect(extract?.massFlow).toBeGreaterThan(supply?.massFlow as number);
    expect(extract).not.toHaveProperty("specificFanPower");
    expect(specificFanPower).toBeCloseTo(power / (supply?.flow as number), 9);
    expect(power).toBe((supply?.power as number) + 3);
  });

  test("needs the losses of its fans at rest, leaves their controllers idle and has no operating point", () => {
    expect(problemsOf(house({ state: "off" }, stream({ stopped: undefined })))).toEqual([
      ["fan.stopped-missing", "nodes.4.supply.fan.stopped"],
    ]);
    const controlled = stream({ control: { kind: "flow", flow: 0.05 } });
    const solution = solveNetwork(house({ state: "off" }, controlled));
    expect(solution.fans["unit.supply"].control).toBeUndefined();
    const range = { from: 0, to: 0.1, points: 3 };
    expect(systemCurve(house({ state: "off" }, controlled), "unit.supply", range).intersections).toEqual([]);
  });
});

/** Of counterflow on the smaller flow by the textbook's formula, with the four transfer units that 0.8 asks of equal flows. */
const effectivenessOf80 = (one: number, other: number): number => {
  const [smaller, larger] = [Math.min(one, other), Math.max(one, other)];
  const left = Math.exp(-4 * (larger / smaller - 1));
  return (1 - left) / (1 - (smaller / larger) * left);
};

describe("the exchanger of a unit", () => {
  const { airHandlers } = solveNetwork(house({ exchanger: { efficiency: "80 %" } }));
  const { supply, extract, supplyTemperature = 0, exhaustTemperature = 0, heatRecovered = 0 } = airHandlers.unit;
  const [given, taken] = [supply?.massFlow ?? 0, extract?.massFlow ?? 0];

  test("gives to one air what it takes from the other: ε on equal flows, more on the smaller (1006 J/(kg·K), by hand)", () => {
    expect(effectivenessOf80(given, taken)).toBeGreaterThan(0.8);
    expect(heatRecovered).toBeCloseTo(effectivenessOf80(given, taken) * Math.min(given, taken) * 1006 * 28, 7);
    expect(given * (supplyTemperature + 8)).toBeCloseTo(taken * (20 - exhaustTemperature), 9);
    expect(given * 1006 * (supplyTemperature + 8)).toBeCloseTo(heatRecovered, 9);
  });

  test("tells no temperatures where an air is given by its density, and says which", () => {
    const unknown = solveNetwork(house({ exchanger: { efficiency: 0.8 } }, stream(), { density: 1.3 }));
    expect(unknown.airHandlers.unit.supplyTemperature).toBeUndefined();
    const warned = unknown.warnings.filter(({ code }) => code === "unit.temperatures-unknown");
    expect(warned.map(({ path }) => path)).toEqual(["nodes.unit.exchanger"]);
    expect(warned[0].message).toContain("at 'unit.intake'");
    expect(warned[0].message).not.toContain("unit.extract");
    const off = solveNetwork(house({ state: "off", exchanger: { efficiency: 0.8 } }, stream(), { density: 1.3 }));
    expect(codesOf(off)).not.toContain("unit.temperatures-unknown");
  });

  test("needs both streams", () => {
    const document = house({ exchanger: { efficiency: 0.8 }, extract: undefined });
    const ducts = document.ducts?.filter(({ id }) => id < "c");
    const nodes = document.nodes.filter(({ id }) => id !== "kitchen" && id !== "roof");
    expect(problemsOf({ ...document, nodes, ducts })).toEqual([["unit.streams", "nodes.2.exchanger"]]);
  });
});

describe("frost protection", () => {
  const exchanger = { efficiency: 0.8 };

  test("by a preheater warms the intake air to its limit, within what it can give", () => {
    const strong = solveNetwork(house({ exchanger, frost: { below: "-3 °C", preheater: "1 kW" } }));
    const { supply, preheaterHeat, supplyTemperature = 0 } = strong.airHandlers.unit;
    const mass = supply?.massFlow ?? 0;
    expect(preheaterHeat).toBeCloseTo(mass * 1006 * 5, 9);
    const extracted = strong.airHandlers.unit.extract?.massFlow ?? 0;
    const exchanged = effectivenessOf80(mass, extracted) * Math.min(mass, extracted) * 23;
    expect(supplyTemperature).toBeCloseTo(-3 + exchanged / mass, 9);
    expect(codesOf(strong)).not.toContain("unit.preheater-short");

    const weak = solveNetwork(house({ exchanger, frost: { below: "-3 °C", preheater: "100 W" } }));
    expect(weak.airHandlers.unit.preheaterHeat).toBe(100);
    expect(codesOf(weak)).toContain("unit.preheater-short");
    // The heat is no fan power.
    expect(weak.airHandlers.unit.power).toBe(strong.airHandlers.unit.power);
  });

  test("by less supply air runs the supply fan at a share of its speed, with a caution, and the extract fan as before", () => {
    const frost = { below: "-3 °C", reduceSupplyTo: 0.7 };
    const reduced = solveNetwork(house({ exchanger, frost }));
    const slower = solveNetwork(house({ exchanger }, stream({ speed: 0.7 })));
    expect(reduced.fans).toEqual(slower.fans);
    expect(reduced.airHandlers.unit.frostSpeedFactor).toBe(0.7);
    expect(codesOf(reduced)).toContain("unit.frost-reduced");
    const curveOf = systemCurve(house({ exchanger, frost }), "unit.supply", { from: 0, to: 0.1, points: 5 });
    expect(curveOf.intersections[0].flow).toBeCloseTo(reduced.fans["unit.supply"].flow, 8);
  });

  test("goes by outdoor air at the intake, also in a unit that gives no exchanger", () => {
    const supplied = (frost: object) =>
      solveNetwork({
        format: "ductgraph/1",
        air: { temperature: 20 },
        outdoorAir: { temperature: -15 },
        nodes: [
          out("in"),
          out("room"),
          { id: "unit", kind: "airHandler", supply: stream({}, { fanAt: "inlet" }), frost },
        ],
        ducts: [bare("a", "in", "unit.intake"), bare("b", "unit.supply", "room")],
      } as NetworkDocument);
    const heated = supplied({ below: -3, preheater: 5000 });
    expect(heated.airHandlers.unit.preheaterHeat).toBeCloseTo(heated.fans["unit.supply"].massFlow * 1006 * 12, 9);
    expect([heated.ducts.a.air?.temperature, heated.ducts.b.air?.temperature]).toEqual([-15, -3]);
    const reduced = supplied({ below: -3, reduceSupplyTo: 0.6 });
    expect(reduced.fans["unit.supply"].speed).toBe(0.6);
    expect(reduced.ducts.b.air?.temperature).toBe(-15);
  });

  test("follows the speed and the air of a compiled network", () => {
    const compiled = compileNetwork(house({ exchanger, frost: { below: "-3 °C", reduceSupplyTo: 0.7 } }));
    const changed = compiled.solve({ "fans.unit.supply.speed": 0.9, "nodes.unit.frost.reduceSupplyTo": 0.5 });
    expect(changed.fans["unit.supply"].speed).toBeCloseTo(0.45, 12);
    const mild = compiled.solve({ "ducts.a.air.temperature": 3 });
    expect(mild.fans["unit.supply"].speed).toBe(1);
    expect(compiled.solve().fans["unit.supply"].speed).toBe(0.7);
  });

  test("rests where the intake air is warm enough, and in bypass, where nothing freezes up", () => {
    const frost = { below: "-3 °C", reduceSupplyTo: 0.7 };
    const mild = { temperature: 2 };
    const rests = solveNetwork(house({ exchanger, frost }, stream(), mild));
    expect(rests.fans).toEqual(solveNetwork(house({ exchanger }, stream(), mild)).fans);
    expect(rests.airHandlers.unit.frostSpeedFactor).toBe(1);
    const bypass = solveNetwork(house({ state: "bypass", exchanger, frost }));
    expect(bypass.fans).toEqual(solveNetwork(house({ state: "bypass", exchanger })).fans);
    const heater = { below: "-3 °C", preheater: "1 kW" };
    expect(solveNetwork(house({ exchanger, frost: heater }, stream(), mild)).airHandlers.unit.preheaterHeat).toBe(0);
  });

  test("leaves a controlled supply fan that share of its set flow, or of its share of the extract", () => {
    const frost = { below: "-3 °C", reduceSupplyTo: 0.7 };
    const held = (control: object, intake = cold) =>
      solveNetwork(house({ exchanger, frost }, stream({ control }), intake));
    const byFlow = held({ kind: "flow", flow: 0.04 });
    expect(byFlow.fans["unit.supply"].flow).toBeCloseTo(0.7 * 0.04, 9);
    expect(byFlow.fans["unit.supply"].control?.set).toBeCloseTo(0.7 * 0.04, 12);
    expect(byFlow.airHandlers.unit.frostSpeedFactor).toBe(0.7);
    expect(byFlow.warnings.find(({ code }) => code === "unit.frost-reduced")?.message).toContain("of its set value");
    expect(held({ kind: "flow", flow: 0.04 }, { temperature: 2 }).fans["unit.supply"].flow).toBeCloseTo(0.04, 9);

    const network = house({ exchanger, frost }, stream({ control: { kind: "flow", flow: 0.04 } }));
    const { intersections } = systemCurve(network, "unit.supply", { from: 0, to: 0.1, points: 5 });
    expect(intersections.map(({ flow }) => flow)).toEqual([expect.closeTo(0.7 * 0.04, 8)]);

    const balance = { kind: "balance", to: "unit.extract", ratio: 0.8 };
    const { fans } = held(balance);
    expect(fans["unit.supply"].massFlow / fans["unit.extract"].massFlow).toBeCloseTo(0.7 * 0.8, 8);

    const compiled = compileNetwork(house({ exchanger, frost }, stream({ control: { kind: "flow", flow: 0.04 } })));
    const changed = compiled.solve({ "fans.unit.supply.control.flow": 0.05, "nodes.unit.frost.reduceSupplyTo": 0.5 });
    expect(changed.fans["unit.supply"].flow).toBeCloseTo(0.025, 9);
    expect(compiled.solve({ "ducts.a.air.temperature": 3 }).fans["unit.supply"].flow).toBeCloseTo(0.04, 9);
  });

  test("at a share of the flow that frostReducedSupply gives keeps the exhaust at its limit", () => {
    const fan = stream({ control: { kind: "flow", flow: 0.05 } });
    const unitOf = (more: object) => solveNetwork(house({ exchanger, extract: fan, ...more }, fan)).airHandlers.unit;
    const { supply, extract } = unitOf({});
    const [supplyMassFlow, extractMassFlow] = [supply?.massFlow ?? 0, extract?.massFlow ?? 0];
    const state = { ...exchanger, supplyMassFlow, extractMassFlow, outdoor: -8, extract: 20, limit: 5 };
    const reduceSupplyTo = frostReducedSupply(state);
    expect(reduceSupplyTo).toBeLessThan(0.8);
    expect(unitOf({ frost: { below: 0, reduceSupplyTo } }).exhaustTemperature).toBeCloseTo(5, 6);
  });

  test("at such a share keeps it there too where the full supply exceeds the extract: the conductance is that of the full flows", () => {
    const held = (flow: number) => stream({ control: { kind: "flow", flow } });
    for (const more of [1.2, 2]) {
      const unitOf = (frost?: object) =>
        solveNetwork(house({ exchanger, extract: held(0.03), frost }, held(0.03 * more))).airHandlers.unit;
      const { supply, extract, exhaustTemperature } = unitOf();
      const [supplyMassFlow, extractMassFlow] = [supply?.massFlow ?? 0, extract?.massFlow ?? 0];
      expect(exhaustTemperature).toBeLessThan(5);
      const state = { ...exchanger, supplyMassFlow, extractMassFlow, outdoor: -8, extract: 20, limit: 5 };
      const reduced = unitOf({ below: 0, reduceSupplyTo: frostReducedSupply(state) });
      expect(reduced.exhaustTemperature).toBeCloseTo(5, 6);
    }
  });

  test("needs an intake air of known temperature, a supply stream, and a fan whose controller holds no pressure", () => {
    const frost = { below: "-3 °C", reduceSupplyTo: 0.7 };
    expect(problemsOf(house({ frost }, stream(), { density: 1.3 }))).toEqual([
      ["unit.air-temperature", "nodes.4.frost.below"],
    ]);
    const sensor = { duct: "b", at: "inlet" };
    expect(problemsOf(house({ frost }, stream({ control: { kind: "pressure", pressure: 20, sensor } })))).toEqual([
      ["unit.frost-controlled", "nodes.4.frost.reduceSupplyTo"],
    ]);
    expect(problemsOf(house({ frost: { below: 0, preheater: 1, reduceSupplyTo: 0.5 } })).length).toBeGreaterThan(0);
  });
});

test("a unit curve asks which components it contains; until that is said they all lose beside it", () => {
  const solvedWith = (includes?: string[], of = "unit") => {
    const components = [{ name: "filter", pressure: 30, flow: 0.1 }];
    const supply = stream({ curve: { ...curve, of } }, { components, includes });
    return solveNetwork(house({}, supply));
  };
  const flowOf = (includes?: string[]) => solvedWith(includes).fans["unit.supply"].flow;
  expect(codesOf(solvedWith())).toContain("unit.includes-missing");
  for (const said of [solvedWith([]), solvedWith(["filter"]), solvedWith(undefined, "fan")])
    expect(codesOf(said)).not.toContain("unit.includes-missing");
  expect(flowOf()).toBe(flowOf([]));
  expect(flowOf(["filter"])).toBeGreaterThan(flowOf());
});

/** What a solution warns of a unit's frost and cold, by code. */
const warningsOf = (document: NetworkDocument): Map<string, string> =>
  new Map(solveNetwork(document).warnings.map(({ code, message }) => [code, message]));

test("a weak preheater lets an exchanger freeze up, and of a unit without one only leaves the air cold", () => {
  const frost = { below: "-3 °C", preheater: 10 };
  const text = (more: object) => warningsOf(house({ frost, ...more })).get("unit.preheater-short");
  expect(text({ exchanger: { efficiency: 0.85 } })).toContain("its exchanger may freeze up");
  expect(text({})).toContain("air at that temperature enters the unit");
});

describe("less supply air against frost is told by what it does", () => {
  const frost = { below: "-3 °C", reduceSupplyTo: 0.7 };
  const held = (flow: number, more = {}) => stream({ control: { kind: "flow", flow, ...more } });
  const told = (supply: object, extract: object) =>
    warningsOf(house({ exchanger: { efficiency: 0.85 }, frost, extract }, supply)).get("unit.frost-reduced");
  const belowOutdoors = "falls below outdoor pressure";

  test("lowers the house below outdoors where extract then exceeds supply", () => {
    const text = told(held(0.04), held(0.04));
    expect(text).toContain(belowOutdoors);
    expect(text).not.toContain("no warmer");
  });

  test("gains nothing where the extract fan is balanced to the supply, unless it stands at its limit", () => {
    const extract = (minSpeed: number) => stream({ control: { kind: "balance", to: "unit.supply", minSpeed } });
    const text = told(held(0.04), extract(0.1));
    expect(text).toContain("balanced to it, follows it");
    expect(text).toContain("may freeze up");
    expect(text).not.toContain(belowOutdoors);
    expect(told(held(0.04), extract(0.95))).toContain(belowOutdoors);
    expect(told(held(0.04), extract(0.95))).not.toContain("follows");
    const more = stream({ control: { kind: "balance", to: "unit.supply", ratio: 1.3 } });
    expect(told(held(0.04), more)).toMatch(/follows it.*falls below outdoor pressure/);
  });

  test("gains nothing where supply is no less than extract all the same: the smaller flow sets what is exchanged", () => {
    const text = told(held(0.06), held(0.03));
    expect(text).toContain("supply still is no less than extract");
    expect(text).not.toContain(belowOutdoors);
  });

  test("is no more than the lowest speed of the fan lets it be, and the share that is left is told", () => {
    const supply = held(0.04, { minSpeed: 0.9 });
    const { control } = solveNetwork(house({ frost }, supply)).fans["unit.supply"];
    expect(control?.limit).toBe("minSpeed");
    const left = (100 * (control?.reached ?? 0)) / 0.04;
    expect(told(supply, held(0.04))).toContain(
      `asks its supply fan for 70 % of its set value, which at its minSpeed gives ${left.toFixed(0)} %`,
    );
  });
});

describe("frost in an exchanger", () => {
  const exchanger = { efficiency: 0.85 };
  const humid = (relativeHumidity: number, unit: object = { exchanger }) => {
    const document = house(unit, stream(), { temperature: -12 });
    const ducts = document.ducts?.map((duct) =>
      duct.id === "c" ? { ...duct, air: { ...warm, relativeHumidity } } : duct,
    );
    return warningsOf({ ...document, ducts } as NetworkDocument);
  };

  test("is warned of where the exhaust is below 0 °C and its dew point, and nothing protects", () => {
    expect(humid(0.4).get("unit.frost-unprotected")).toMatch(/cooled to -\d\.\d °C, below its dew point/);
    // Saturation over ice at −7.2 °C, the coldest an exhaust gets here, is above 300 Pa; 2339 Pa·10 % is below.
    expect(humid(0.1).has("unit.frost-unprotected")).toBe(false);
    expect(humid(0).get("unit.frost-unprotected")).toContain("its humidity is not known");
    expect(humid(0.4, { exchanger: { efficiency: 0.5 } }).has("unit.frost-unprotected")).toBe(false);
    expect(humid(0.4, { exchanger, frost: { below: -3, preheater: 5000 } }).has("unit.frost-unprotected")).toBe(false);
    expect(humid(0.4, { exchanger, state: "bypass" }).has("unit.frost-unprotected")).toBe(false);
  });

  test("is warned of by the exhaust that results, also beside a protection that does nothing", () => {
    const text = (frost: object) => humid(0.4, { exchanger, frost }).get("unit.frost-unprotected");
    expect(text({ below: -3, reduceSupplyTo: 1 })).toMatch(/cooled to -\d\.\d °C.*does not prevent that/);
    expect(text({ below: -20, preheater: 5000 })).toContain("below -20 °C of intake air");
    expect(text({ below: -3, reduceSupplyTo: 0.4 })).toBeUndefined();
  });

  test("is no matter of a unit without exchanger, whose supply air is reduced all the same", () => {
    const text = humid(0.4, { frost: { below: -3, reduceSupplyTo: 0.8 } }).get("unit.frost-reduced");
    expect(text).toContain("at 80 % of its speed");
    expect(text).not.toContain("exchanger");
  });

  test("is no reason to warm intake air beyond that of the rooms: the exchanger then heats the exhaust", () => {
    const warned = (below: number) =>
      humid(0.4, { exchanger, frost: { below, preheater: 20000 } }).get("unit.preheater-above-extract");
    expect(warned(30)).toContain("to 30.0 °C, above the extract air of 20.0 °C");
    expect(warned(20)).toBeUndefined();
  });

  test("is no danger in bypass, but outdoor air goes to the rooms unwarmed, and that is told", () => {
    const bypass = (frost?: object) => humid(0.4, { exchanger, state: "bypass", frost }).get("unit.bypass-cold");
    expect(bypass({ below: -3, preheater: 5000 })).toMatch(/its frost protection is inactive, and air of -12\.0 °C/);
    expect(bypass()).toContain("is in bypass, and air of -12.0 °C");
    expect(bypass({ below: -15, preheater: 5000 })).toBeUndefined();
    expect(humid(0.4).has("unit.bypass-cold")).toBe(false);
  });
});

test("the index run counts a component at what it loses in the unit's state", () => {
  const withTerminal = (state: string): NetworkDocument => {
    const document = plain({ state });
    const terminal = {
      id: "room",
      kind: "terminal",
      service: "supply",
      designFlow: 0.05,
      loss: { pressure: 0, flow: 1 },
    };
    return {
      ...document,
      nodes: document.nodes.map((node) => (node.id === "room" ? terminal : node)),
    } as NetworkDocument;
  };
  const needed = (state: string) => indexRun(withTerminal(state), "unit.supply").requiredPressure;
  // 50 Pa of duct, 30 of filter, 90 or 20 of exchanger at 0.1 m³/s: a quarter at half of it.
  expect(needed("on")).toBeCloseTo((50 + 30 + 90) / 4, 6);
  expect(needed("bypass")).toBeCloseTo((50 + 30 + 20) / 4, 6);
});
