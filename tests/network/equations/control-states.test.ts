import { describe, expect, test } from "vitest";
import {
  compileNetwork,
  type NetworkDocument,
  parseNetwork,
  type Solution,
  SolveError,
  solveNetwork,
} from "../../../src/index.js";
import { controlledRoom } from "../../helpers/control-rooms.js";
import { expectSolved } from "../../helpers/evaluator.js";
import { heldByScan } from "../../helpers/held-states.js";

const curve = {
  pressureKind: "total",
  points: [
    { flow: 0, pressure: 300 },
    { flow: 0.1, pressure: 260 },
    { flow: 0.2, pressure: 0 },
  ],
};

/** A leaky room between a fan that supplies and one that extracts. */
const house = (supply: object, extract: object, gap = 0.004): NetworkDocument => {
  const duct = (id: string, from: string, to: string, length: number) => ({
    id,
    from,
    to,
    length,
    section: { diameter: 0.16 },
  });
  return {
    format: "ductgraph/1",
    nodes: [
      { id: "in", kind: "outdoors", coefficient: 1 },
      { id: "out", kind: "outdoors", coefficient: 1 },
      { id: "S", kind: "fan", curve, ...supply },
      { id: "E", kind: "fan", curve, ...extract },
      { id: "room", kind: "room" },
    ],
    ducts: [
      duct("i", "in", "S.inlet", 3),
      duct("s", "S.outlet", "room", 10),
      duct("x", "room", "E.inlet", 10),
      duct("e", "E.outlet", "out", 3),
    ],
    openings: [{ id: "gap", from: "room", to: "in", area: gap }],
  } as unknown as NetworkDocument;
};

const solved = (document: NetworkDocument): Solution => {
  const network = parseNetwork(document);
  const solution = solveNetwork(network);
  expectSolved(network, solution);
  return solution;
};

const isHeld = ({ fans }: Solution): boolean =>
  Object.values(fans).every(({ control }) => control?.limit === undefined);

/** The extract fan holds the pressure in the supply duct, which only the supply fan at its heels can do. */
const throughTheOther = (pressure: number, speed: object = {}): NetworkDocument =>
  house(
    { control: { kind: "balance", to: "E", ratio: 1.1 } },
    { ...speed, control: { kind: "pressure", pressure, sensor: { duct: "s", at: "inlet" } } },
  );

describe("controllers that feel one another", () => {
  test.each([5, 10, 15, 20])("hold %s Pa through the other's fan, wherever the search begins", (pressure) => {
    const speeds = [{}, { speed: 0.3 }, { speed: 0.7 }].map((speed) => {
      const { ducts, fans } = solved(throughTheOther(pressure, speed));
      expect(ducts.s.inlet.staticPressure).toBeCloseTo(pressure, 5);
      expect(fans.S.massFlow).toBeCloseTo(1.1 * fans.E.massFlow, 9);
      expect([fans.S.control?.limit, fans.E.control?.limit]).toEqual([undefined, undefined]);
      return fans.E.speed;
    });
    for (const speed of speeds) expect(speed).toBeCloseTo(speeds[0], 6);
  });

  test("say that a state with a fan at a limit lies beside, where the search came by it, and nothing where it did not", () => {
    expect(solved(throughTheOther(10)).convergence.otherStates).toBe(true);
    expect(solved(throughTheOther(10, { speed: 0.3 })).convergence).not.toHaveProperty("otherStates");
  });

  test.each([5, 20])("hold a room's pressure with the supply fan at the heels of the extract fan (%s)", (pressure) => {
    for (const start of [{}, { speed: 0.2 }, { speed: 0.5 }]) {
      const sensed = { kind: "pressure", pressure: -pressure / 10, sensor: { node: "room" } };
      const follows = { kind: "balance", to: "S", ratio: 1.1 };
      const { fans, nodes } = solved(house({ ...start, control: sensed }, { ...start, control: follows }));
      expect(nodes.room.totalPressure).toBeCloseTo(-pressure / 10, 5);
      expect([fans.S.control?.limit, fans.E.control?.limit]).toEqual([undefined, undefined]);
    }
  });

  test("give the answer at a limit, bit for bit, where no state holds more", () => {
    const document = throughTheOther(200);
    const { convergence, fans } = solved(document);
    expect(fans.E.control?.limit).toBeDefined();
    expect(convergence).not.toHaveProperty("otherStates");
    expect(solveNetwork(document)).toEqual(solveNetwork(document));
  });

  test("search once for a better state in updates that stay at one limit, and again in every solve from the document", () => {
    const compiled = compileNetwork(throughTheOther(200));
    const searching = compiled.update().iterations;
    const pressure = compiled.parameter("fans.E.control.pressure");
    pressure.value = 201;
    const staying = compiled.update().iterations;
    expect(staying).toBeLessThanOrEqual(4);
    expect(searching).toBeGreaterThan(5 * staying);
    pressure.value = 10;
    const { otherStates } = compiled.update({ start: "document" });
    expect(otherStates).toBe(true);
    expect(compiled.output("ducts.s.inlet.staticPressure").value).toBeCloseTo(10, 5);
    expect(compiled.solve({ "fans.E.control.pressure": 10 }).ducts.s.inlet.staticPressure).toBeCloseTo(10, 5);
  });

  test("stay held in updates, step by step, without a search", () => {
    const compiled = compileNetwork(throughTheOther(5));
    compiled.update();
    const pressure = compiled.parameter("fans.E.control.pressure");
    for (let value = 6; value <= 40; value++) {
      pressure.value = value;
      expect(compiled.update().iterations).toBeLessThanOrEqual(6);
      expect(compiled.output("ducts.s.inlet.staticPressure").value).toBeCloseTo(value, 5);
    }
  });
});

test("of 300 random rooms, all set values are held wherever a scan of fixed speeds finds a state that holds them", {
  timeout: 60_000,
}, () => {
  const { held, marked, missed } = heldByScan(controlledRoom, 1, 300);
  console.log(`controlled rooms, seeds 1–300: ${held} held, ${marked} of them beside a state at a limit`);
  expect(missed).toEqual([]);
  expect(marked).toBeGreaterThanOrEqual(10);
});

test("rooms that nothing joins hold in one document what each holds in its own", () => {
  const seeds = [57, 2487, 6817, 11, 2030];
  const rooms = seeds.map((seed) => controlledRoom(seed, `-${seed}`));
  const together = solved({
    format: "ductgraph/1",
    nodes: rooms.flatMap(({ nodes }) => nodes),
    ducts: rooms.flatMap(({ ducts }) => ducts ?? []),
    openings: rooms.flatMap(({ openings = [] }) => openings),
  });
  rooms.forEach((room, i) => {
    const alone = solved(room);
    for (const [name, { control, speed }] of Object.entries(alone.fans)) {
      expect(together.fans[name].speed, `${name} of seed ${seeds[i]}`).toBeCloseTo(speed, 6);
      expect(together.fans[name].control?.limit).toBe(control?.limit);
    }
    expect(together.convergence.otherStates).toBe(true);
    if (i < 3) expect(isHeld(alone)).toBe(true);
  });
});

test("flows that a central fan exceeds through boosters at their limits are looked for no more: no speeds can hold them all", () => {
  const square = (pressure: number, per: number, flow: number) => ({
    pressureKind: "total",
    points: [0, 0.25, 0.5, 0.75, 1].map((share) => ({ flow: share * flow, pressure: pressure - per * share ** 2 })),
  });
  const boosters = Array.from({ length: 20 }, (_, k) => k);
  const duct = (id: string, from: string, to: string, diameter: number) => ({
    id,
    from,
    to,
    length: 4,
    section: { diameter },
  });
  const control = (k: number) => ({ kind: "flow", flow: 0.02 + 0.001 * (k % 5), minSpeed: 0.06, maxSpeed: 2 });
  const compiled = compileNetwork({
    format: "ductgraph/1",
    nodes: [
      { id: "out", kind: "outdoors", coefficient: 1 },
      { id: "central", kind: "fan", curve: square(300, 200, 0.4) },
      ...boosters.flatMap((k) => [
        { id: `j${k}`, kind: "junction" },
        { id: `f${k}`, kind: "fan", curve: square(200, 160, 0.06), speed: 0.5, control: control(k) },
        { id: `t${k}`, kind: "terminal", service: "supply", loss: { pressure: 20, flow: 0.02 } },
      ]),
    ],
    ducts: [
      duct("intake", "out", "central.inlet", 0.8),
      ...boosters.flatMap((k) => [
        duct(`m${k}`, k === 0 ? "central.outlet" : `j${k - 1}`, `j${k}`, 0.8),
        duct(`a${k}`, `j${k}`, `f${k}.inlet`, 0.16),
        duct(`b${k}`, `f${k}.outlet`, `t${k}`, 0.16),
      ]),
    ],
  } as unknown as NetworkDocument);
  expect(compiled.update().iterations).toBeLessThanOrEqual(12);
  const { convergence, fans } = compiled.solution();
  const limits = boosters.filter((k) => fans[`f${k}`].control?.limit === "minSpeed");
  expect(limits.length).toBeGreaterThan(5);
  expect(limits.length).toBeLessThan(20);
  expect(convergence).not.toHaveProperty("otherStates");
});

test("two equal fans that are parted say that there is a state in which they stay alike", () => {
  const points = [0, 0.05, 0.1, 0.15, 0.2].map((flow, i) => ({ flow, pressure: [100, 130, 150, 120, 0][i] }));
  const fan = (id: string, share: number) => {
    const scaled = points.map(({ flow, pressure }) => ({ flow, pressure: share * pressure }));
    return { id, kind: "fan", curve: { pressureKind: "total", points: scaled } };
  };
  const duct = (id: string, from: string, to: string, fittings: object[] = []) => ({
    id,
    from,
    to,
    length: 3,
    section: { diameter: 0.2 },
    fittings,
  });
  const network = (loss: number) =>
    ({
      format: "ductgraph/1",
      nodes: [
        { id: "in", kind: "outdoors", coefficient: 1 },
        fan("one", 1),
        fan("two", 1),
        { id: "j", kind: "junction" },
        { id: "out", kind: "outdoors", coefficient: 1 },
      ],
      ducts: [
        duct("a", "in", "one.inlet"),
        duct("b", "one.outlet", "j"),
        duct("c", "in", "two.inlet"),
        duct("d", "two.outlet", "j"),
        duct("e", "j", "out", [{ kind: "fixed", coefficient: loss }]),
      ],
    }) as unknown as NetworkDocument;
  const parted = solved(network(22));
  expect(Math.abs(parted.fans.one.flow - parted.fans.two.flow)).toBeGreaterThan(0.05);
  expect(parted.convergence).toMatchObject({ stable: true, otherStates: true });
  const alike = solved(network(0.5));
  expect(alike.fans.one.flow).toBeCloseTo(alike.fans.two.flow, 9);
  expect(alike.convergence).not.toHaveProperty("otherStates");
});

test("a search that finds no answer names the controllers that do not hold, and that another starting speed may help", () => {
  const set = [23.972437381744385, 34.44406781345606, 26.540895700454712];
  const rest = [256.55665397644043, 269.1930294036865, 194.70248222351074];
  const valves = [0.02094801187515259, 0.026672089099884035, 0.03772053003311157];
  const duct = (id: string, from: string, to: string, length: number, diameter: number) => ({
    id,
    from,
    to,
    length,
    section: { diameter },
  });
  const document = {
    format: "ductgraph/1",
    nodes: [
      ...["f", "g", "h"].flatMap((id, i) => [
        { id: `${id}in`, kind: "outdoors", coefficient: 1 },
        {
          id,
          kind: "fan",
          control: { kind: "pressure", pressure: set[i], sensor: { node: ["y", "z", "x"][i] } },
          curve: {
            pressureKind: "total",
            points: [1, 0.8, 0.2].map((share, k) => ({ flow: 0.06 * k, pressure: share * rest[i] })),
          },
        },
      ]),
      ...["x", "y", "z"].flatMap((id, i) => [
        { id, kind: "plenum" },
        { id: `t${id}`, kind: "terminal", service: "supply", loss: { pressure: 20, flow: valves[i] } },
      ]),
    ],
    ducts: [
      ...["f", "g", "h"].flatMap((id, i) => [
        duct(`${id}a`, `${id}in`, `${id}.inlet`, 3, 0.16),
        duct(`${id}b`, `${id}.outlet`, ["x", "y", "z"][i], 3, 0.16),
      ]),
      duct("xy", "x", "y", 1.2378008365631104, 0.10658227443695069),
      duct("yz", "y", "z", 2.421185940504074, 0.1279493284225464),
      ...["x", "y", "z"].map((id) => duct(`r${id}`, id, `t${id}`, 5, 0.125)),
    ],
  } as NetworkDocument;
  // Too few steps for the search of speeds, whatever way it takes; with fewer still the flows themselves are not found.
  const messages: string[] = [];
  for (let maxIterations = 1; maxIterations <= 20; maxIterations++) {
    try {
      solveNetwork(document, { maxIterations });
    } catch (error) {
      expect(error).toBeInstanceOf(SolveError);
      messages.push((error as SolveError).message);
    }
  }
  const sought = messages.filter((message) => message.includes("of the controlled fans"));
  expect(sought.length).toBeGreaterThan(0);
  for (const message of sought) {
    expect(message).toMatch(
      /; fans that do not hold their set values: '[fgh]'.*; with another initial 'speed' for them an answer may be found$/,
    );
  }
});
