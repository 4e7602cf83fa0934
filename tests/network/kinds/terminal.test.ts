import { describe, expect, test } from "vitest";
import { checkNetwork } from "../../../src/index.js";
import { bare, bareArea, codesOf, solved } from "../../helpers/documents.js";

const valve = (more: object = {}) => ({
  id: "valve",
  kind: "terminal" as const,
  service: "supply" as const,
  loss: { pressure: 20, flow: 0.02 },
  ...more,
});
/** A junction that brings in a flow, and one duct to the valve. */
const fed = (terminal: object, inflow: number, more: object = {}, ducts = [bare("d", "j", "valve")]) =>
  solved({ nodes: [{ id: "j", kind: "junction", inflow }, valve(terminal)], ducts, ...more });

describe("a terminal", () => {
  test.each([
    [1, 10],
    [1.5, 20 / 2 ** 1.5],
    [2, 5],
  ])("of exponent %f loses at half its rated flow %f Pa of 20", (exponent, loss) => {
    const { terminals } = fed({ loss: { pressure: 20, flow: 0.02, exponent } }, 0.01);
    expect(terminals.valve.pressureLoss).toBeCloseTo(loss, 6);
  });

  test("scales a turbulent loss with density, a laminar one with viscosity", () => {
    const air = { air: { density: 0.6, viscosity: 3.62e-5 } };
    expect(fed({}, 0.02, air).terminals.valve.pressureLoss).toBeCloseTo(10, 6);
    const laminar = { loss: { pressure: 20, flow: 0.02, exponent: 1 } };
    expect(fed(laminar, 0.02, air).terminals.valve.pressureLoss).toBeCloseTo(40, 6);
  });

  test("by a coefficient loses ζ·½ρv² of its duct, or of the section given", () => {
    const dynamic = 0.6 * (0.02 / bareArea) ** 2;
    expect(fed({ loss: { coefficient: 7 } }, 0.02).terminals.valve.pressureLoss).toBeCloseTo(7 * dynamic, 6);
    const wide = { loss: { coefficient: 7, section: { diameter: 0.2 } } };
    expect(fed(wide, 0.02).terminals.valve.pressureLoss).toBeCloseTo((7 * dynamic) / 16, 6);
  });

  test("with a static rating loses the velocity pressure besides in supply, and less by it in extract", () => {
    const loss = { pressure: 20, flow: 0.02, pressureKind: "static" };
    const dynamic = 0.6 * (0.02 / bareArea) ** 2;
    expect(fed({ loss }, 0.02).terminals.valve.pressureLoss).toBeCloseTo(20 + dynamic, 6);
    const extract = fed({ loss, service: "extract" }, -0.02, {}, [bare("d", "valve", "j")]);
    expect(extract.terminals.valve.pressureLoss).toBeCloseTo(20 - dynamic, 6);
  });

  test("met by two runs has a box: each run loses its velocity pressure there", () => {
    const { ducts } = fed({}, 0.02, {}, [bare("a", "j", "valve"), bare("b", "j", "valve", { length: 2 })]);
    expect(ducts.a.flow).toBeCloseTo(0.01, 9);
    expect(ducts.a.exitLoss).toBeCloseTo(ducts.a.velocityPressure, 9);
  });

  test("met by several ducts counts its coefficient on its whole flow in all their sections, all runs together", () => {
    const two = [bare("a", "j", "valve"), bare("b", "j", "valve", { parallel: 2, section: { diameter: 0.2 } })];
    const area = bareArea * (1 + 2 * 4);
    const { terminals } = fed({ loss: { coefficient: 7 } }, 0.1, {}, two);
    expect(terminals.valve.pressureLoss).toBeCloseTo(7 * 0.6 * (0.1 / area) ** 2, 6);
    const given = { loss: { coefficient: 7, section: { diameter: 0.1 } } };
    expect(fed(given, 0.1, {}, two).terminals.valve.pressureLoss).toBeCloseTo(7 * 0.6 * (0.1 / bareArea) ** 2, 6);
  });

  test("against its service has a negative flow and warns", () => {
    const solution = fed({ designFlow: 0.02 }, -0.01);
    expect(solution.terminals.valve.ratio).toBeCloseTo(-0.5, 6);
    expect(codesOf(solution)).toContain("terminal.reversed");
  });

  test("of a supply coefficient below 1 warns, as the loss then lacks what the jet takes along", () => {
    expect(codesOf(fed({ loss: { coefficient: 0.9 } }, 0.02))).toEqual(["terminal.coefficient-below-one"]);
  });
});

test("a static pressure is taken of terminals only: elsewhere it would change nothing", () => {
  const rating = { pressure: 20, flow: 0.02, pressureKind: "static" };
  const fan = { id: "f", kind: "fan", speed: 0, stopped: rating };
  const still = { speed: 0, stopped: { pressure: 20, flow: 0.02 } };
  const unit = { id: "u", kind: "airHandler", supply: { fan: still, components: [{ name: "filter", ...rating }] } };
  const ducts = [
    bare("a", "in", "f.inlet", { fittings: [{ kind: "rating", ...rating }] }),
    bare("b", "f.outlet", "u.intake"),
    bare("c", "u.supply", "valve"),
  ];
  const nodes = [{ id: "in", kind: "outdoors", coefficient: 1 }, fan, unit, valve({ loss: rating, open: rating })];
  const { problems } = checkNetwork({ format: "ductgraph/1", nodes, ducts });
  expect(problems.map(({ code, expected, path }) => [code, expected, path])).toEqual([
    ["value.choice", "'total'", "nodes.1.stopped.pressureKind"],
    ["value.choice", "'total'", "nodes.2.supply.components.0.pressureKind"],
    ["value.choice", "'total'", "ducts.0.fittings.0.pressureKind"],
  ]);
});
