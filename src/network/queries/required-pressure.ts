import { InputError, problemOf } from "../../core/errors.js";
import { regulatorNeed } from "../../fittings/regulator.js";
import { valueAt } from "../../numerics/interpolation.js";
import { bracketedRoot } from "../../numerics/roots.js";
import type { Network } from "../document/document.js";
import { columnAt } from "../elements/element.js";
import type { FanOutline } from "../elements/kinds/kind.js";
import { type TerminalNode, terminalLaw, terminalLoss } from "../elements/kinds/terminal.js";
import { solverOf } from "../equations/solver.js";
import type { Answer } from "../equations/state.js";
import type { RatingPart } from "../format/parts.js";
import { Layout } from "../layout/layout.js";
import { assemble, type System } from "../solve/assemble.js";
import { limitsOf, solveFrom } from "../solve/solve.js";
import { hasReference, mostPressure, sharpened, withFan } from "./fan-demand.js";
import { ductsOnWay, type FanAir, fanAirIn, leastShare, shareOf } from "./served.js";

/** A terminal at its design flow. */
export interface Held {
  readonly terminal: TerminalNode;
  /** Of its air, what passes the fan [-] */
  readonly share: number;
  /** Of the pressure at it, what its open valve does not take at design flow [Pa] */
  readonly left: number;
}

/** A network in which one fan gives a pressure at any flow, and terminals are held at their design flows. */
export interface DesignState {
  readonly system: System;
  /** Branch of the fan. */
  readonly branch: number;
  /** [Pa] */
  readonly pressure: number;
  readonly answer: Answer;
  readonly air: FanAir;
  readonly held: readonly Held[];
}

/** How near to 0 what is left at the index terminal is brought, and from where on the search has failed [Pa] */
const close = 1e-8;
const far = 1e-5;
/** First step of the search where nothing says how far to go [Pa] */
const firstStep = 100;
/** How far a pressure is raised to see where it arrives [Pa], and share of it that has arrived somewhere then [-] */
const raise = 1;
const leastGain = 1e-4;
/** Difference in what is left, as a share of the pressure or in Pa, from which two states are not one [-] */
const apart = 1e-6;

/** A fan that lets air pass as if it were not there. */
const passage = (flow: number): RatingPart => ({
  pressure: 0,
  pressureKind: "total",
  flow,
  exponent: 2,
  density: 1,
  viscosity: 1,
});

/** A terminal's design mass flow, positive in the direction of its service [kg/s]. */
const designMass = (layout: Layout, { id, designFlow = 0 }: TerminalNode): number =>
  designFlow * layout.airIn(layout.ductsAt(id)[0]).density;

/** What a terminal loses at design flow, fully open, with what its regulator needs [Pa]. */
export const openLoss = (layout: Layout, terminal: TerminalNode): number => {
  const { designFlow = 0, regulator } = terminal;
  const law = terminalLaw(terminal.open ?? terminal.loss, terminal.service, layout.ductsAt(terminal.id), layout);
  const held = regulator === undefined ? 0 : valueAt(regulatorNeed(regulator), designFlow);
  return terminalLoss(law, designMass(layout, terminal)) + held;
};

const refuse = ({ name }: FanOutline, why: string): never => {
  const expected = "a fan that gives its terminals their design flow at some pressure";
  throw new InputError([problemOf("fan.no-required-pressure", "fanName", expected, `'${name}', ${why}`)]);
};

/** Those whose air passes the fan. */
const passedBy = (terminals: readonly Held[]): readonly Held[] => terminals.filter(({ share }) => share > leastShare);

/** What is left at the terminal that has least of a pressure; there is never enough for none. */
const leastLeft = (terminals: readonly Held[]): number =>
  terminals.length === 0 ? Number.NEGATIVE_INFINITY : Math.min(...terminals.map(({ left }) => left));

/** A network with terminals held at their design flows, ready to be solved with any pressure of its fan. */
interface Design {
  /** The state at a pressure of the fan [Pa], from another or found from a cold start. */
  at(pressure: number, near?: DesignState): DesignState;
}

const designOf = (
  network: Network,
  fan: FanOutline,
  held: readonly TerminalNode[],
  needing: ReadonlySet<string>,
): Design => {
  const layout = new Layout(network);
  const inflowOf = (terminal: TerminalNode): number =>
    (terminal.service === "supply" ? -1 : 1) * designMass(layout, terminal);
  const flow = held.reduce((sum, { designFlow = 0 }) => sum + designFlow, 0);
  const open = withFan(network, fan, { speed: 0, stopped: passage(flow), setting: undefined, control: undefined });
  const system = assemble(open, { held: new Map(held.map((one) => [one.id, inflowOf(one)])), needing });
  const { equations } = system;
  const branch = system.fans.get(fan.name) as number;
  if (!hasReference(equations, equations.from[branch])) {
    refuse(fan, "whose air is all held by terminals upstream and downstream, so nothing sets the pressure there");
  }
  /** What is left of a pressure at a terminal. */
  const leftAt = held.map((terminal): ((pressure: Float64Array) => number) => {
    const { elevation, id, room, service } = terminal;
    const loss = openLoss(layout, terminal);
    const { point } = layout.placeAt(id);
    const roomPoint = room === undefined ? 0 : layout.placeAt(room).point;
    const column = room === undefined ? 0 : columnAt(layout, room, elevation);
    return (pressure) => {
      const faced = room === undefined ? 0 : pressure[roomPoint] - column;
      return (service === "supply" ? pressure[point] - faced : faced - pressure[point]) - loss;
    };
  });
  const solver = solverOf(equations);
  return {
    at: (pressure, near) => {
      equations.setOffset(branch, -pressure);
      solveFrom(solver, near?.answer, limitsOf());
      const answer = sharpened(solver);
      const air = fanAirIn(system, answer.massFlow, branch);
      const found = held.map((terminal, i) => ({
        terminal,
        share: shareOf(system, air, terminal),
        left: leftAt[i](answer.pressure),
      }));
      return { system, branch, pressure, answer, air, held: found };
    },
  };
};

/**
 * Terminals whose air passes the fan and which have more with more of its pressure. Some have not: by a bypass or a loop
 * air behind a fan comes back before it, and passes it on its way to terminals that lie there.
 */
const served = (state: DesignState, design: Design): readonly Held[] => {
  const passed = passedBy(state.held);
  if (passed.every(({ share }) => share > 1 - leastShare)) return passed;
  const raised = design.at(state.pressure + raise, state);
  const more = new Set(raised.held.filter((one, i) => one.left - state.held[i].left > leastGain * raise).map(idOf));
  return passed.filter((one) => more.has(idOf(one)));
};

const idOf = ({ terminal }: Held): string => terminal.id;

/** What a search has come to. */
interface Sought {
  readonly state: DesignState;
  readonly served: readonly Held[];
  /** Whether the terminals served have just enough in the state, not enough, or more than that as soon as its air reaches them. */
  readonly end: "enough" | "beyond" | "jump";
  /** Next to a jump, the state below it. */
  readonly below?: DesignState;
}

/** The pressure of the fan at which open valves leave nothing at one of the terminals served and enough at all others. */
const search = (design: Design): Sought => {
  const known = new Map<number, Sought>();
  let last: DesignState | undefined;
  const at = (pressure: number): Sought => known.get(pressure) as Sought;
  const leftAt = (pressure: number): number => {
    if (!known.has(pressure)) {
      last = design.at(pressure, last);
      known.set(pressure, { state: last, served: served(last, design), end: "enough" });
    }
    const left = leastLeft(at(pressure).served);
    return Math.abs(left) <= close ? 0 : left;
  };
  // Without another way for the air all of a change arrives at the terminals, and the first step ends the search.
  let pressure = 0;
  let left = leftAt(pressure);
  for (let step = 0; left !== 0; ) {
    step = Math.max(2 * step, Number.isFinite(left) ? Math.abs(left) : firstStep);
    const next = pressure - Math.sign(left) * step;
    if (Math.abs(next) > mostPressure) return { ...at(pressure), end: "beyond" };
    const there = leftAt(next);
    if (left * there < 0) {
      pressure = bracketedRoot(leftAt, pressure, next) as number;
      break;
    }
    [pressure, left] = [next, there];
  }
  if (Math.abs(leftAt(pressure)) <= far) return at(pressure);
  // It goes over from too little to too much at once; the terminals that count are those that then have enough.
  const nearest = (enough: boolean): Sought => {
    const side = [...known.keys()].filter((one) => leftAt(one) > 0 === enough);
    return at(side.reduce((best, one) => (Math.abs(one - pressure) < Math.abs(best - pressure) ? one : best)));
  };
  return { ...nearest(true), end: "jump", below: nearest(false).state };
};

const pascals = (pressure: number): string => `${Math.abs(pressure).toPrecision(4)} Pa`;

const refuseBeyond = (fan: FanOutline, { state: { pressure }, served: counted }: Sought): never => {
  const given = `at ${pascals(pressure)}${pressure < 0 ? " against its flow" : ""}`;
  if (counted.length === 0) return refuse(fan, `which ${given} still gives no more to any terminal joined to it`);
  const least = counted.reduce((one, other) => (other.left < one.left ? other : one));
  const found = `${pascals(least.left)} ${least.left < 0 ? "are missing" : "are left"}`;
  return refuse(fan, `at whose terminal '${least.terminal.id}' ${found} even ${given}`);
};

/** Refuses a fan whose terminals have too much as soon as its air reaches them. */
const refuseJump = (fan: FanOutline, { state, served: counted, below }: Sought): never => {
  const { pressure } = state;
  const ids = new Set(counted.map(idOf));
  if (!(leastLeft((below as DesignState).held.filter((one) => ids.has(idOf(one)))) >= -far)) {
    const why = `whose terminals change from too little to too much at once at ${pascals(pressure)}`;
    return refuse(fan, `${why}: other fans change their state there`);
  }
  const helps = `up to ${pressure.toPrecision(4)} Pa this fan brings them no air, or no more pressure`;
  const found = `'${fan.name}': without it, other fans give '${[...ids].join("', '")}' their design flow; ${helps}`;
  throw new InputError([problemOf("fan.not-needed", "fanName", "a fan whose air its terminals need", found)]);
};

/** Whether the same is left at the same terminals. */
const isOne = (one: DesignState, other: DesignState): boolean =>
  one.held.every(({ left }, i) => Math.abs(left - other.held[i].left) <= apart * Math.max(1, Math.abs(one.pressure)));

/** Refuses design flows that leave another fan's controller nothing to hold. */
const requireChoice = (fan: FanOutline, { equations }: System): void => {
  for (const [c, { fan: other, pressures }] of equations.controls.entries()) {
    const branch = equations.controlBranch(c);
    const isFree = [equations.from[branch], equations.to[branch]].every((end) => hasReference(equations, end, branch));
    if (pressures.length > 0 || isFree) continue;
    refuse(fan, `whose terminals' design flows already fix the flow of '${other}', which has a controller for it`);
  }
};

/** A set that follows what is wanted of it: what has left it may come back once, so that it comes to rest. */
class Following {
  private readonly back = new Set<string>();

  constructor(private now: ReadonlySet<string>) {}

  get members(): ReadonlySet<string> {
    return this.now;
  }

  /** Whether one has come back already. */
  isBack(id: string): boolean {
    return this.back.has(id);
  }

  /** Takes on what is wanted; whether anything has changed. */
  follow(wanted: ReadonlySet<string>): boolean {
    const returning = [...wanted].filter((id) => !this.now.has(id) && !this.back.has(id));
    const next = new Set([...[...this.now].filter((id) => wanted.has(id)), ...returning]);
    for (const id of returning) this.back.add(id);
    const isChanged = returning.length > 0 || next.size < this.now.size;
    this.now = next;
    return isChanged;
  }
}

/**
 * The state at the pressure that a fan needs.
 *
 * Which terminals a fan serves shows only once they are held, and which are to be held depends on which it serves. So all
 * that are joined to it are held first, and all regulators count with what they need; those that its air turns out not to
 * serve, or that lack pressure however much it gives, are let go; those that its air reaches all the same are taken
 * back; and the rest is sought again until nothing changes. Each comes back once at most, so each changes sides three times
 * at most.
 *
 * @param joined - With design flows.
 * @throws InputError `fan.no-required-pressure`, `fan.not-needed`, SolveError.
 */
export const requiredState = (network: Network, fan: FanOutline, joined: readonly TerminalNode[]): DesignState => {
  const held = new Following(new Set(joined.map(({ id }) => id)));
  const regulated = network.ducts.filter(({ fittings }) => fittings.some(({ kind }) => kind === "regulator"));
  const needing = new Following(new Set(regulated.map(({ id }) => id)));
  for (;;) {
    const holding = joined.filter(({ id }) => held.members.has(id));
    const design = designOf(network, fan, holding, needing.members);
    const sought = search(design);
    const { state, end } = sought;
    const { air, answer, system } = state;
    if (end === "beyond") {
      const hopeless = lacking(sought);
      const left = new Set([...held.members].filter((id) => !hopeless.has(id)));
      if (hopeless.size === 0 || left.size === 0 || [...hopeless].some((id) => held.isBack(id))) {
        requireChoice(fan, system);
        refuseBeyond(fan, sought);
      }
      held.follow(left);
      continue;
    }
    const kept = sought.served.map(({ terminal }) => terminal);
    const reached = joined
      .filter(({ id }) => !held.members.has(id))
      .filter((one) => shareOf(system, air, one) > leastShare);
    const onWay = ductsOnWay(system, answer.massFlow, air, kept);
    const isMoved = held.follow(new Set([...kept, ...reached].map(({ id }) => id)));
    const isTurned = needing.follow(new Set(regulated.map(({ id }) => id).filter((duct) => onWay.has(duct))));
    if (isMoved || isTurned) continue;
    requireChoice(fan, system);
    if (end === "jump") refuseJump(fan, sought);
    if (!isOne(state, design.at(state.pressure))) {
      refuse(fan, `with which the network has more than one state at ${pascals(state.pressure)}`);
    }
    return state;
  }
};

/** Of the terminals that count where a search has come to its end, those that lack pressure. */
const lacking = ({ served: counted }: Sought): Set<string> => new Set(counted.filter(({ left }) => left < 0).map(idOf));
