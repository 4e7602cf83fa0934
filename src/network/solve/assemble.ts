import { frictionLaws } from "../../ducts/friction-laws.js";
import { type Assembly, type Block, resumePoint } from "../elements/element.js";
import { assembleOpening } from "../elements/opening.js";
import { EquationsBuilder } from "../equations/builder.js";
import { Equations, type Names } from "../equations/equations.js";
import type { Answer } from "../equations/state.js";
import type { Reading } from "../equations/terms.js";
import type { SensorPart } from "../format/control.js";
import { endsOf } from "../layout/connectivity.js";
import type { Layout } from "../layout/layout.js";
import type { Solution } from "../results/solution.js";
import { Ducts } from "./ducts.js";

/** A network made ready to solve. */
export interface System {
  readonly layout: Layout;
  readonly equations: Equations;
  readonly elements: WorkingElements;
  /** Branches of fans by name. */
  readonly fans: ReadonlyMap<string, number>;
}

/** What is known before a network is assembled. */
export interface Known {
  /** Nodes whose own branches are replaced by a mass flow brought in at their first point [kg/s]. */
  readonly held?: ReadonlyMap<string, number>;
  /** The end at which a fan's branch begins: there it is cut off and begins at a free point of its own. */
  readonly cut?: string;
  /** Ducts whose regulators do not act, but take what they need to hold their flow. */
  readonly needing?: ReadonlySet<string>;
}

/** Makes the equations of a network. */
export const assemble = (layout: Layout, { held, cut, needing }: Known = {}): System => {
  const { ducts, friction } = layout.elements;
  const points = layout.connectivity.nodeOf.length;
  const builder = new EquationsBuilder({ points: points + 2, branches: points + ducts.length });
  let equations: Equations | undefined;
  let elements: WorkingElements | undefined;
  const assembly: Assembly = {
    builder,
    site: layout,
    get equations() {
      return equations as Equations;
    },
    fans: new Map(),
    acts: (duct) => needing?.has(duct) !== true,
    readingOf: (sensor, kind) => (elements as WorkingElements).sense(sensor, kind),
  };
  elements = new WorkingElements(layout, assembly, held, cut);
  equations = new Equations(builder, frictionLaws[friction], elements);
  elements.refreshAll();
  return { layout, equations, elements, fans: assembly.fans };
};

/** The elements of a network at work in its equations: nodes, ducts and openings, numbered as the document has them. */
export class WorkingElements implements Names {
  readonly count: number;
  /** The point at which the branch of a fan begins that is cut off. */
  readonly cutPoint: number | undefined;
  private readonly ducts: Ducts;
  /** Blocks of nodes by position; a node that is a point and nothing else has none. */
  private readonly nodes: (Block | undefined)[];
  /** The node of each branch that is no duct's and no opening's; these branches come first. */
  private readonly linkNames: string[] = [];
  private readonly openings: readonly Block[];
  private readonly firstDuct: number;
  private readonly firstOpening: number;
  /** Made when a sensor asks for it. */
  private ductPositions: ReadonlyMap<string, number> | undefined;

  constructor(
    private readonly layout: Layout,
    private readonly assembly: Assembly,
    private readonly held: ReadonlyMap<string, number> = new Map(),
    private readonly cut?: string,
  ) {
    const { builder } = assembly;
    const { nodes, ducts, openings } = layout.elements;
    const { names, kinds, firstPlace } = layout.connectivity;
    for (let n = 0; n < nodes.length; n++) {
      const fixed = kinds[n].pressure(nodes[n]) !== undefined;
      for (let place = firstPlace[n]; place < firstPlace[n + 1]; place++) builder.point(fixed);
    }
    const still = builder.point(true);
    this.cutPoint = cut === undefined ? undefined : builder.point(false);
    const pointOf = (end: string): number => (end === "" ? still : (names.get(end) as number));
    this.nodes = new Array<Block | undefined>(nodes.length);
    for (let n = 0; n < nodes.length; n++) {
      const node = nodes[n];
      const kind = kinds[n];
      if (kind.assemble === undefined || this.held.has(node.id)) continue;
      const points = endsOf(node).map((_, port) => firstPlace[n] + port);
      const branches = kind.links(node).map(({ from, to }) => {
        this.linkNames.push(node.id);
        return builder.branch(from === cut ? (this.cutPoint as number) : pointOf(from), pointOf(to));
      });
      this.nodes[n] = kind.assemble(node, { points, branches }, assembly);
    }
    this.ducts = new Ducts(layout, assembly);
    this.openings = openings.map((opening) => assembleOpening(opening, assembly));
    this.firstDuct = nodes.length;
    this.firstOpening = nodes.length + ducts.length;
    this.count = this.firstOpening + openings.length;
  }

  point(point: number): string {
    const { elements, connectivity } = this.layout;
    const { firstPlace, nodeOf } = connectivity;
    if (point === this.cutPoint) return this.cut as string;
    if (point >= nodeOf.length) return "";
    const node = nodeOf[point];
    return endsOf(elements.nodes[node])[point - firstPlace[node]];
  }

  branch(branch: number): string {
    const { ducts, openings } = this.layout.elements;
    const behindLinks = branch - this.linkNames.length;
    if (behindLinks < 0) return this.linkNames[branch];
    return (ducts[behindLinks] ?? openings[behindLinks - ducts.length]).id;
  }

  /** Writes an element's coefficients into the equations, from what the document says now. */
  refresh(element: number): void {
    if (element >= this.firstOpening) this.openings[element - this.firstOpening].refresh();
    else if (element >= this.firstDuct) this.ducts.refresh(element - this.firstDuct);
    else this.refreshNode(element);
  }

  refreshAll(): void {
    for (let element = 0; element < this.count; element++) this.refresh(element);
  }

  private refreshNode(position: number): void {
    const { layout, assembly, held } = this;
    const block = this.nodes[position];
    if (block !== undefined) {
      block.refresh();
      return;
    }
    const node = layout.elements.nodes[position];
    const point = layout.connectivity.firstPlace[position];
    layout.connectivity.kinds[position].refreshPoint?.(node, point, assembly);
    const inflow = held.get(node.id);
    if (inflow !== undefined) assembly.equations.inflow[point] = inflow;
  }

  /** The same where nothing but coefficients of fixed fittings of a duct has changed. */
  refreshFittings(element: number): void {
    this.ducts.refreshFittings(element - this.firstDuct);
  }

  /** What a sensor reads. */
  sense(sensor: SensorPart, kind: "static" | "total"): Reading {
    if ("node" in sensor) return { point: this.layout.placeAt(sensor.node).point };
    this.ductPositions ??= new Map(this.layout.elements.ducts.map(({ id }, position) => [id, position]));
    return this.ducts.readingOf(this.ductPositions.get(sensor.duct) as number, sensor.at, kind);
  }

  /** Tells the node at a position that its list now holds another of the same form in its place. */
  adopt(position: number): void {
    this.nodes[position]?.adopt?.(this.layout.elements.nodes[position]);
  }

  /** Takes from a solution, which may be another network's, all that it knows of these elements as a start. */
  resume(known: Solution, start: Answer): void {
    const { nodes, ducts } = this.layout.elements;
    for (let n = 0; n < nodes.length; n++) {
      const block = this.nodes[n];
      if (block !== undefined) block.resume(known, start);
      else {
        const point = this.layout.connectivity.firstPlace[n];
        resumePoint(known.nodes[nodes[n].id]?.totalPressure, point, start.pressure);
      }
    }
    for (let d = 0; d < ducts.length; d++) this.ducts.resume(d, known, start);
    for (const opening of this.openings) opening.resume(known, start);
  }

  /** Writes an element's results, and its warnings, into a solution. */
  report(element: number, answer: Answer, solution: Solution): void {
    if (element >= this.firstOpening) this.openings[element - this.firstOpening].report(answer, solution);
    else if (element >= this.firstDuct) this.ducts.report(element - this.firstDuct, answer, solution);
    else this.reportNode(element, answer, solution);
  }

  reportAll(answer: Answer, solution: Solution): void {
    for (let element = 0; element < this.count; element++) this.report(element, answer, solution);
  }

  private reportNode(position: number, answer: Answer, solution: Solution): void {
    const block = this.nodes[position];
    if (block !== undefined) {
      block.report(answer, solution);
      return;
    }
    const { elements, connectivity } = this.layout;
    const node = elements.nodes[position];
    const point = connectivity.firstPlace[position];
    solution.nodes[node.id] = { totalPressure: answer.pressure[point] };
    const remarks = connectivity.kinds[position].remarks?.(node, this.layout.runsMeeting(point));
    if (remarks !== undefined) for (const warning of remarks) solution.warnings.push(warning);
  }
}
