import type { AirHandlerResult, FanResult, StreamResult } from "../../../src/network/results/solution.js";
import type { AirProperties } from "./air.js";
import { evaluateControl } from "./control.js";
import { awayFromCurve, fanPower, fanPressure, insideCurve, isStopped, runningSpeed } from "./curve.js";
import type { PlainFan, PlainNode, PlainStream } from "./document.js";
import { type Findings, flowRounding, pressureTolerance, rounding } from "./findings.js";
import { areaOf, ratingLoss, velocityPressure } from "./losses.js";
import { ductAt } from "./ports.js";
import type { Reading } from "./reading.js";

/** Mass flows through a fan or a stream from one port to another [kg/s]. */
const pass = (reading: Reading, inlet: string, outlet: string, massFlow: number): void => {
  reading.findings.mass(inlet, reading.gatheredAt(inlet) - massFlow);
  reading.findings.mass(outlet, reading.gatheredAt(outlet) + massFlow);
};

/** The record of a fan, which is that of its curve at this flow; gives the rise of total pressure [Pa]. */
const evaluateFan = (reading: Reading, name: string, given: PlainFan, air: AirProperties, massFlow: number): number => {
  const { findings } = reading;
  const place = `fans.${name}`;
  const result: FanResult | undefined = reading.solution.fans?.[name];
  if (given.control !== undefined) evaluateControl(reading, name, given, given.control, air, result);
  // A controlled fan runs as any other at the speed that was found for it.
  const speed = given.control === undefined ? runningSpeed(given) : (result?.speed ?? Number.NaN);
  const fan = { ...given, speed };
  const flow = massFlow / air.density;
  const rise = fanPressure(fan, air, flow);
  findings.equal(place, result, "flow", flow, flowRounding);
  findings.equal(place, result, "totalPressure", rise, pressureTolerance);
  findings.equal(place, result, "speed", speed, given.setting === undefined ? 0 : 1e-9);
  const airPower = flow * (result?.totalPressure ?? Number.NaN);
  findings.equal(place, result, "airPower", airPower, rounding);
  if (typeof result?.withinCurve !== "boolean") findings.missing(place, "withinCurve");
  if ((result?.power ?? 0) < 0) findings.problem(`${place}.power: expected no negative power, got ${result?.power}`);
  if (isStopped(fan)) {
    for (const key of ["specificFanPower", "heatToAir"]) findings.absent(place, result, key);
    return rise;
  }
  evaluateSpecificPower(findings, place, result, massFlow);

  const outlet = fan.curve!.outlet;
  if (outlet === undefined) findings.absent(place, result, "staticPressure");
  else {
    const outletPressure = velocityPressure(air.density, flow, areaOf(outlet));
    findings.equal(place, result, "staticPressure", rise - outletPressure, pressureTolerance);
  }

  const inside = insideCurve(fan, flow);
  // At an end point itself rounding decides.
  if (Math.abs(inside) > 1e-9 && result?.withinCurve === inside < 0)
    findings.problem(`${place}.withinCurve: expected ${inside > 0}, got ${result.withinCurve}`);
  const input = inside >= 0 ? fanPower(fan, air, flow) : undefined;
  if (input !== undefined && Number.isFinite(input.power)) {
    findings.equal(place, result, "power", input.power, rounding);
    if (input.heatToAir === undefined) findings.absent(place, result, "heatToAir");
    else findings.equal(place, result, "heatToAir", input.heatToAir, rounding);
  }
  const { coefficients, points, speeds } = fan.curve!;
  if (coefficients !== undefined) return rise;
  const { power: curvePower, efficiency: curveEfficiency } = (points ?? speeds![0].points)[0];
  if (curvePower === undefined && curveEfficiency === undefined) {
    for (const key of ["power", "efficiency", "powerEstimated", "heatToAir"]) findings.absent(place, result, key);
    return rise;
  }
  if (curvePower !== undefined) {
    const away = awayFromCurve(fan) - 0.2;
    if (away < -1e-9) findings.absent(place, result, "powerEstimated");
    if (away > 1e-9 && result?.powerEstimated !== true) findings.missing(place, "powerEstimated");
  }
  if (fan.chain !== undefined) findings.absent(place, result, "powerEstimated");
  if (result?.efficiency !== undefined && result.power !== undefined)
    findings.equal(place, result, "efficiency", airPower / result.power, rounding);
  return rise;
};

/** A fan between two ducts. */
export const evaluateFanNode = (reading: Reading, node: PlainNode): void => {
  const { findings } = reading;
  const [inlet, outlet] = [`${node.id}.inlet`, `${node.id}.outlet`];
  const result = reading.solution.fans?.[node.id];
  const air = reading.airInDuct(ductAt(reading, inlet));
  const massFlow = findings.massFlow(findings.number(`fans.${node.id}`, result, "massFlow"));
  pass(reading, inlet, outlet, massFlow);
  const rise = evaluateFan(reading, node.id, node, air, massFlow);
  findings.pressure(`fans.${node.id}`, reading.pressureAt(outlet) - reading.pressureAt(inlet), rise);
};

/** Static pressure inside the duct at a port [Pa]. */
const staticPressureAt = (reading: Reading, port: string): number => {
  const duct = ductAt(reading, port);
  const { density } = reading.airInDuct(duct);
  const flow = (reading.solution.ducts?.[duct.id]?.massFlow ?? Number.NaN) / density / (duct.parallel ?? 1);
  return reading.pressureAt(port) - velocityPressure(density, flow, areaOf(duct.section));
};

/** A power over a flow at 1.2 kg/m³; at rest there is none, and of air that flows backwards the contract says nothing. */
const evaluateSpecificPower = (
  findings: Findings,
  place: string,
  record: FanResult | StreamResult | AirHandlerResult | undefined,
  massFlow: number,
): void => {
  if (record?.power === undefined || massFlow === 0) findings.absent(place, record, "specificFanPower");
  else if (massFlow > 0) findings.equal(place, record, "specificFanPower", record.power / (massFlow / 1.2), rounding);
};

/** Gives the mass flow of the stream [kg/s]. */
const evaluateStream = (
  reading: Reading,
  unit: string,
  side: "supply" | "extract",
  stream: PlainStream,
  result: StreamResult | undefined,
): number => {
  const { findings } = reading;
  const name = `${unit}.${side}`;
  const place = `airHandlers.${name}`;
  const [inlet, outlet] =
    side === "supply" ? [`${unit}.intake`, `${unit}.supply`] : [`${unit}.extract`, `${unit}.exhaust`];
  const air = reading.airInDuct(ductAt(reading, stream.fanAt === "outlet" ? outlet : inlet));
  const fan: FanResult | undefined = reading.solution.fans?.[name];
  const massFlow = findings.massFlow(findings.number(`fans.${name}`, fan, "massFlow"));
  const flow = massFlow / air.density;
  pass(reading, inlet, outlet, massFlow);

  const rise = evaluateFan(reading, name, stream.fan, air, massFlow);
  const components = stream.components ?? [];
  let lost = 0;
  components.forEach((component, k) => {
    const { pressure, clean = pressure } = component;
    // A unit curve contains the clean component.
    const contained = stream.fan.curve?.of === "unit" && (stream.includes ?? []).includes(component.name);
    lost += ratingLoss(contained ? { ...component, pressure: pressure - clean } : component, air, flow);
    const record = result?.components?.[k];
    const componentPlace = `${place}.components.${k}`;
    if (record !== undefined && record.name !== component.name)
      findings.problem(`${componentPlace}.name: expected ${component.name}, got ${record.name}`);
    findings.equal(componentPlace, record, "flow", flow, flowRounding);
    findings.equal(componentPlace, record, "pressure", ratingLoss(component, air, flow), rounding);
  });
  if (result?.components !== undefined && result.components.length > components.length)
    findings.problem(`unexpected: ${place}.components.${components.length}`);

  const external = reading.pressureAt(outlet) - reading.pressureAt(inlet);
  findings.pressure(`fans.${name}`, external, rise - lost);
  const externalStatic = staticPressureAt(reading, outlet) - staticPressureAt(reading, inlet);
  findings.equal(place, result, "flow", flow, flowRounding);
  findings.equal(place, result, "massFlow", massFlow, flowRounding);
  findings.equal(place, result, "externalTotalPressure", external, pressureTolerance);
  findings.equal(place, result, "externalStaticPressure", externalStatic, pressureTolerance);
  findings.equal(place, result, "fanTotalPressure", fan?.totalPressure ?? Number.NaN, rounding);
  if (fan?.power === undefined) findings.absent(place, result, "power");
  else findings.equal(place, result, "power", fan.power, rounding);
  if (fan?.specificFanPower === undefined) findings.absent(place, result, "specificFanPower");
  else findings.equal(place, result, "specificFanPower", fan.specificFanPower, rounding);
  return massFlow;
};

/** An air handler: the laws of its streams and its record. */
export const evaluateAirHandler = (reading: Reading, node: PlainNode): void => {
  const { findings } = reading;
  const place = `airHandlers.${node.id}`;
  const result: AirHandlerResult | undefined = reading.solution.airHandlers?.[node.id];
  const massFlows: number[] = [];
  const served: number[] = [0];
  const powers: (number | undefined)[] = [];
  for (const side of ["supply", "extract"] as const) {
    const stream = node[side];
    if (stream === undefined) findings.absent(place, result, side);
    else {
      massFlows.push(evaluateStream(reading, node.id, side, stream, result?.[side]));
      powers.push(reading.solution.fans?.[`${node.id}.${side}`]?.power);
      const stands = node.state === "off" || isStopped(stream.fan);
      if (!stands) served.push(massFlows[massFlows.length - 1]);
    }
  }
  const larger = Math.max(...massFlows);
  if (massFlows.length < 2 || massFlows.every((massFlow) => massFlow === 0))
    findings.absent(place, result, "massImbalance");
  else if (massFlows.every((massFlow) => massFlow >= 0))
    findings.equal(place, result, "massImbalance", (massFlows[0] - massFlows[1]) / larger, rounding);
  if (powers.includes(undefined)) findings.absent(place, result, "power");
  else {
    const power = powers.reduce<number>((sum, part) => sum + part!, 0);
    findings.equal(place, result, "power", power, rounding);
  }
  // A draught through a fan that stands still is not served.
  evaluateSpecificPower(findings, place, result, Math.max(...served));
  evaluateHeat(reading, node, result, massFlows);
};

/**
 * The part of the larger stream that gives all its heat to the other in counterflow, by the difference of temperature along
 * the way: it changes as e^(−x·s), and x is 0 where both streams are equal.
 */
const exchangedPart = (efficiency: number, smaller: number, larger: number): number => {
  if (efficiency === 1) return smaller / larger;
  const x = (efficiency / (1 - efficiency)) * (larger / smaller - 1);
  const mean = x === 0 ? 1 : -Math.expm1(-x) / x;
  return (efficiency * mean) / (1 - efficiency + efficiency * mean);
};

/** Temperatures after the exchanger: its conductance is that which has the efficiency where both flows are the larger one. */
const evaluateHeat = (
  reading: Reading,
  { id, exchanger, frost, state = "on" }: PlainNode,
  result: AirHandlerResult | undefined,
  [supply, extract]: readonly number[],
): void => {
  const { findings } = reading;
  const place = `airHandlers.${id}`;
  const keys = ["supplyTemperature", "exhaustTemperature", "heatRecovered"] as const;
  const airAt = (port: string): number | undefined => reading.airInDuct(ductAt(reading, `${id}.${port}`)).temperature;
  if (frost !== undefined) return;
  const [outdoor, room] = exchanger === undefined ? [] : [airAt("intake"), airAt("extract")];
  if (outdoor === undefined || room === undefined || state === "off" || !(supply > 0 && extract > 0)) {
    for (const key of keys) findings.absent(place, result, key);
    return;
  }
  const efficiency = state === "on" ? exchanger!.efficiency : 0;
  const [smaller, larger] = supply < extract ? [supply, extract] : [extract, supply];
  const heat = exchangedPart(efficiency, smaller, larger) * larger * 1006 * (room - outdoor);
  findings.equal(place, result, "heatRecovered", heat, rounding);
  findings.equal(place, result, "supplyTemperature", outdoor + heat / (1006 * supply), rounding);
  findings.equal(place, result, "exhaustTemperature", room - heat / (1006 * extract), rounding);
};
