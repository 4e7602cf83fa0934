import { expect } from "vitest";
import type { NodeResult, Solution } from "../../src/network/results/solution.js";
import type { PlainDuct, PlainNetwork, PlainNode, PlainOpening } from "./evaluator/document.js";
import { ductState } from "./evaluator/ducts.js";
import { endLoss } from "./evaluator/ends.js";
import { evaluateAirHandler, evaluateFanNode } from "./evaluator/fans.js";
import { flowRounding, pressureTolerance, rounding } from "./evaluator/findings.js";
import { areaOf, openingPressure, regulatorLoss, terminalLoss } from "./evaluator/losses.js";
import { portsOf } from "./evaluator/ports.js";
import { gravity, Reading } from "./evaluator/reading.js";
import { evaluateTee } from "./evaluator/tees.js";
import { evaluateTransition } from "./evaluator/transitions.js";

/*
 * A second reading of the physics, for tests. It shares no code with the library but the coefficients of its catalogue: it
 * takes the flows and pressures of an answer and works out every law anew from the document. What it reports is therefore
 * the error of an answer as a stranger would measure it, not as the solver sees it.
 */

/** What the laws say of an answer. */
export interface Evaluation {
  /** Largest imbalance of mass at a node or port [kg/s] */
  readonly massResidual: number;
  /** [kg/s] */
  readonly largestMassFlow: number;
  /** Largest deviation from a law of pressure [Pa] */
  readonly pressureResidual: number;
  /** Largest pressure or difference met on the way [Pa] */
  readonly largestPressure: number;
  /** Where mass fits worst. */
  readonly worstNode?: string;
  /** Where pressure fits worst. */
  readonly worstBranch?: string;
  /** What contradicts the contract; those that begin with "missing: " name something left out. */
  readonly problems: readonly string[];
}

const evaluateDuct = (reading: Reading, duct: PlainDuct): void => {
  const { findings } = reading;
  const place = `ducts.${duct.id}`;
  const result = reading.solution.ducts?.[duct.id];
  const air = reading.airInDuct(duct);
  const massFlow = findings.massFlow(findings.number(place, result, "massFlow"));
  const flow = massFlow / air.density;
  const state = ductState(duct, reading.network.friction ?? "colebrook", air, flow);
  reading.gather(duct.from, -massFlow);
  reading.gather(duct.to, massFlow);

  const [source, sink] = flow < 0 ? [duct.to, duct.from] : [duct.from, duct.to];
  const sign = Math.sign(flow);
  const entryLoss = sign * endLoss(reading, duct, source, true, air, Math.abs(flow));
  const exitLoss = sign * endLoss(reading, duct, sink, false, air, Math.abs(flow));
  const totalLoss = state.frictionLoss + state.fittingLoss + entryLoss + exitLoss;
  const rise = reading.elevationOf(duct.to) - reading.elevationOf(duct.from);
  const buoyancy = (air.density - reading.outdoorAir.density) * gravity * rise;
  const [from, to] = [reading.pressureAt(duct.from), reading.pressureAt(duct.to)];
  findings.pressure(place, from - to, totalLoss + buoyancy);

  findings.equal(place, result, "flow", flow, flowRounding);
  findings.equal(place, result, "velocity", state.velocity, flowRounding);
  findings.equal(place, result, "velocityPressure", state.velocityPressure, flowRounding);
  findings.equal(place, result, "reynolds", state.reynolds, rounding);
  findings.equal(place, result, "frictionLoss", state.frictionLoss, rounding);
  findings.equal(place, result, "fittingLoss", state.fittingLoss, rounding);
  findings.equal(place, result, "entryLoss", entryLoss, rounding);
  findings.equal(place, result, "exitLoss", exitLoss, rounding);
  findings.equal(place, result, "totalLoss", totalLoss, rounding);
  findings.equal(place, result, "buoyancy", buoyancy, rounding);
  if (state.frictionFactor === undefined) findings.absent(place, result, "frictionFactor");
  else findings.equal(place, result, "frictionFactor", state.frictionFactor, 0);
  if (typeof result?.withinRange !== "boolean") findings.missing(place, "withinRange");
  if (reading.inherited.has(duct.id)) {
    findings.equal(`${place}.air`, result?.air, "density", air.density, rounding);
    if (air.temperature === undefined) findings.absent(`${place}.air`, result?.air, "temperature");
    else findings.equal(`${place}.air`, result?.air, "temperature", air.temperature, rounding);
  } else findings.absent(place, result, "air");

  const [lossAtFrom, lossAtTo] = flow < 0 ? [exitLoss, entryLoss] : [entryLoss, exitLoss];
  const inside = { inlet: from - lossAtFrom, outlet: to + lossAtTo };
  for (const end of ["inlet", "outlet"] as const) {
    const pressures = result?.[end];
    findings.equal(`${place}.${end}`, pressures, "totalPressure", inside[end], pressureTolerance);
    const total = pressures?.totalPressure ?? Number.NaN;
    // Where the two nearly cancel, rounding is that of their size.
    const slack = rounding + 1e-15 * state.velocityPressure;
    findings.equal(`${place}.${end}`, pressures, "staticPressure", total - state.velocityPressure, slack);
  }
};

const evaluateTerminal = (reading: Reading, node: PlainNode): void => {
  const { findings } = reading;
  const place = `terminals.${node.id}`;
  const result = reading.solution.terminals?.[node.id];
  const ducts = reading.ductsAt(node.id);
  const air = reading.airInDuct(ducts[0]);
  const ductArea = ducts.reduce((sum, { section, parallel = 1 }) => sum + parallel * areaOf(section), 0);
  const massFlow = findings.massFlow(findings.number(place, result, "massFlow"));
  const flow = massFlow / air.density;
  const direction = node.service === "supply" ? 1 : -1;
  const intoRoom = direction * massFlow;
  reading.gather(node.id, -intoRoom);
  if (node.room !== undefined) reading.gather(node.room, intoRoom);

  const outside = node.room === undefined ? 0 : reading.pressureAtHeight(node.room, node.elevation ?? 0);
  const taken = node.regulator === undefined ? 0 : regulatorLoss(node.regulator, flow);
  const loss = terminalLoss(node.loss!, node.service!, ductArea, air, flow) + taken;
  findings.pressure(place, direction * (reading.pressureAt(node.id) - outside), loss);

  findings.equal(place, result, "flow", flow, flowRounding);
  findings.equal(place, result, "pressureLoss", loss, pressureTolerance);
  if (node.regulator === undefined) findings.absent(place, result, "regulator");
  else {
    const { minPressure, maxPressure } = node.regulator;
    findings.equal(`${place}.regulator`, result?.regulator, "loss", taken, pressureTolerance);
    const inBand = taken >= minPressure && taken <= maxPressure;
    // At the very ends of the band rounding decides.
    const atEnd = [minPressure, maxPressure].some((end) => Math.abs(taken / end - 1) < 1e-6);
    if (result?.regulator?.withinRange !== inBand && !atEnd)
      findings.problem(`${place}.regulator.withinRange: expected ${inBand} at ${taken} Pa`);
  }
  if (node.designFlow === undefined) {
    findings.absent(place, result, "designFlow");
    findings.absent(place, result, "ratio");
  } else {
    findings.equal(place, result, "designFlow", node.designFlow, 0);
    findings.equal(place, result, "ratio", flow / node.designFlow, flowRounding);
  }
};

const evaluateOpening = (reading: Reading, opening: PlainOpening): void => {
  const { findings } = reading;
  const { id, from, to } = opening;
  const place = `openings.${id}`;
  const result = reading.solution.openings?.[id];
  const massFlow = findings.massFlow(findings.number(place, result, "massFlow"));
  const { density } = reading.airIn(reading.nodeOf(massFlow < 0 ? to : from));
  const flow = massFlow / density;
  reading.gather(from, -massFlow);
  reading.gather(to, massFlow);

  const height = opening.elevation ?? (reading.elevationOf(from) + reading.elevationOf(to)) / 2;
  const difference = reading.pressureAtHeight(from, height) - reading.pressureAtHeight(to, height);
  findings.pressure(place, difference, openingPressure(opening, density, flow));
  findings.equal(place, result, "flow", flow, flowRounding);
  findings.equal(place, result, "pressureDifference", difference, pressureTolerance);
};

/** What the answer must say of a node, whatever flows there. */
const evaluateNodeRecord = (reading: Reading, node: PlainNode): void => {
  const { findings } = reading;
  const place = `nodes.${node.id}`;
  const result: NodeResult | undefined = reading.solution.nodes?.[node.id];
  const ports = portsOf(node);
  if (ports.length > 0) {
    findings.absent(place, result, "totalPressure");
    findings.keys(`${place}.ports`, result?.ports, ports);
    for (const port of ports) findings.number(`${place}.ports.${port}`, result?.ports?.[port], "totalPressure");
  } else {
    findings.absent(place, result, "ports");
    const pressure = findings.number(place, result, "totalPressure");
    const given = node.kind === "outdoors" ? (node.pressure ?? 0) : node.pressure;
    if (given !== undefined) findings.pressure(place, pressure, given);
  }
};

/** Mass that gathers at a node without a pressure of its own. */
const evaluateBalance = (reading: Reading, node: PlainNode): void => {
  const inflow = node.kind === "junction" ? (node.inflow ?? 0) * reading.networkAir.density : 0;
  reading.findings.mass(node.id, reading.gatheredAt(node.id) + inflow);
};

/**
 * Works out every law of a network at the flows and pressures of an answer.
 *
 * @param network - A document in SI; defaults may be left out.
 * @param solution - The answer; what it lacks stands in `problems`.
 * @throws Error for a kind of node, a fitting or a friction law that the evaluator does not know: no answer passes unread.
 */
export const evaluate = (network: PlainNetwork, solution: Solution): Evaluation => {
  const reading = new Reading(network, solution);
  const { findings } = reading;
  const ofKind = (kind: string): PlainNode[] => network.nodes.filter((node) => node.kind === kind);
  const known = ["outdoors", "room", "junction", "plenum", "terminal", "fan", "airHandler", "tee", "transition"];
  for (const { kind } of network.nodes)
    if (!known.includes(kind)) throw new Error(`the evaluator knows no node of kind '${kind}'`);

  const ducts = network.ducts ?? [];
  const openings = network.openings ?? [];
  const handlers = ofKind("airHandler");
  const streams = handlers.flatMap((node) =>
    (["supply", "extract"] as const).filter((side) => node[side] !== undefined).map((side) => `${node.id}.${side}`),
  );
  const idsOf = (elements: readonly { readonly id: string }[]): string[] => elements.map(({ id }) => id);
  findings.keys("ducts", solution.ducts, idsOf(ducts));
  findings.keys("nodes", solution.nodes, idsOf(network.nodes));
  findings.keys("terminals", solution.terminals, idsOf(ofKind("terminal")));
  findings.keys("openings", solution.openings, idsOf(openings));
  findings.keys("fans", solution.fans, [...idsOf(ofKind("fan")), ...streams]);
  findings.keys("airHandlers", solution.airHandlers, idsOf(handlers));
  for (const key of ["iterations", "massResidual", "pressureResidual"])
    findings.number("convergence", solution.convergence, key);
  if (!Array.isArray(solution.warnings)) findings.missing("solution", "warnings");
  findings.plain("solution", solution);

  for (const node of network.nodes) evaluateNodeRecord(reading, node);
  for (const duct of ducts) evaluateDuct(reading, duct);
  for (const opening of openings) evaluateOpening(reading, opening);
  // Terminals and openings move air into rooms, so that the balances come last.
  for (const node of ofKind("terminal")) evaluateTerminal(reading, node);
  for (const node of ofKind("fan")) evaluateFanNode(reading, node);
  for (const node of handlers) evaluateAirHandler(reading, node);
  for (const node of ofKind("tee")) evaluateTee(reading, node);
  for (const node of ofKind("transition")) evaluateTransition(reading, node);
  for (const node of network.nodes) {
    const free = node.kind === "room" && node.pressure === undefined;
    if (free || node.kind === "junction" || node.kind === "plenum" || node.kind === "terminal")
      evaluateBalance(reading, node);
  }

  const { massResidual, largestMassFlow, pressureResidual, largestPressure, worstNode, worstBranch, problems } =
    findings;
  return { massResidual, largestMassFlow, pressureResidual, largestPressure, worstNode, worstBranch, problems };
};

/**
 * Expects an answer that keeps the contract: within tolerance by the evaluator's own sums, and without problems.
 *
 * @param tolerance - As given to the solver: on 1e-9 of the largest mass flow, or 1e-12 kg/s, and on 1e-6 Pa.
 */
export const expectSolved = (network: PlainNetwork, solution: Solution, tolerance = 1): void => {
  const found = evaluate(network, solution);
  expect(found.problems).toEqual([]);
  // The two sums are rounded in different order.
  const massAllowed = Math.max(1e-9 * found.largestMassFlow, 1e-12) * tolerance * 1.001 + 1e-14 * found.largestMassFlow;
  const pressureAllowed = 1e-6 * tolerance * 1.001 + 1e-12 * found.largestPressure;
  expect(found.massResidual, `mass at ${found.worstNode} [kg/s]`).toBeLessThanOrEqual(massAllowed);
  expect(found.pressureResidual, `pressure in ${found.worstBranch} [Pa]`).toBeLessThanOrEqual(pressureAllowed);
};
