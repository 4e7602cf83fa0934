import { describe, expect, test } from "vitest";
import { bare, bareArea, codesOf, solved } from "../../../helpers/documents.js";

const outdoors = (id: string, more: object = {}) => ({ id, kind: "outdoors" as const, entry: 0.5, exit: 1, ...more });

describe("outdoors", () => {
  test("a duct between two of them loses entry and exit on its own velocity: Δp = (0.5 + 1)·½ρv²", () => {
    const { ducts } = solved({
      nodes: [outdoors("in", { pressure: 30 }), outdoors("out")],
      ducts: [bare("d", "in", "out")],
    });
    // v = √(2·30/(1.2·1.5)) = 5.7735 m/s
    expect(ducts.d.velocity).toBeCloseTo(Math.sqrt(60 / 1.8), 6);
    expect(ducts.d.entryLoss).toBeCloseTo(10, 6);
    expect(ducts.d.exitLoss).toBeCloseTo(20, 6);
  });

  test("with a section of its own the velocity is that of the whole flow through it, twin runs together", () => {
    const face = { section: { diameter: 0.2 }, entry: 2, exit: 0.999999 };
    const { ducts } = solved({
      nodes: [outdoors("in", { pressure: 30, ...face }), outdoors("out", { exit: 1, entry: 0 })],
      ducts: [bare("d", "in", "out", { parallel: 2 })],
    });
    const v = Math.abs(ducts.d.flow) / (Math.PI * 0.01);
    expect(ducts.d.entryLoss).toBeCloseTo(2 * 0.6 * v * v, 6);
    expect(ducts.d.velocity).toBeCloseTo(ducts.d.flow / (2 * bareArea), 9);
  });

  test("an exit coefficient below 1 recovers velocity pressure and warns once a node", () => {
    const solution = solved({
      nodes: [outdoors("in", { pressure: 30 }), outdoors("out", { exit: 0.4 })],
      ducts: [bare("a", "in", "out"), bare("b", "in", "out")],
    });
    expect(codesOf(solution)).toEqual(["outdoors.recovers-velocity"]);
  });
});

describe("a room", () => {
  const crack = (id: string, from: string, to: string, elevation: number) => ({
    id,
    from,
    to,
    coefficient: 0.01,
    exponent: 0.5,
    elevation,
  });

  test("between two equal openings a free room has the mean of both pressures", () => {
    const { nodes } = solved({
      nodes: [
        { id: "windward", kind: "outdoors", pressure: 8 },
        { id: "lee", kind: "outdoors", pressure: -2 },
        { id: "room", kind: "room" },
      ],
      openings: [crack("a", "windward", "room", 0), crack("b", "room", "lee", 0)],
    });
    expect(nodes.room.totalPressure).toBeCloseTo(3, 6);
  });

  test("warm air between a low and a high opening drives (ρ_o − ρ_i)·g·h through both", () => {
    const { openings } = solved({
      air: { density: 1.3 },
      outdoorAir: { density: 1.3 },
      nodes: [
        { id: "out", kind: "outdoors" },
        { id: "room", kind: "room", air: { density: 1.2 } },
      ],
      openings: [crack("low", "out", "room", 0), crack("high", "room", "out", 3)],
    });
    // 0.1·9.80665·3 = 2.941995 Pa over both openings; mass is equal, so that q differs by the densities.
    expect(openings.low.pressureDifference + openings.high.pressureDifference).toBeCloseTo(2.941995, 6);
    expect(openings.low.massFlow).toBeCloseTo(openings.high.massFlow, 10);
    expect(openings.high.flow / openings.low.flow).toBeCloseTo(1.3 / 1.2, 6);
  });
});

describe("a plenum", () => {
  test("of a given section takes each of several runs by itself, as it does several ducts", () => {
    const box = { id: "box", kind: "plenum" as const, area: 2 * bareArea };
    const nodes = [outdoors("in", { pressure: 30 }), box, outdoors("out")];
    const twins = solved({
      nodes,
      ducts: [bare("a", "in", "box", { parallel: 2 }), bare("b", "box", "out", { parallel: 2 })],
    });
    const apart = solved({
      nodes,
      ducts: [bare("a", "in", "box"), bare("c", "in", "box"), bare("b", "box", "out"), bare("d", "box", "out")],
    });
    for (const id of ["a", "b"]) {
      const [twin, one] = [twins.ducts[id], apart.ducts[id]];
      expect(twin.flow).toBeCloseTo(2 * one.flow, 9);
      expect(twin.entryLoss).toBeCloseTo(one.entryLoss, 6);
      expect(twin.exitLoss).toBeCloseTo(one.exitLoss, 6);
    }
    // A share of a half: (1 − ½)² into the box, 0.5·(1 − ½)^0.75 out of it.
    expect(twins.ducts.a.exitLoss).toBeCloseTo(0.25 * twins.ducts.a.velocityPressure, 9);
    expect(twins.ducts.b.entryLoss).toBeCloseTo(0.5 * 0.5 ** 0.75 * twins.ducts.b.velocityPressure, 9);
  });

  test("takes all velocity pressure of what flows in and half of that of what flows out", () => {
    const { ducts } = solved({
      nodes: [outdoors("in", { pressure: 30 }), { id: "box", kind: "plenum" }, outdoors("out")],
      ducts: [bare("a", "in", "box"), bare("b", "box", "out")],
    });
    expect(ducts.a.exitLoss).toBeCloseTo(ducts.a.velocityPressure, 9);
    expect(ducts.b.entryLoss).toBeCloseTo(0.5 * ducts.b.velocityPressure, 9);
  });
});

describe("a junction", () => {
  test("brings in its inflow in the network's air, and loses nothing", () => {
    const { ducts } = solved({
      air: { density: 1.1 },
      nodes: [{ id: "j", kind: "junction", inflow: 0.05 }, outdoors("out")],
      ducts: [bare("d", "j", "out")],
    });
    expect(ducts.d.massFlow).toBeCloseTo(0.055, 12);
    expect(ducts.d.entryLoss).toBe(0);
  });
});
