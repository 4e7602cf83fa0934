import { isKnown } from "../../../air/mixing.js";
import type { AirState } from "../../../air/state.js";
import { nearestName } from "../../../core/nearest.js";
import { shown } from "../../../core/show.js";
import { ratingCoefficient } from "../../../ducts/ratings.js";
import {
  about,
  choice,
  exactly,
  type Field,
  list,
  named,
  object,
  optional,
  preset,
  text,
  withOneOf,
  word,
} from "../../../input/fields.js";
import type { Answer } from "../../equations/state.js";
import { type Duct, ductArea } from "../../format/elements.js";
import type { Form, Preset } from "../../format/forms.js";
import { elevation, id, labels } from "../../format/identifiers.js";
import { type ComponentPart, component } from "../../format/losses.js";
import type { ElementProblem } from "../../results/element-problem.js";
import { givenProvenance, type Provenance } from "../../results/provenance.js";
import type { AirHandlerResult, Solution, StreamResult } from "../../results/solution.js";
import { type Assembly, resumeBranch, resumePoint } from "../element.js";
import { FanBlock, type FanPart, fanProvenance, fanResists, fanWith, sensorReads } from "../fan.js";
import { fanProblems } from "../fan-checks.js";
import { specificPower } from "../fan-power.js";
import {
  type ExchangerPart,
  exchanger,
  type FrostPart,
  frost,
  heatProvenance,
  slowed,
  supplyShare,
  unitTreatment,
} from "../heat-recovery.js";
import { reportHeat } from "../heat-recovery-report.js";
import {
  type FanOutline,
  freePressure,
  lossless,
  type NodeBase,
  type NodeKind,
  type NodeNumbers,
  type Surroundings,
} from "./kind.js";

/** One side of an air handler: a fan and the parts that the air passes. */
export type StreamPart<F extends Form = "parsed"> = {
  readonly fan: FanPart<F>;
  /** Where the fan sits. The duct there sets the flow and density of the fan and the components. Default: inlet. */
  readonly fanAt?: "inlet" | "outlet";
  /** Names of the components that a unit curve contains at their `clean` pressure; beside one it is asked for. Default: none. */
  readonly includes?: readonly string[];
} & Preset<F, { readonly components: readonly ComponentPart<F>[] }>;

/** An air handler (a ventilation unit): supply from `intake` to `supply`, extract from `extract` to `exhaust`. */
export type AirHandlerNode<F extends Form = "parsed"> = NodeBase<F> & {
  readonly kind: "airHandler";
  readonly supply?: StreamPart<F>;
  readonly extract?: StreamPart<F>;
  /** Default: on. In bypass components lose their `bypassed` and no heat is recovered; off, both fans stand still. */
  readonly state?: "on" | "bypass" | "off";
  /** With it, or with `frost`, all ducts of the network that name no air inherit it along their streams. */
  readonly exchanger?: ExchangerPart<F>;
  readonly frost?: FrostPart<F>;
};

type StreamName = "supply" | "extract";
const streamNames = ["supply", "extract"] as const;
const streamPorts = { supply: ["intake", "supply"], extract: ["extract", "exhaust"] } as const;
/** Streams whose mass flows differ by more than this share warn [-]. */
const balanceLimit = 0.05;
/** Densities at both ends of a stream that differ by more than this share ask where the fan sits [-]. */
const densityLimit = 0.02;
/** Names of components that are compared with one that is not known. */
const mostCompared = 20;

const stream: Field<StreamPart, StreamPart<"written">> = exactly<StreamPart, StreamPart<"written">>()(
  named(
    "stream",
    "One side of an air handler: a fan and the components that the air passes.",
    object({
      fan: fanWith({}),
      fanAt: about(
        "Where the fan sits. The duct there sets the flow and density of the fan and the components. Default: inlet.",
        optional(choice(["inlet", "outlet"])),
      ),
      components: preset(list(component), []),
      includes: about(
        "Names of the components whose clean loss a unit curve already contains. Give it with every unit curve; it may be empty. Default: none.",
        optional(list(text())),
      ),
    }),
  ),
);

const airStreamsOf = (node: AirHandlerNode): [StreamName, StreamPart][] =>
  streamNames.flatMap((name) => {
    const part = node[name];
    return part === undefined ? [] : [[name, part] as [StreamName, StreamPart]];
  });

/** Pressure drop of a component [Pa]. */
const lossOf = ({ state }: AirHandlerNode, { bypassed, pressure }: ComponentPart): number =>
  state === "bypass" ? (bypassed ?? pressure) : pressure;

/**
 * Pressure drop of a component beside the fan's curve [Pa]: a unit curve was measured with the components that it includes,
 * clean, so these lose only what exceeds that.
 */
const leftToLose = (node: AirHandlerNode, { includes }: StreamPart, one: ComponentPart): number =>
  lossOf(node, one) - (includes?.includes(one.name) ? (one.clean ?? one.pressure) : 0);

/** The fan of a stream as the unit runs it. Its numbers are read when they are asked for: they may change. */
const actingFan = (node: AirHandlerNode, name: StreamName, part: StreamPart, intake: () => AirState): FanPart => {
  const { fan } = part;
  if (node.state === "off") return { ...fan, speed: 0, control: undefined };
  const { frost } = node;
  if (name === "extract" || node.state === "bypass" || frost === undefined || !("reduceSupplyTo" in frost)) return fan;
  return {
    ...fan,
    get speed() {
      return fan.speed * supplyShare(frost, intake());
    },
    get control() {
      return fan.control && slowed(fan.control, supplyShare(frost, intake()));
    },
  };
};

/** Whether its fan or its components change the pressure of the air that passes a stream, at any state of the fan. */
const streamResists = (node: AirHandlerNode, part: StreamPart): boolean =>
  fanResists(node.state === "off" ? { ...part.fan, speed: 0 } : part.fan) ||
  part.components.some((one) => leftToLose(node, part, one) > 0);

/** Faults of a unit's state, exchanger and frost protection. */
const unitProblems = function* (node: AirHandlerNode, { airIn, portDuct }: Surroundings): Generator<ElementProblem> {
  for (const [name, part] of airStreamsOf(node)) {
    if (node.state !== "off" || part.fan.stopped !== undefined) continue;
    const expected = "the loss of the fan while it is stopped, since the unit is off";
    yield { code: "fan.stopped-missing", key: `${name}.fan.stopped`, expected, found: "nothing" };
  }
  if (node.exchanger !== undefined && airStreamsOf(node).length < 2) {
    yield { code: "unit.streams", key: "exchanger", expected: "both streams beside it", found: "one" };
  }
  if (node.frost === undefined) return;
  if (node.supply === undefined) {
    yield { code: "unit.streams", key: "frost", expected: "a supply stream beside it", found: "none" };
    return;
  }
  if ("reduceSupplyTo" in node.frost && node.supply.fan.control?.kind === "pressure") {
    const expected =
      "a supply fan that holds a flow, a balance or nothing, so that a smaller share means less supply air";
    yield { code: "unit.frost-controlled", key: "frost.reduceSupplyTo", expected, found: "one that holds a pressure" };
  }
  const duct = portDuct("intake");
  const intake = duct && airIn(duct);
  if (intake !== undefined && !isKnown(intake)) {
    const expected = "air given by its temperature in the duct at 'intake'";
    yield { code: "unit.air-temperature", key: "frost.below", expected, found: "air given by its density" };
  }
};

const streamProblems = function* (node: AirHandlerNode, name: StreamName, part: StreamPart): Generator<ElementProblem> {
  yield* fanProblems(part.fan, `${name}.fan`);
  const names = new Set<string>();
  for (const [i, one] of part.components.entries()) {
    const key = `${name}.components.${i}`;
    if (names.has(one.name)) {
      const found = `${shown(one.name)} again`;
      yield { code: "name.duplicate", key: `${key}.name`, expected: "a unique name", found };
    }
    names.add(one.name);
    if (one.clean !== undefined && one.clean > one.pressure) {
      const expected = `at most ${one.pressure}, the component's pressure`;
      yield { code: "component.clean-above-pressure", key: `${key}.clean`, expected, found: `${one.clean}` };
    }
    if (
      leftToLose({ ...node, state: "bypass" }, part, one) < 0 &&
      leftToLose({ ...node, state: "on" }, part, one) >= 0
    ) {
      const expected = `at least ${one.clean ?? one.pressure}, its clean loss, which the unit curve contains`;
      yield { code: "component.bypassed-below-clean", key: `${key}.bypassed`, expected, found: `${one.bypassed}` };
    }
  }
  if (part.includes === undefined) return;
  if (part.fan.curve?.of !== "unit") {
    const expected = "a fan curve with of: 'unit' beside 'includes'";
    const found = part.fan.curve === undefined ? "no curve" : "the curve of a fan";
    yield { code: "unit.includes-needs-unit-curve", key: `${name}.includes`, expected, found };
  }
  const few = [...names].slice(0, mostCompared);
  for (const [i, included] of part.includes.entries()) {
    if (names.has(included)) continue;
    const nearest = nearestName(included, few);
    const problem = { code: "reference.component", key: `${name}.includes.${i}`, found: shown(included) };
    const expected = "the name of a component of this stream";
    yield nearest === undefined ? { ...problem, expected } : { ...problem, expected, nearest };
  }
};

export const airHandler: NodeKind<AirHandlerNode> = {
  kind: "airHandler",
  field: exactly<AirHandlerNode, AirHandlerNode<"written">>()(
    about(
      "An air handler, which homes call a ventilation unit: one thing, two words. It has `supply`, `extract` or both.",
      withOneOf(
        object({
          id: id(),
          kind: word("airHandler"),
          ...labels(),
          elevation: elevation(),
          supply: about("From its port `intake` to its port `supply`.", optional(stream)),
          extract: about("From its port `extract` to its port `exhaust`.", optional(stream)),
          state: about(
            "Default: on. In bypass, components lose their `bypassed` pressure and no heat is recovered. Off, both fans are stopped.",
            optional(choice(["on", "bypass", "off"])),
          ),
          exchanger: optional(exchanger),
          frost: optional(frost),
        }),
        ["supply", "extract"],
      ),
    ),
  ),
  ports: (node) => airStreamsOf(node).flatMap(([name]) => streamPorts[name]),
  fans: (node) => airStreamsOf(node).map(([name, part]) => streamOutline(node, name, part)),
  endsPaths: false,
  keeps: true,
  takesOpenings: false,
  air: (_, climate) => climate.network,
  treatment: unitTreatment,
  ductKeys: ["air"],
  reads: (node) => airStreamsOf(node).flatMap(([, { fan }]) => sensorReads(fan)),
  airKeys: ["exchanger", "frost"],
  ends: lossless,
  problems: function* (node, surroundings) {
    for (const [name, part] of airStreamsOf(node)) yield* streamProblems(node, name, part);
    yield* unitProblems(node, surroundings);
  },
  pressure: freePressure,
  links: (node) =>
    airStreamsOf(node).map(([name, part]) => ({
      ...streamOutline(node, name, part),
      resists: streamResists(node, part),
    })),
  provenance: function* (node, _, solution): Generator<Provenance> {
    for (const [name, part] of airStreamsOf(node)) {
      yield* fanProvenance(`${node.id}.${name}`, part.fan, solution);
      for (const i of part.components.keys()) yield givenProvenance(`nodes.${node.id}.${name}.components.${i}`);
    }
    yield* heatProvenance(node.id, node);
  },
  assemble: (node, { points, branches }, assembly) => {
    const streams = airStreamsOf(node).map(([name, part], i) =>
      joinStream(node, name, part, { points: points.slice(2 * i, 2 * i + 2), branches: [branches[i]] }, assembly),
    );
    return {
      refresh: () => {
        for (const one of streams) one.refresh();
      },
      resume: (solution, start) => {
        for (const one of streams) one.resume(solution, start);
      },
      report: (answer, solution) => {
        const result: AirHandlerResult = {};
        const ports: Record<string, { totalPressure: number }> = {};
        for (const one of streams) result[one.name] = one.report(answer, solution, ports);
        solution.nodes[node.id] = { ports };
        solution.airHandlers[node.id] = result;
        summarise(result);
        if (node.state === "off") return;
        warnOfImbalance(node.id, result, solution.warnings);
        const { site } = assembly;
        const airAt = (name: StreamName): AirState | undefined =>
          node[name] === undefined ? undefined : site.airIn(site.placeAt(`${node.id}.${streamPorts[name][0]}`).duct(0));
        const { control } = node.extract?.fan ?? {};
        reportHeat(
          {
            id: node.id,
            bypassed: node.state === "bypass",
            exchanger: node.exchanger,
            frost: node.frost,
            supplyControl: solution.fans[`${node.id}.supply`]?.control,
            extractControl: solution.fans[`${node.id}.extract`]?.control,
            extractFollows: control?.kind === "balance" && control.to === `${node.id}.supply`,
            intake: airAt("supply"),
            extract: airAt("extract"),
          },
          result,
          solution.warnings,
        );
      },
    };
  },
};

const streamOutline = ({ id: unit, state }: AirHandlerNode, name: StreamName, { fanAt }: StreamPart): FanOutline => {
  const [from, to] = streamPorts[name].map((port) => `${unit}.${port}`);
  const at = fanAt === "outlet" ? to : from;
  return { name: `${unit}.${name}`, keys: [name, "fan"], from, to, at, service: name, still: state === "off" };
};

interface RunningStream {
  readonly name: StreamName;
  refresh(): void;
  resume(solution: Solution, start: Answer): void;
  report(answer: Answer, solution: Solution, ports: Record<string, { totalPressure: number }>): StreamResult;
}

const joinStream = (
  node: AirHandlerNode,
  name: StreamName,
  part: StreamPart,
  { points: [inPoint, outPoint], branches: [branch] }: NodeNumbers,
  assembly: Assembly,
): RunningStream => {
  const { site } = assembly;
  const unit = node.id;
  const intake = (): AirState => site.airIn(site.placeAt(`${unit}.intake`).duct(0));
  const running = new FanBlock(actingFan(node, name, part, intake), `${unit}.${name}`, branch, assembly);
  const terms = part.components.map(() => assembly.builder.power(branch));
  const [inPort, outPort] = streamPorts[name];
  const before = site.placeAt(`${unit}.${inPort}`);
  const after = site.placeAt(`${unit}.${outPort}`);
  const air = () => site.airIn((part.fanAt === "outlet" ? after : before).duct(0));

  return {
    name,
    refresh: () => {
      const { equations } = assembly;
      const state = air();
      part.components.forEach((one, i) => {
        const coefficient = ratingCoefficient(one, leftToLose(node, part, one), one.flow, state);
        equations.setPower(terms[i], coefficient, one.exponent);
      });
      equations.setStart(branch, state.density, running.refresh(state));
    },
    resume: ({ fans, nodes }, start) => {
      const known = nodes[unit]?.ports;
      resumePoint(known?.[inPort]?.totalPressure, inPoint, start.pressure);
      resumePoint(known?.[outPort]?.totalPressure, outPoint, start.pressure);
      resumeBranch(fans[`${unit}.${name}`]?.massFlow, branch, start.massFlow);
      running.resume(fans[`${unit}.${name}`], start);
    },
    report: (answer, { fans, warnings }, ports) => {
      const { massFlow, pressure } = answer;
      const m = massFlow[branch];
      const state = air();
      const fanName = `${unit}.${name}`;
      const fan = running.result(answer, warnings);
      fans[fanName] = fan;
      ports[inPort] = { totalPressure: pressure[inPoint] };
      ports[outPort] = { totalPressure: pressure[outPoint] };
      const externalTotalPressure = pressure[outPoint] - pressure[inPoint];
      const result: StreamResult = {
        flow: fan.flow,
        massFlow: m,
        externalTotalPressure,
        externalStaticPressure:
          externalTotalPressure - velocityPressure(after.duct(0), m, site) + velocityPressure(before.duct(0), m, site),
        fanTotalPressure: fan.totalPressure,
        components: part.components.map((one) => ({
          name: one.name,
          flow: fan.flow,
          pressure:
            Math.sign(m) * ratingCoefficient(one, lossOf(node, one), one.flow, state) * Math.abs(m) ** one.exponent + 0,
        })),
        ...(fan.power === undefined ? {} : { power: fan.power }),
        ...(fan.specificFanPower === undefined ? {} : { specificFanPower: fan.specificFanPower }),
      };
      const [first, last] = [before, after].map((place) => site.airIn(place.duct(0)).density);
      if (part.fanAt === undefined && Math.abs(last / first - 1) > densityLimit) {
        const message = `stream '${fanName}' does not say where its fan sits ('fanAt'), and the air before and after it differs: ${first.toFixed(3)} and ${last.toFixed(3)} kg/m³; the fan is assumed to sit at the inlet`;
        warnings.push({ code: "unit.fan-at-missing", path: `nodes.${unit}.${name}.fanAt`, message });
      }
      if (part.fan.curve?.of === "unit" && part.includes === undefined && part.components.length > 0) {
        const message = `stream '${fanName}' does not say which of its components its unit curve contains ('includes', which may be empty); all are assumed to be outside it and to lose their pressure in addition`;
        warnings.push({ code: "unit.includes-missing", path: `nodes.${unit}.${name}.includes`, message });
      }
      return result;
    },
  };
};

const velocityPressure = (duct: Duct, massFlow: number, site: Assembly["site"]): number =>
  (massFlow / ductArea(duct)) ** 2 / (2 * site.airIn(duct).density);

/** Adds all input and what it is over the larger flow of fans that run, where the input is known. */
const addPower = (streams: readonly StreamResult[], result: AirHandlerResult): void => {
  if (streams.some((one) => one.power === undefined)) return;
  result.power = streams.reduce((sum, one) => sum + (one.power ?? 0), 0);
  // Only running fans have a specific power of their own.
  const running = streams.filter((one) => one.specificFanPower !== undefined);
  const specific = specificPower(result.power, Math.max(...running.map((one) => one.massFlow)));
  if (specific !== undefined) result.specificFanPower = specific;
};

/** Adds what concerns both streams of a unit. */
const summarise = (result: AirHandlerResult): void => {
  const streams = [result.supply, result.extract].filter((one) => one !== undefined);
  const largest = Math.max(...streams.map((one) => one.massFlow));
  addPower(streams, result);
  if (result.supply === undefined || result.extract === undefined || !(largest > 0)) return;
  result.massImbalance = (result.supply.massFlow - result.extract.massFlow) / largest;
};

const warnOfImbalance = (
  unit: string,
  { massImbalance: imbalance = 0 }: AirHandlerResult,
  warnings: Solution["warnings"],
): void => {
  if (Math.abs(imbalance) <= balanceLimit) return;
  const more = imbalance > 0 ? "supply exceeds extract" : "extract exceeds supply";
  const message = `unit '${unit}' is out of balance: ${more} by ${(100 * Math.abs(imbalance)).toFixed(1)} % of mass`;
  warnings.push({ code: "unit.imbalance", path: `airHandlers.${unit}.massImbalance`, message });
};
