import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { checkNetwork, compileNetwork, describe as describeParameter, withChanges } from "../../../src/index.js";
import { bare, codesOf, solved } from "../../helpers/documents.js";

/*
 * Zones that dampers open and shut: a fan, a main, and a duct with a damper and a valve for each zone. At 90° a damper
 * lets its leakage through and nothing else.
 */

type Kind = "singleBladeDamper" | "multiBladeDamper";
/** A damper of each kind that fills its duct, with a leakage of 8 l/s at 100 Pa and for each square metre. */
const dampers = {
  singleBladeDamper: { section: { diameter: 0.125 }, area: (Math.PI / 4) * 0.125 ** 2 },
  multiBladeDamper: { section: { width: 0.15, height: 0.1 }, area: 0.15 * 0.1 },
};
const leakageOf = (kind: Kind): number => 0.008 * dampers[kind].area;
const degree = Math.PI / 180;

const house = (kind: Kind, angles: readonly number[], { tee = false, fan = {} } = {}) => {
  const branch = (i: number, from: string) => ({
    id: `z${i}`,
    from,
    to: `valve${i}`,
    length: 8,
    section: dampers[kind].section,
    fittings: [{ kind, angle: angles[i] * degree, leakage: leakageOf(kind) }],
  });
  const middle = tee
    ? [{ id: "split", kind: "tee" as const, angle: "90 deg" }]
    : [{ id: "split", kind: "junction" as const }];
  const end = (port: string): string => (tee ? `split.${port}` : "split");
  const curve = { pressureKind: "total" as const, coefficients: [200, 0, -6000], from: 0, to: 0.15 };
  return {
    nodes: [
      { id: "in", kind: "outdoors" as const, coefficient: 1 },
      { id: "f", kind: "fan" as const, curve, ...fan },
      ...middle,
      ...[0, 1].map((i) => ({
        id: `valve${i}`,
        kind: "terminal" as const,
        service: "supply" as const,
        loss: { pressure: 40, flow: 0.025 },
      })),
    ],
    ducts: [
      { id: "intake", from: "in", to: "f.inlet", length: 3, section: { diameter: 0.2 } },
      { id: "main", from: "f.outlet", to: end("a"), length: 5, section: { diameter: 0.16 } },
      branch(0, end("b")),
      branch(1, end("branch")),
    ],
  };
};

const kinds = fc.constantFrom<Kind>("singleBladeDamper", "multiBladeDamper");
const angles = fc.oneof(
  fc.constantFrom(0, 45, 90),
  fc.integer({ min: 0, max: 9000 }).map((hundredths) => hundredths / 100),
);

describe("zones with dampers", () => {
  test("keep every law at any position, both shut included, with a junction, with a tee and with a controlled fan", () => {
    const controls = [{}, { control: { kind: "pressure", pressure: "60 Pa", sensor: { duct: "main", at: "outlet" } } }];
    fc.assert(
      fc.property(kinds, angles, angles, fc.boolean(), fc.constantFrom(...controls), (kind, a, b, tee, fan) => {
        const { terminals } = solved(house(kind, [a, b], { tee, fan }));
        for (const { flow } of Object.values(terminals)) expect(Number.isFinite(flow)).toBe(true);
      }),
      { numRuns: 150 },
    );
  });

  test.each(["singleBladeDamper", "multiBladeDamper"] as const)(
    "%s: a shut zone gets its leakage, the other more than before",
    (kind) => {
      const open = solved(house(kind, [0, 0]));
      const shut = solved(house(kind, [0, 90]));
      const [{ coefficient, loss, model, withinRange }] = shut.ducts.z1.fittings ?? [];
      // By the square root of the pressure across the damper.
      expect(shut.terminals.valve1.flow).toBeCloseTo(leakageOf(kind) * Math.sqrt(loss / 100), 9);
      expect(loss).toBeGreaterThan(100);
      expect(coefficient).toBeCloseTo(100 / (0.6 * 0.008 ** 2), 0);
      expect([model, withinRange]).toEqual(["leakage when shut, as given", true]);
      expect(shut.terminals.valve0.flow).toBeGreaterThan(open.terminals.valve0.flow);
      expect(shut.fans.f.flow).toBeLessThan(open.fans.f.flow);
    },
  );

  test("shut is what its maker states and warns of nothing; between the last printed angle and shut warns", () => {
    const of = (angle: number) =>
      codesOf(solved(house("singleBladeDamper", [0, angle]))).filter((code) => code.startsWith("fitting."));
    expect(of(90)).toEqual([]);
    expect(of(80)).toContain("fitting.outside-range");
  });

  test("in a compiled network the angle leads from open to shut and back, from any position to any other", () => {
    fc.assert(
      fc.property(kinds, fc.array(fc.tuple(angles, angles), { minLength: 1, maxLength: 5 }), (kind, positions) => {
        const compiled = compileNetwork({ format: "ductgraph/1", ...house(kind, [0, 0]) });
        const knobs = [0, 1].map((i) => compiled.parameter(`ducts.z${i}.fittings.0.angle`));
        for (const position of positions) {
          knobs.forEach((knob, i) => {
            knob.value = position[i] * degree;
          });
          compiled.update();
          const { terminals } = solved(house(kind, position));
          for (const [id, { flow }] of Object.entries(compiled.solution().terminals))
            expect(Math.abs(flow - terminals[id].flow)).toBeLessThan(1e-7);
        }
      }),
      { numRuns: 30 },
    );
  });

  test("positions are angles, also as texts; leakages are flows", () => {
    const network = { format: "ductgraph/1" as const, ...house("singleBladeDamper", [0, 0]) };
    const shut = withChanges(network, {
      "ducts.z1.fittings.0.angle": "90 deg",
      "ducts.z1.fittings.0.leakage": "1 l/s",
    });
    expect(shut.ducts[3].fittings[0]).toMatchObject({ angle: Math.PI / 2, leakage: 0.001 });
    expect(describeParameter(network, "ducts.z1.fittings.0.leakage")).toEqual({ quantity: "flow", unit: "m³/s" });
  });

  test("beyond its table a damper needs its leakage, and one that can be", () => {
    const faultsOf = (fitting: object) => {
      const ducts = [bare("d", "in", "out", { fittings: [{ kind: "singleBladeDamper", ...fitting }] })];
      const nodes = ["in", "out"].map((id) => ({ id, kind: "outdoors", coefficient: 1 }));
      return checkNetwork({ format: "ductgraph/1", nodes, ducts }).problems.map(({ code, path }) => [code, path]);
    };
    const leakage = [["fitting.geometry", "ducts.0.fittings.0.leakage"]];
    expect(faultsOf({ angle: "90 deg" })).toEqual(leakage);
    expect(faultsOf({ angle: "90 deg", leakage: "50 l/s" })).toEqual(leakage);
    expect(faultsOf({ angle: "0 deg", leakage: 1e-9 })).toEqual(leakage);
    expect(faultsOf({ angle: "91 deg", leakage: 1e-3 })).toEqual([["value.range", "ducts.0.fittings.0.angle"]]);
    expect(faultsOf({ angle: "90 deg", leakage: 0 })).toEqual([["value.range", "ducts.0.fittings.0.leakage"]]);
    const compiled = compileNetwork({ format: "ductgraph/1", ...house("singleBladeDamper", [0, 0]) });
    const diameter = compiled.parameter("ducts.z1.section.diameter");
    // 0.098 l/s of leakage are more than passes a duct of 10 mm at 70°.
    expect(() => {
      diameter.value = 0.01;
    }).toThrow("leakage");
  });
});
