import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { type NetworkDocument, parseNetwork, type Solution, solveNetwork } from "../../../src/index.js";
import { bare, codesOf } from "../../helpers/documents.js";
import { expectSolved } from "../../helpers/evaluator.js";

const out = (id: string, more: object = {}) => ({ id, kind: "outdoors" as const, entry: 0, exit: 1, ...more });
const rating = (pressure: number, flow: number, exponent = 2) => ({
  kind: "rating" as const,
  pressure,
  flow,
  exponent,
});
const document = (nodes: object[], ducts: object[], more: object = {}): NetworkDocument =>
  ({ format: "ductgraph/1", nodes, ducts, ...more }) as NetworkDocument;
const falling = {
  pressureKind: "total" as const,
  points: [
    { flow: 0, pressure: 200 },
    { flow: 0.1, pressure: 100 },
    { flow: 0.15, pressure: 0 },
  ],
};
/** What a damper that is shut may let through, over the flow of a duct in use. */
const leak = 1e-4;

const shutOf = ({ warnings }: Solution): string[] =>
  warnings.filter(({ code }) => code === "duct.backdraught-closed").map(({ path }) => path.slice("ducts.".length));

describe("a backdraught damper", () => {
  const windy = (pressure: number, more: object = {}) =>
    solveNetwork(
      document([out("in", { pressure }), out("out")], [bare("d", "in", "out", { backdraught: true, ...more })]),
    );

  test("loses nothing where air flows its way", () => {
    expect(windy(30).ducts.d).toEqual(windy(30, { backdraught: undefined }).ducts.d);
    expect(windy(30).warnings).toEqual([]);
  });

  test("lets less than a ten thousandth of that through the other way, held shut by the whole pressure", () => {
    const solution = windy(-30);
    const { flow, fittingLoss, totalLoss } = solution.ducts.d;
    expect(flow).toBeLessThan(0);
    expect(-flow).toBeLessThan(leak * windy(30).ducts.d.flow);
    expect(totalLoss).toBeCloseTo(-30, 5);
    expect(fittingLoss).toBeCloseTo(-30, 5);
    expect(solution.warnings.map(({ code, path }) => [code, path])).toEqual([["duct.backdraught-closed", "ducts.d"]]);
    expect(solution.warnings[0].message).toContain("30.0 Pa");
  });

  test("holds against the column of cold air in a flue, too", () => {
    const ends = [out("in", { elevation: 10 }), out("out")];
    const down = bare("d", "in", "out", { backdraught: true, air: { density: 1 } });
    expect(shutOf(solveNetwork(document(ends, [down])))).toEqual(["d"]);
    expect(shutOf(solveNetwork(document(ends, [{ ...down, from: "out", to: "in" }])))).toEqual([]);
  });
});

/** A fan and another between the same two junctions, a duct after each. */
const besideEachOther = (other: object, damper: object) =>
  solveNetwork(
    document(
      [
        out("in"),
        { id: "s", kind: "junction" },
        { id: "f", kind: "fan", curve: falling },
        other,
        { id: "e", kind: "junction" },
        out("out"),
      ],
      [
        bare("a", "in", "s", { fittings: [rating(20, 0.1)] }),
        bare("b", "s", "f.inlet"),
        bare("c", "s", "g.inlet"),
        bare("d", "f.outlet", "e", damper),
        bare("h", "g.outlet", "e", damper),
        bare("i", "e", "out", { fittings: [rating(60, 0.1)] }),
      ],
    ),
  );

describe("two fans side by side, one of them standing still", () => {
  const stopped = { id: "g", kind: "fan", speed: 0, stopped: { pressure: 10, flow: 0.1 } };
  const without = besideEachOther(stopped, {});
  const dampers = besideEachOther(stopped, { backdraught: true });
  const alone = solveNetwork(
    document(
      [out("in"), { id: "f", kind: "fan", curve: falling }, out("out")],
      [
        bare("a", "in", "f.inlet", { fittings: [rating(20, 0.1)] }),
        bare("i", "f.outlet", "out", { fittings: [rating(60, 0.1)] }),
      ],
    ),
  );

  test("without dampers blow round in a ring; with dampers the running fan runs as if alone", () => {
    expect(without.fans.g.flow).toBeLessThan(-0.05);
    expect(Math.abs(dampers.fans.g.flow)).toBeLessThan(leak * dampers.fans.f.flow);
    expect(Math.abs(dampers.fans.f.flow / alone.fans.f.flow - 1)).toBeLessThan(leak);
    expect(dampers.ducts.i.flow).toBeGreaterThan(1.3 * without.ducts.i.flow);
    expect(shutOf(dampers)).toEqual(["h"]);
    expect(codesOf(without)).not.toContain("duct.backdraught-closed");
  });
});

test("of a fan after a shut damper it is said that a little air goes back, in numbers that are not 0", () => {
  const weak = { id: "g", kind: "fan", curve: falling, speed: 0.2 };
  const { fans, warnings } = besideEachOther(weak, { backdraught: true });
  expect(fans.g.flow).toBeLessThan(0);
  const { message } = warnings.find(({ code }) => code === "fan.outside-curve") ?? { message: "" };
  const [, litres] = /^air flows backwards through fan 'g', ([0-9.]+) l\/s/.exec(message) ?? [];
  expect(Number(litres) / (-1000 * fans.g.flow)).toBeCloseTo(1, 2);
});

// ---- Random networks: rings of junctions, wind, fans, dampers

const step = (min: number, max: number) => fc.integer({ min: 0, max: 1000 }).map((i) => min + ((max - min) * i) / 1000);
const sketches = fc.record({
  winds: fc.array(step(-40, 40), { minLength: 2, maxLength: 4 }),
  junctions: fc.integer({ min: 1, max: 5 }),
  fans: fc.array(fc.record({ speed: step(0.3, 1.2), stands: fc.boolean() }), { maxLength: 3 }),
  links: fc.array(
    fc.record({
      a: fc.nat(100),
      b: fc.nat(100),
      damper: fc.boolean(),
      pressure: step(5, 80),
      exponent: step(1, 2),
      length: step(0.5, 10),
    }),
    { minLength: 3, maxLength: 9 },
  ),
});
type Sketch = typeof sketches extends fc.Arbitrary<infer T> ? T : never;

/** Every point is joined to the one before it, so that all hang together; further links join any two points. */
const drawn = ({ winds, junctions, fans, links }: Sketch): NetworkDocument => {
  const places = [...winds.map((_, i) => `o${i}`), ...Array.from({ length: junctions }, (_, i) => `j${i}`)];
  const nodes: object[] = [
    ...winds.map((pressure, i) => out(`o${i}`, { entry: 0.5, pressure })),
    ...Array.from({ length: junctions }, (_, i) => ({ id: `j${i}`, kind: "junction" })),
    ...fans.map(({ speed, stands }, i) => {
      const still = { speed: 0, stopped: { pressure: 20, flow: 0.1 } };
      return { id: `f${i}`, kind: "fan", curve: falling, ...(stands ? still : { speed }) };
    }),
  ];
  const link = (i: number) => links[i % links.length];
  const duct = (id: string, from: string, to: string, i: number) => {
    const { damper, pressure, exponent, length } = link(i);
    const more = damper ? { backdraught: true } : {};
    return { id, from, to, length, section: { diameter: 0.125 }, fittings: [rating(pressure, 0.1, exponent)], ...more };
  };
  const ducts = [
    ...places.slice(1).map((place, i) => duct(`p${i}`, places[i], place, i)),
    ...links.flatMap(({ a, b }, i) => {
      const [from, to] = [places[a % places.length], places[b % places.length]];
      return from === to ? [] : [duct(`l${i}`, from, to, i)];
    }),
    ...fans.flatMap((_, i) => {
      const { a, b } = link(i + 2);
      const [from, to] = [places[a % places.length], places[(a + 1 + (b % (places.length - 1))) % places.length]];
      return [duct(`s${i}`, from, `f${i}.inlet`, i), duct(`d${i}`, `f${i}.outlet`, to, i + 1)];
    }),
  ];
  return document(nodes, ducts);
};

/** The same network with plain ducts, of which those that are shut are replaced by walls: a ring with one is at rest. */
const walled = (network: NetworkDocument, shut: readonly string[]): NetworkDocument => ({
  ...network,
  ducts: network.ducts?.map(({ backdraught: _, ...duct }) =>
    shut.includes(duct.id) ? { ...duct, fittings: [{ kind: "fixed" as const, coefficient: 1e10 }] } : duct,
  ),
});

describe("200 small networks of winds, fans and dampers", () => {
  test("have one state each: shut dampers face a pressure against them, and the others are as plain ducts", () => {
    fc.assert(
      fc.property(sketches, (sketch) => {
        const network = drawn(sketch);
        const solution = solveNetwork(network);
        // Every law holds, by the second evaluator.
        expectSolved(parseNetwork(network), solution, 1);
        const shut = shutOf(solution);
        const largest = Math.max(...Object.values(solution.ducts).map(({ flow }) => Math.abs(flow)));
        for (const { id, backdraught } of network.ducts ?? []) {
          const { flow, totalLoss } = solution.ducts[id];
          if (backdraught !== true) continue;
          // Open or shut, never both: what flows back is a leak, and only against a pressure.
          expect(flow).toBeGreaterThan(-leak * Math.max(largest, 0.03));
          if (shut.includes(id)) expect(totalLoss).toBeLessThan(0);
          else expect(totalLoss).toBeGreaterThan(-0.01);
        }
        // With walls in the place of the shut dampers and plain ducts in that of the open ones, the same answer.
        const other = solveNetwork(walled(network, shut));
        for (const id in solution.ducts) {
          const difference = Math.abs(solution.ducts[id].flow - other.ducts[id].flow);
          expect(difference).toBeLessThan(1e-3 * Math.max(largest, 0.03));
        }
        // From its own answer, and from that without dampers, the same state again.
        const open = solveNetwork(walled(network, []));
        for (const start of [solution, open]) expect(shutOf(solveNetwork(network, { start }))).toEqual(shut);
      }),
      { numRuns: 200 },
    );
  });
});
