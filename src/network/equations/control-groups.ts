import { DisjointSets } from "../../numerics/disjoint-sets.js";
import { type FewEntries, Responses } from "../../numerics/responses.js";
import type { Equations } from "./equations.js";
import type { Solver } from "./gradient-solver.js";
import type { ControlTerm } from "./terms.js";

/** Share of the terms of a response below which it cannot be told from none [-] */
const rounding = 1e-9;

/** The derivatives of a controller's reading by the flows and pressures of a network, near a state. */
class ReadingDerivatives {
  /** Branches whose flows it reads, or in which it reads a velocity pressure. */
  readonly branches: Int32Array;
  /** By how much the reading changes with the flow in each. */
  readonly byFlow: Float64Array;
  /** The reading as a sum over pressures at free points: two for each branch, then those that it reads themselves. */
  readonly entries: FewEntries;

  constructor(
    private readonly equations: Equations,
    private readonly control: number,
  ) {
    const { from, to, freeIndex } = equations;
    const { flows, pressures } = this.term;
    const heads = pressures.flatMap(({ head }) => (head === undefined ? [] : [head.branch]));
    this.branches = Int32Array.from([...flows.map(({ branch }) => branch), ...heads]);
    this.byFlow = new Float64Array(this.branches.length);
    const ends = Array.from(this.branches, (branch) => [from[branch], to[branch]]).flat();
    const points = [...ends, ...pressures.map(({ point }) => point)];
    this.entries = {
      nodes: Int32Array.from(points, (point) => freeIndex[point]),
      values: new Float64Array(points.length),
    };
  }

  private get term(): ControlTerm {
    return this.equations.controls[this.control];
  }

  /** Takes on the state where the network's factors hold. */
  refresh({ conductance, massFlow }: Solver): void {
    const { branches, byFlow, entries } = this;
    const { flows, pressures } = this.term;
    let at = 0;
    for (const { weight } of flows) byFlow[at++] = weight;
    for (const { head, weight } of pressures) {
      if (head === undefined) continue;
      const m = massFlow[head.branch];
      byFlow[at++] = -2 * weight * (m >= 0 ? head.forward : head.backward) * m;
    }
    at = 0;
    for (let i = 0; i < branches.length; i++) {
      const weight = byFlow[i] * conductance[branches[i]];
      entries.values[at++] = weight;
      entries.values[at++] = -weight;
    }
    for (const { weight } of pressures) entries.values[at++] = weight;
  }

  /** The change of the reading along a step of the network, to first order. */
  directionalDerivative({ step, change }: Solver): number {
    const { branches, byFlow, entries } = this;
    let sum = 0;
    for (let i = 0; i < branches.length; i++) sum += byFlow[i] * step[branches[i]];
    for (let e = 2 * branches.length; e < entries.nodes.length; e++) {
      if (entries.nodes[e] >= 0) sum += entries.values[e] * change[entries.nodes[e]];
    }
    return sum;
  }
}

/** Controllers whose fans and sensors hang together, apart from all others. */
export class ControlGroup {
  /** Limit state of each member in the last step: −1 at its lower limit, 1 at its upper one, 0 between. */
  readonly limitState: Int8Array;
  private readonly derivatives: readonly ReadingDerivatives[];
  private readonly fans: Int32Array;
  private readonly sources: readonly FewEntries[];
  private readonly responses: Responses;

  /** @param members - Positions of its controllers, rising. */
  constructor(
    private readonly network: Solver,
    equations: Equations,
    readonly members: readonly number[],
  ) {
    const { from, to, freeIndex } = equations;
    this.limitState = new Int8Array(members.length);
    this.derivatives = members.map((control) => new ReadingDerivatives(equations, control));
    this.fans = Int32Array.from(members, (control) => equations.controlBranch(control));
    this.sources = Array.from(this.fans, (fan) => ({
      nodes: Int32Array.of(freeIndex[from[fan]], freeIndex[to[fan]]),
      values: new Float64Array(2),
    }));
    this.responses = new Responses(
      network.lastFactors,
      this.sources,
      this.derivatives.map(({ entries }) => entries),
    );
  }

  /** What each member reads for a pressure of 1 Pa that each of their fans adds, by rows, where the network's factors hold. */
  readings(): Float64Array {
    const { derivatives, fans, network, responses, sources } = this;
    const { conductance } = network;
    for (let k = 0; k < fans.length; k++) {
      sources[k].values[0] = -conductance[fans[k]];
      sources[k].values[1] = conductance[fans[k]];
    }
    for (const derivative of derivatives) derivative.refresh(network);
    responses.compute();
    const { matrix, terms } = responses;
    for (let c = 0; c < derivatives.length; c++) {
      const { branches, byFlow } = derivatives[c];
      for (let i = 0; i < branches.length; i++) {
        const k = fans.indexOf(branches[i]);
        if (k < 0) continue;
        const driven = byFlow[i] * conductance[branches[i]];
        matrix[c * fans.length + k] += driven;
        if (k === c) terms[c] += Math.abs(driven);
      }
    }
    return matrix;
  }

  /** Whether a member's reading responds to its own fan by more than rounding, after `readings`. */
  responds(member: number): boolean {
    const { matrix, terms } = this.responses;
    return Math.abs(matrix[member * this.fans.length + member]) > rounding * terms[member];
  }

  /** The change of a member's reading along the network's last step, to first order, after `readings`. */
  directionalDerivative(member: number): number {
    return this.derivatives[member].directionalDerivative(this.network);
  }
}

/** The controllers of a network in groups: within a group they may affect one another, across groups they cannot. */
export const controlGroups = (network: Solver, equations: Equations): ControlGroup[] => {
  const { controls, freeIndex, from, freePoints, to } = equations;
  // A set for each free point; one more for each controller.
  const sets = new DisjointSets(freePoints.length + controls.length);
  for (let e = 0; e < from.length; e++) {
    const [i, j] = [freeIndex[from[e]], freeIndex[to[e]]];
    if (i >= 0 && j >= 0) sets.join(i, j);
  }
  const joinBranch = (control: number, branch: number): void => {
    for (const point of [from[branch], to[branch]]) joinPoint(control, point);
  };
  const joinPoint = (control: number, point: number): void => {
    if (freeIndex[point] >= 0) sets.join(freePoints.length + control, freeIndex[point]);
  };
  controls.forEach(({ flows, pressures }, control) => {
    joinBranch(control, equations.controlBranch(control));
    for (const { branch } of flows) joinBranch(control, branch);
    for (const { head, point } of pressures) {
      joinPoint(control, point);
      if (head !== undefined) joinBranch(control, head.branch);
    }
  });
  const groups = new Map<number, number[]>();
  controls.forEach((_, control) => {
    const leader = sets.leaderOf(freePoints.length + control);
    const group = groups.get(leader);
    if (group === undefined) groups.set(leader, [control]);
    else group.push(control);
  });
  return [...groups.values()].map((members) => new ControlGroup(network, equations, members));
};
