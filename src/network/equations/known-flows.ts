import type { ControlGroup } from "./control-groups.js";
import type { Equations } from "./equations.js";
import { pressureTolerance } from "./gradient-solver.js";
import { pressureAtSpeed, pressureSpan } from "./pressure-spans.js";
import type { Answer } from "./state.js";

/** Share of the products of pressures and flows that counts as rounding [-] */
const rounding = 1e-6;

/**
 * The mass flows of a group's fans in any state that holds all its set values [kg/s], by member; undefined where these do not
 * follow from the set values: where a pressure is held, or a balance to a fan whose flow is not held.
 */
export const heldFlows = ({ members }: ControlGroup, equations: Equations): Float64Array | undefined => {
  const known = new Map<number, number>();
  let before = -1;
  while (known.size > before) {
    before = known.size;
    for (const c of members) {
      const { pressures, flows, set } = equations.controls[c];
      const own = equations.controlBranch(c);
      const others = flows.filter(({ branch }) => branch !== own);
      const weight = flows.reduce((sum, flow) => (flow.branch === own ? sum + flow.weight : sum), 0);
      if (pressures.length > 0 || weight === 0 || !others.every(({ branch }) => known.has(branch))) continue;
      const rest = others.reduce((sum, flow) => sum + flow.weight * (known.get(flow.branch) as number), 0);
      known.set(own, (set - rest) / weight);
    }
  }
  if (known.size < members.length) return undefined;
  return Float64Array.from(members, (c) => known.get(equations.controlBranch(c)) as number);
};

/** All flows that follow from some of them by the balance of points, the others as they are; and which those are. */
const followed = (
  known: ReadonlyMap<number, number>,
  { branches, freeIndex, from, inflow, points, to }: Equations,
  massFlow: Float64Array,
): { readonly flows: Float64Array; readonly isKnown: Uint8Array } => {
  const flows = massFlow.slice();
  const isKnown = new Uint8Array(branches);
  const at: number[][] = Array.from({ length: points }, () => []);
  for (let e = 0; e < branches; e++) {
    at[from[e]].push(e);
    at[to[e]].push(e);
  }
  const waiting: number[] = [];
  const learn = (e: number, flow: number): void => {
    flows[e] = flow;
    isKnown[e] = 1;
    waiting.push(from[e], to[e]);
  };
  for (const [e, flow] of known) learn(e, flow);
  for (let point = waiting.pop(); point !== undefined; point = waiting.pop()) {
    const unknown = at[point].filter((e) => isKnown[e] === 0);
    if (freeIndex[point] < 0 || unknown.length !== 1) continue;
    let surplus = inflow[point];
    for (const e of at[point]) {
      if (isKnown[e] === 0) continue;
      if (to[e] === point) surplus += flows[e];
      if (from[e] === point) surplus -= flows[e];
    }
    const [e] = unknown;
    if (from[e] !== to[e]) learn(e, from[e] === point ? surplus : -surplus);
  }
  return { flows, isKnown };
};

/**
 * Whether no state beside an answer holds all set values of a group whose flows such a state would have, as `heldFlows`
 * gives them, in a network where the losses of all branches rise with their flows. Says no where it cannot tell. Evaluates
 * the equations elsewhere than in the answer.
 *
 * Between two states of one network, differences of pressures and of flows, multiplied and summed over all branches, give
 * zero: Σ Δp·Δm, what controlled fans add, is Σ Δh·Δm, which all others lose. No term of the latter is negative where losses
 * rise; the terms of branches whose flows follow from the set values are computed. Where even the most favourable speeds leave
 * the former smaller, by more than two answers may miss the laws of branches, there is no such state. `pressureSpan` says
 * how strict that is for a fan between curves at several speeds.
 *
 * Source: Tellegen's theorem, as used for the uniqueness of answers of networks of rising laws (memory).
 */
export const cannotBeHeld = (
  { members }: ControlGroup,
  held: Float64Array,
  equations: Equations,
  { massFlow, speed }: Pick<Answer, "massFlow" | "speed">,
): boolean => {
  const fans = Array.from(members, (c) => equations.controlBranch(c));
  const { flows, isKnown } = followed(new Map(fans.map((fan, i) => [fan, held[i]])), equations, massFlow);
  const [here, there, slope] = [0, 1, 2].map(() => new Float64Array(equations.branches));
  equations.evaluate(massFlow, here, slope);
  equations.evaluate(flows, there, slope);
  let most = 0;
  let uncertain = 0;
  const add = (pressure: number, change: number): void => {
    most += pressure * change;
    uncertain += (rounding * Math.abs(pressure) + 2 * pressureTolerance) * Math.abs(change);
  };
  for (let e = 0; e < flows.length; e++) if (isKnown[e] === 1) add(there[e] - here[e], massFlow[e] - flows[e]);
  members.forEach((c, i) => {
    const control = equations.controls[c];
    const change = massFlow[fans[i]] - held[i];
    // `there` has the fan at the speed of the answer; at another it may add less or more.
    const [least, largest] = pressureSpan(control, held[i]);
    add(pressureAtSpeed(control, speed[c], held[i]) - (change > 0 ? least : largest), change);
  });
  return most < -uncertain;
};
