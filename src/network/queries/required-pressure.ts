import { InputError, problemOf } from "../../core/errors.js";
import { regulatorNeed } from "../../fittings/regulator.js";
import { valueAt } from "../../numerics/interpolation.js";
import { bracketedRoot } from "../../numerics/roots.js";
import { columnAt } from "../elements/element.js";
import type { FanOutline } from "../elements/kinds/kind.js";
import { type TerminalNode, terminalLaw, terminalLoss } from "../elements/kinds/terminal.js";
import { solverOf } from "../equations/solver.js";
import type { Answer } from "../equations/state.js";
import type { RatingPart } from "../format/losses.js";
import type { Elements, Layout } from "../layout/layout.js";
import type { Solution } from "../results/solution.js";
import { assemble, type System } from "../solve/assemble.js";
import { emptySolution, limitsOf, resumed, solveFrom } from "../solve/solve.js";
import { hasReference, mostPressure, sharpened, withFan } from "./fan-demand.js";
import { follow, type PathStep } from "./pressure-path.js";
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

/** Share of its design flow that a terminal may miss until its network is in another state [-] */
const drift = 1e-4;

/** A fan that lets air pass as if it were not there. */
const passage = (flow: number): RatingPart => ({
  pressure: 0,
  pressureKind: "total",
  flow,
  exponent: 2,
  density: 1,
  viscosity: 1,
});

const withPassage = (elements: Elements, fan: FanOutline, held: readonly TerminalNode[]): Elements => {
  const flow = held.reduce((sum, { designFlow = 0 }) => sum + designFlow, 0);
  return withFan(elements, fan, { speed: 0, stopped: passage(flow), setting: undefined, control: undefined });
};

/** A terminal's design mass flow, positive in the direction of its service [kg/s]. */
export const designMass = (layout: Layout, { id, designFlow = 0 }: TerminalNode): number =>
  designFlow * layout.airIn(layout.ductsAt(id)[0]).density;

/** Pressure drop of a terminal at design flow, fully open, with what its regulator needs [Pa]. */
export const openLoss = (layout: Layout, terminal: TerminalNode): number => {
  const { designFlow = 0, regulator } = terminal;
  const ducts = layout.ductsAt(terminal.id);
  const law = terminalLaw(terminal.open ?? terminal.loss, terminal.service, ducts, layout.airIn(ducts[0]));
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
  layout: Layout,
  fan: FanOutline,
  held: readonly TerminalNode[],
  needing: ReadonlySet<string>,
): Design => {
  const inflowOf = (terminal: TerminalNode): number =>
    (terminal.service === "supply" ? -1 : 1) * designMass(layout, terminal);
  const inflows = new Map(held.map((one) => [one.id, inflowOf(one)]));
  const system = assemble(layout.withElements(withPassage(layout.elements, fan, held)), { held: inflows, needing });
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

/** Those that have more with more of the fan's pressure. */
const helped = (state: DesignState, design: Design): readonly Held[] => {
  const raised = design.at(state.pressure + raise, state);
  return state.held.filter((one, i) => raised.held[i].left - one.left > leastGain * raise);
};

/**
 * Terminals whose air passes the fan and which have more with more of its pressure. Some have not: by a bypass or a loop
 * air after a fan comes back before it, and passes it on its way to terminals that lie there.
 */
const served = (state: DesignState, design: Design): readonly Held[] => {
  const passed = passedBy(state.held);
  return passed.every(({ share }) => share > 1 - leastShare) ? passed : passedBy(helped(state, design));
};

const idOf = ({ terminal }: Held): string => terminal.id;

/** What a search has come to. */
interface Sought {
  readonly state: DesignState;
  readonly served: readonly Held[];
  /**
   * Whether the terminals served have just enough in the state, too little or too much at any pressure, or more than enough
   * as soon as its air reaches them, or though it never does.
   */
  readonly end: "enough" | "beyond" | "jump" | "unreached";
  /** Next to a jump, the state below it. */
  readonly below?: DesignState;
  /** At the largest pressure, the terminals that have more with more of it. */
  readonly helped?: readonly Held[];
}

/** What a search has come to that ends at the largest pressure. Where air of the fan goes to no terminal, its pressure may help. */
const atMost = (sought: Sought, design: Design): Sought => {
  const more = helped(sought.state, design);
  if (sought.served.length > 0) return { ...sought, end: "beyond", helped: more };
  return { ...sought, served: more, end: leastLeft(more) >= 0 ? "unreached" : "beyond", helped: more };
};

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
    if (Math.abs(pressure) === mostPressure) return atMost(at(pressure), design);
    step = Math.max(2 * step, Number.isFinite(left) ? Math.abs(left) : firstStep);
    const next = Math.min(Math.max(pressure - Math.sign(left) * step, -mostPressure), mostPressure);
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

type Lost = Pick<PathStep, "path" | "loss">;

const reported = ({ elements }: System, answer: Answer): Solution => {
  const solution = emptySolution({ iterations: 0, massResidual: 0, pressureResidual: 0 });
  elements.reportAll(answer, solution);
  return solution;
};

/** The solution of a state in which terminals are held, whose valves take what is left there. */
export const designSolution = ({ answer, held, system }: DesignState): Solution => {
  const { layout } = system;
  const design = reported(system, answer);
  for (const { terminal, left } of held) {
    const pressureLoss = openLoss(layout, terminal) + left;
    design.terminals[terminal.id] = {
      flow: terminal.designFlow ?? 0,
      massFlow: designMass(layout, terminal),
      pressureLoss,
    };
  }
  return design;
};

/** Where most of what air loses on its largest way through a terminal is lost, and how much [Pa]. */
const dearest = (state: DesignState, terminal: TerminalNode): Lost => {
  const { layout } = state.system;
  const way = follow(layout, designSolution(state), terminal.id, terminal.service === "supply");
  const valve = { path: `terminals.${terminal.id}`, loss: openLoss(layout, terminal) };
  return way.reduce((most: Lost, one) => (one.loss > most.loss ? one : most), valve);
};

const refuseBeyond = (fan: FanOutline, { state, served: counted, helped: more = [] }: Sought): never => {
  const most = `${mostPressure.toExponential()} Pa`;
  if (counted.length === 0) {
    const why = `which gives no terminal connected to it more air, up to ${most}`;
    return refuse(fan, `${why}: check \`service\` of the terminals and the fan's ports`);
  }
  const least = counted.reduce((one, other) => (other.left < one.left ? other : one));
  const { left, terminal } = least;
  const found = `${pascals(left)} ${left < 0 ? "are missing" : "are left"} at its terminal '${terminal.id}'`;
  if (!more.includes(least)) return refuse(fan, `for which at any pressure ${found}: its air is held on the way`);
  if (left >= 0) return refuse(fan, `for which ${most} against its flow are not enough: ${found}`);
  const { path, loss } = dearest(state, terminal);
  return refuse(fan, `for which ${most} are not enough: ${found}; most is lost in '${path}', ${pascals(loss)}`);
};

/** Refuses a fan whose terminals have too much as soon as its air reaches them, or though it does not. */
const refuseNeedless = (fan: FanOutline, { state, served: counted, below = state }: Sought): never => {
  const { pressure } = state;
  const ids = new Set(counted.map(idOf));
  if (!(leastLeft(below.held.filter((one) => ids.has(idOf(one)))) >= -far)) {
    const why = `whose terminals change from too little to too much at once at ${pascals(pressure)}`;
    return refuse(fan, `${why}: what other fans or inflows give them changes there`);
  }
  const helps = `up to there this fan brings them no air of its own, or no more pressure`;
  const at = `at ${pressure.toPrecision(4)} Pa`;
  const found = `'${fan.name}': other fans or inflows give '${[...ids].join("', '")}' their design flow ${at}; ${helps}`;
  throw new InputError([problemOf("fan.not-needed", "fanName", "a fan whose air its terminals need", found)]);
};

/** Whether the same is left at the same terminals. */
const isOne = (one: DesignState, other: DesignState): boolean =>
  one.held.every(({ left }, i) => Math.abs(left - other.held[i].left) <= apart * Math.max(1, Math.abs(one.pressure)));

/**
 * Whether the network stays in a state when valves hold its terminals, as they are then set, in place of their flows. With
 * the terminals free, controllers of other fans may all hold their set values in a state that the solver prefers.
 */
const isHeldByValves = (layout: Layout, fan: FanOutline, state: DesignState, needing: ReadonlySet<string>): boolean => {
  const { answer, held, pressure, system } = state;
  const set = new Map(
    held.map(({ terminal, left }): [string, TerminalNode] => {
      const { density } = system.layout.airIn(system.layout.ductsAt(terminal.id)[0]);
      const loss = {
        ...passage(terminal.designFlow as number),
        pressure: openLoss(system.layout, terminal) + left,
        density,
      };
      return [terminal.id, { ...terminal, loss, regulator: undefined }];
    }),
  );
  const free = withPassage(layout.elements, fan, [...set.values()]);
  const nodes = free.nodes.map((node) => set.get(node.id) ?? node);
  const balanced = assemble(layout.withElements({ ...free, nodes }), { needing });
  balanced.equations.setOffset(balanced.fans.get(fan.name) as number, -pressure);
  const solver = solverOf(balanced.equations);
  solveFrom(solver, resumed(balanced, reported(system, answer)), limitsOf());
  const { terminals } = reported(balanced, solver);
  return [...set.keys()].every((id) => Math.abs((terminals[id].ratio as number) - 1) <= drift);
};

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
export const requiredState = (layout: Layout, fan: FanOutline, joined: readonly TerminalNode[]): DesignState => {
  const held = new Following(new Set(joined.map(({ id }) => id)));
  const regulated = layout.elements.ducts.filter(({ fittings }) => fittings.some(({ kind }) => kind === "regulator"));
  const needing = new Following(new Set(regulated.map(({ id }) => id)));
  for (;;) {
    const holding = joined.filter(({ id }) => held.members.has(id));
    const design = designOf(layout, fan, holding, needing.members);
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
    // A search follows one state from pressure to pressure; what it says is to hold in the state of a cold start too.
    const { below = state } = sought;
    const isOnly = isOne(below, design.at(below.pressure));
    if (isOnly && end !== "enough") refuseNeedless(fan, sought);
    const isControlled = system.equations.controls.length > 0;
    if (!isOnly || (isControlled && !isHeldByValves(layout, fan, state, needing.members))) {
      refuse(fan, `with which the network has more than one state at ${pascals(below.pressure)}`);
    }
    return state;
  }
};

/** Of the terminals that count where a search has come to its end, those that lack pressure. */
const lacking = ({ served: counted }: Sought): Set<string> => new Set(counted.filter(({ left }) => left < 0).map(idOf));
