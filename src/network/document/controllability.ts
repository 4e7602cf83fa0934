import { dependentRows, drawn, ModularLaplacian, minus, prime, residueOf, times } from "../../numerics/modular.js";
import type { FanOutline } from "../elements/kinds/kind.js";
import type { ControlPart, SensorPart } from "../format/control.js";
import type { Duct, Opening } from "../format/elements.js";
import type { Layout } from "../layout/layout.js";

/** A fan with its controller. */
export interface ControlledFan {
  readonly fan: FanOutline;
  readonly control: ControlPart;
}

/** What controllers cannot do, by their positions. */
export interface Helpless {
  /** Those whose own fan does not change what they read. */
  readonly without: readonly number[];
  /** Sets of others whose readings follow from each other. */
  readonly together: readonly (readonly number[])[];
}

/** Stands for all places of given pressure: no fan changes them. */
const ground = -1;
/** Draws of resistances: the first two that are of use count. */
const draws: readonly number[] = [1, 2, 3, 4, 5, 6];
/** Draws of the velocity heads of sensors in ducts, kept apart from those. */
const headDraws = 1000;

/** Whether air loses anything between the place where a duct ends and a sensor inside it, whichever way it flows. */
export const losesBefore = (layout: Layout, duct: Duct, at: "inlet" | "outlet"): boolean => {
  const place = layout.connectivity.names.get(at === "inlet" ? duct.from : duct.to) as number;
  return layout.entryAt(place, duct) + layout.exitAt(place, duct) > 0;
};

/** The network when one fan pushes: pressures at its free places, flows in its branches. */
interface Response {
  readonly pressure: Float64Array;
  flow(branch: number): number;
}

/**
 * A network of the same connections with resistances drawn by chance. What does not change there, or always changes
 * together, does so for any resistances, but for a chance of one in millions which a second draw takes away.
 * It is reckoned in whole numbers modulo a prime, for which 0 is 0 however far a sensor stands from a fan.
 *
 * Source: Schwartz, Fast probabilistic algorithms for verification of polynomial identities, J. ACM 27 (1980) (memory).
 */
class DrawnNetwork {
  private readonly from: number[] = [];
  private readonly to: number[] = [];
  /** Number of each place among the free ones. */
  private readonly free: Int32Array;
  private readonly count: number;
  private readonly fans = new Map<string, number>();
  /** Positions of ducts; their branches stand together. */
  private readonly ducts = new Map<string, number>();
  private readonly firstDuct: number;
  private readonly laplacian: ModularLaplacian;
  private weight = new Float64Array(0);
  private draw = 0;

  constructor(
    private readonly layout: Layout,
    openings: readonly Opening[],
  ) {
    const { nodes, ducts } = layout.elements;
    const { kinds, nodeOf } = layout.connectivity;
    this.free = new Int32Array(nodeOf.length);
    let count = 0;
    for (let place = 0; place < nodeOf.length; place++) {
      const node = nodeOf[place];
      this.free[place] = kinds[node].pressure(nodes[node]) === undefined ? count++ : ground;
    }
    this.count = count;
    nodes.forEach((node, n) => {
      for (const { from, to } of kinds[n].links(node)) {
        const fan = kinds[n].fans(node).find((one) => one.from === from && one.to === to);
        const branch = this.join(from, to);
        if (fan !== undefined) this.fans.set(fan.name, branch);
      }
    });
    this.firstDuct = this.from.length;
    ducts.forEach(({ id, from, to }, position) => {
      this.join(from, to);
      this.ducts.set(id, position);
    });
    for (const { from, to } of openings) this.join(from, to);
    this.laplacian = new ModularLaplacian(count, Int32Array.from(this.from), Int32Array.from(this.to));
  }

  private join(from: string, to: string): number {
    this.from.push(this.freeAt(from));
    return this.to.push(this.freeAt(to)) - 1;
  }

  private freeAt(end: string): number {
    const place = this.layout.connectivity.names.get(end);
    return place === undefined ? ground : this.free[place];
  }

  /** What each controller reads when each of their fans pushes; undefined where a draw is of no use. */
  readings(controlled: readonly ControlledFan[], draw: number): Readings | undefined {
    this.draw = draw;
    this.weight = Float64Array.from(this.from, (_, branch) => drawn(draw, branch));
    if (!this.laplacian.factor(this.weight)) return undefined;
    const responses = controlled.map(({ fan }) => this.responseTo(this.fans.get(fan.name) as number));
    return {
      rows: controlled.map((one) => responses.map((response) => this.read(one, response))),
      apart: controlled.map(({ fan, control }) => {
        if (control.kind !== "balance") return true;
        return responses.some((response) => this.difference(fan.name, control.to, 1, response) !== 0);
      }),
    };
  }

  /**
   * Whether pressures that are held, and flows that are held or balanced, depend on no other of them: then balances can be
   * held at any ratios.
   */
  leavesRatiosFree(controlled: readonly ControlledFan[], draw: number): boolean {
    this.draw = draw;
    this.weight = Float64Array.from(this.from, (_, branch) => drawn(draw, branch));
    if (!this.laplacian.factor(this.weight)) return false;
    const moved = controlled.flatMap(({ control, fan }) => {
      if (control.kind === "pressure") return [];
      return control.kind === "balance" ? [fan.name, control.to] : [fan.name];
    });
    const branches = [...new Set(moved)].map((fan) => this.fans.get(fan) as number);
    const pushing = new Set([...branches, ...controlled.map(({ fan }) => this.fans.get(fan.name) as number)]);
    const responses = Array.from(pushing, (fan) => this.responseTo(fan));
    const held = controlled.filter(({ control }) => control.kind === "pressure");
    const rows = [
      ...held.map((one) => responses.map((response) => this.read(one, response))),
      ...branches.map((branch) => responses.map(({ flow }) => flow(branch))),
    ];
    return rows.every((row) => row.some((value) => value !== 0)) && dependentRows(rows).length === 0;
  }

  private responseTo(fan: number): Response {
    const { from, to, weight } = this;
    const push = new Float64Array(this.count);
    if (to[fan] !== ground) push[to[fan]] = weight[fan];
    if (from[fan] !== ground) push[from[fan]] = minus(push[from[fan]], weight[fan]);
    const pressure = this.laplacian.solve(push);
    const at = (place: number): number => (place === ground ? 0 : pressure[place]);
    const flow = (branch: number): number => {
      const driven = times(weight[branch], minus(at(from[branch]), at(to[branch])));
      return branch === fan ? (driven + weight[fan]) % prime : driven;
    };
    return { pressure, flow };
  }

  private read({ fan, control }: ControlledFan, response: Response): number {
    if (control.kind === "flow") return response.flow(this.fans.get(fan.name) as number);
    if (control.kind === "balance") return this.difference(fan.name, control.to, control.ratio, response);
    const { sensor, against, pressureKind } = control;
    const sensed = this.readingOf(sensor, pressureKind, response);
    return against === undefined ? sensed : minus(sensed, this.readingOf(against, pressureKind, response));
  }

  private difference(fan: string, other: string, ratio: number, { flow }: Response): number {
    const share = times(residueOf(ratio), flow(this.fans.get(other) as number));
    return minus(flow(this.fans.get(fan) as number), share);
  }

  private readingOf(sensor: SensorPart, kind: "static" | "total", { flow, pressure }: Response): number {
    if ("node" in sensor) return this.pressureAt(sensor.node, pressure);
    const position = this.ducts.get(sensor.duct) as number;
    const duct = this.layout.elements.ducts[position];
    const end = sensor.at === "inlet" ? duct.from : duct.to;
    const here = this.pressureAt(end, pressure);
    if (kind === "total" && !losesBefore(this.layout, duct, sensor.at)) return here;
    const head = drawn(headDraws + this.draw, 2 * position + (sensor.at === "inlet" ? 0 : 1));
    return minus(here, times(head, flow(this.firstDuct + position)));
  }

  private pressureAt(end: string, pressure: Float64Array): number {
    const place = this.freeAt(end);
    return place === ground ? 0 : pressure[place];
  }
}

interface Readings {
  /** By controller and by fan. */
  readonly rows: readonly (readonly number[])[];
  /** Whether a fan and the one that it is balanced to can have different flows. */
  readonly apart: readonly boolean[];
}

/** What controllers cannot do in a network that is otherwise right. */
export const helplessControllers = (
  layout: Layout,
  openings: readonly Opening[],
  controlled: readonly ControlledFan[],
): Helpless => {
  const network = new DrawnNetwork(layout, openings);
  const found: Helpless[] = [];
  for (const draw of draws) {
    const readings = network.readings(controlled, draw);
    if (readings === undefined) continue;
    const judged = judge(readings);
    if (judged.without.length === 0 && judged.together.length === 0) return judged;
    found.push(judged);
    if (found.length === 2) break;
  }
  if (found.length < 2) return { without: [], together: [] };
  const [one, other] = found;
  const last = (set: readonly number[]): number => set[set.length - 1];
  return {
    without: one.without.filter((c) => other.without.includes(c)),
    together: one.together.filter((set) => other.together.some((same) => last(same) === last(set))),
  };
};

/** Whether no ratio of a balance can keep controllers from what they are for; false also where that is not plain. */
export const ratiosAreFree = (
  layout: Layout,
  openings: readonly Opening[],
  controlled: readonly ControlledFan[],
): boolean => new DrawnNetwork(layout, openings).leavesRatiosFree(controlled, draws[0]);

const judge = ({ rows, apart }: Readings): Helpless => {
  const without = rows.flatMap((row, c) => (row[c] === 0 || !apart[c] ? [c] : []));
  const able = rows.flatMap((_, c) => (without.includes(c) ? [] : [c]));
  const together = dependentRows(able.map((c) => rows[c])).map((set) => set.map((i) => able[i]));
  return { without, together };
};
