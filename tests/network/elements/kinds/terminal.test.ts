import { describe, expect, test } from "vitest";
import { checkNetwork, compileNetwork, type NetworkDocument } from "../../../../src/index.js";
import { bare, bareArea, codesOf, solved } from "../../../helpers/documents.js";

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

describe("a terminal fully open", () => {
  const found = (terminal: object) => {
    const nodes = [{ id: "j", kind: "junction", inflow: 0.02 }, valve(terminal)];
    const document = { format: "ductgraph/1", nodes, ducts: [bare("d", "j", "valve")] };
    return checkNetwork(document).problems.map(({ code, path }) => [code, path]);
  };
  const tooMuch = (key: string) => [["terminal.open-above-loss", `nodes.1.open.${key}`]];

  test("loses no more than as it is set, at the same flow", () => {
    expect(found({ open: { pressure: 50, flow: 0.02 } })).toEqual(tooMuch("pressure"));
    expect(found({ open: { pressure: 20, flow: 0.02 } })).toEqual([]);
    // 50 Pa at twice the flow are 12.5 Pa at 0.02 m³/s; 6 Pa at half of it 24.
    expect(found({ open: { pressure: 50, flow: 0.04 } })).toEqual([]);
    expect(found({ open: { pressure: 6, flow: 0.01 } })).toEqual(tooMuch("pressure"));
    expect(found({ loss: { coefficient: 2 }, open: { coefficient: 2.1 } })).toEqual(tooMuch("coefficient"));
    expect(found({ loss: { coefficient: 2.1 }, open: { coefficient: 2.1 } })).toEqual([]);
  });

  test("is judged by total pressure: 20 Pa static in a supply duct are more than 20 Pa total", () => {
    const open = { pressure: 20, flow: 0.02, pressureKind: "static" };
    expect(found({ open })).toEqual(tooMuch("pressure"));
    expect(found({ service: "extract", open })).toEqual([]);
  });

  test("is judged at the design flow, or else the rated flow, where exponents differ", () => {
    // 18 Pa at 0.02 m³/s with exponent 1 are 4.5 Pa at 0.005, where 20 Pa with exponent 2 are 1.25.
    const open = { pressure: 18, flow: 0.02, exponent: 1 };
    expect(found({ open })).toEqual([]);
    expect(found({ open, designFlow: 0.03 })).toEqual([]);
    expect(found({ open, designFlow: 0.005 })).toEqual(tooMuch("pressure"));
  });

  test("keeps to that when a compiled network is changed", () => {
    const nodes = [{ id: "j", kind: "junction", inflow: 0.02 }, valve({ open: { pressure: 10, flow: 0.02 } })];
    const document = { format: "ductgraph/1", nodes, ducts: [bare("d", "j", "valve")] } as unknown as NetworkDocument;
    expect(() => compileNetwork(document).solve({ "nodes.valve.loss.pressure": 5 })).toThrow("at most 5 Pa");
  });
});

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

  test("with a box by choice loses the velocity pressure of its one run too: 0.01 m³/s in 63 mm, 6.17 Pa", () => {
    // ½ρv² by hand: 0.6·(0.01/(π·0.063²/4))² = 6.175 Pa.
    const thin = [bare("d", "j", "valve", { section: { diameter: 0.063 } })];
    const [without, boxed] = [{}, { box: true }].map((more) => fed(more, 0.01, {}, thin));
    expect(boxed.ducts.d.exitLoss).toBeCloseTo(6.175, 3);
    expect([without.ducts.d.exitLoss, boxed.terminals.valve.pressureLoss]).toEqual([
      0,
      without.terminals.valve.pressureLoss,
    ]);
    const back = [{ ...thin[0], from: "valve", to: "j" }];
    const extracting = fed({ box: true, service: "extract", entry: 0.4 }, -0.01, {}, back);
    expect(extracting.ducts.d.entryLoss).toBeCloseTo(0.4 * 6.175, 3);
  });

  test("met by one duct of two runs has a box, and must not be said to have none", () => {
    const two = [bare("d", "j", "valve", { parallel: 2 })];
    expect(fed({}, 0.02, {}, two).ducts.d.exitLoss).toBeCloseTo(0.6 * (0.01 / bareArea) ** 2, 9);
    const nodes = [{ id: "j", kind: "junction", inflow: 0.02 }, valve({ box: false })];
    const { problems } = checkNetwork({ format: "ductgraph/1", nodes, ducts: two });
    expect(problems.map(({ code, path }) => [code, path])).toEqual([["terminal.box-needed", "nodes.1.box"]]);
  });

  test("compiled, gets its box when its one duct gets a second run", () => {
    const nodes = [{ id: "j", kind: "junction" as const, inflow: 0.02 }, valve()];
    const ducts = [bare("a", "j", "valve"), bare("b", "j", "valve")];
    const document = { format: "ductgraph/1" as const, nodes, ducts: ducts.slice(0, 1) };
    expect(compileNetwork(document).solve({ "ducts.a.parallel": 2 }).ducts.a.exitLoss).toBeGreaterThan(0);
    // The other duct keeps its box where only the first changes.
    const both = compileNetwork({ ...document, ducts }).solve({ "ducts.a.parallel": 2 });
    expect(both.ducts.b.exitLoss).toBeCloseTo(both.ducts.b.velocityPressure, 9);
  });

  test("rated in a section of its own: its static pressure lacks the velocity pressure there, and other ducts warn", () => {
    const loss = { pressure: 20, flow: 0.02, pressureKind: "static", section: { diameter: 0.2 } };
    const { terminals, warnings } = fed({ loss }, 0.02);
    expect(terminals.valve.pressureLoss).toBeCloseTo(20 + 0.6 * (0.02 / (Math.PI * 0.01)) ** 2, 6);
    expect(warnings.map(({ code, path }) => [code, path])).toEqual([["terminal.rating-section", "nodes.valve.loss"]]);
    expect(codesOf(fed({ loss, box: true }, 0.02))).toEqual([]);
    expect(codesOf(fed({ loss: { ...loss, section: { diameter: 0.1 } } }, 0.02))).toEqual([]);
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

  test("without static pressure has the coefficient 1 at any flow, and does not warn", () => {
    const loss = { pressure: 0, flow: 0.04, pressureKind: "static" };
    for (let flow = 0.003; flow < 0.1; flow *= 1.07) expect(codesOf(fed({ loss }, flow))).toEqual([]);
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
