import { joined, type Place, type Problem, problemOf } from "../../core/errors.js";
import { nearestName } from "../../core/nearest.js";
import { shown } from "../../core/show.js";
import { airProblems } from "../elements/air-checks.js";
import { ductProblems } from "../elements/duct-checks.js";
import { noProblems } from "../elements/kinds/kind.js";
import { kindOf, type NetworkNode } from "../elements/kinds/list.js";
import type { Duct, Opening } from "../format/elements.js";
import { Layout, nodeIdOf } from "../layout/layout.js";
import type { ElementProblem } from "../results/element-problem.js";
import { type Controlled, controlledOf, controlNameProblems, helplessProblems } from "./control-checks.js";
import type { Read, ReadElements } from "./reading.js";
import { isPlainlySound, topologyProblems } from "./topology.js";

/** Names compared in one document to find the nearest, so that the time stays linear in its size. */
const comparisonsAllowed = 200_000;

/** The second pass: faults that show only between keys and elements, over all that was well formed. */
export const checkElements = (elements: ReadElements): { problems: Problem[]; layout: Layout } => {
  const checks = new ElementChecks(elements);
  const { layout } = checks;
  let problems = [
    ...rootProblems(elements),
    ...(checks.hasDoubledNodes ? duplicates("nodes", elements.nodes) : []),
    ...duplicates("ducts", elements.ducts),
    ...duplicates("openings", elements.openings),
    ...checks.run(),
  ];
  const { openings } = layout.elements;
  const whole =
    elements.listed &&
    layout.elements.nodes.length === elements.nodes.length &&
    layout.elements.ducts.length === elements.ducts.length &&
    openings.length === elements.openings.length;
  if (problems.length > 0 || !whole || !isPlainlySound(layout)) problems = [...problems, ...checks.topology()];
  if (problems.length === 0 && whole) {
    for (const { read, problem } of helplessProblems(checks.controlled, layout, openings)) {
      problems.push(problemAt(read.place, problem));
    }
  }
  return { problems, layout };
};

/** The values of elements that were well formed. */
const valuesOf = <T>(reads: readonly Read<T>[]): T[] => {
  const values: T[] = [];
  for (const { value } of reads) if (value !== undefined) values.push(value);
  return values;
};

const rootProblems = ({ air, outdoorAir }: ReadElements): Problem[] =>
  [...airProblems(air, air, "air"), ...airProblems(outdoorAir, air, "outdoorAir")].map((problem) =>
    problemAt({ path: "" }, problem),
  );

const problemAt = ({ path, id }: Place, { key, code, expected, found, nearest }: ElementProblem): Problem =>
  problemOf(code, joined(path, key), expected, found, { id, nearest });

const duplicates = (name: string, reads: readonly Read<unknown>[]): Problem[] => {
  const first = new Map<string, number>();
  const problems: Problem[] = [];
  reads.forEach((read, index) => {
    const { id } = read;
    if (id === undefined) return;
    const before = first.get(id);
    if (before === undefined) first.set(id, index);
    else {
      const found = `${shown(id)}, which ${name}.${before} already has`;
      problems.push(problemAt(read.place, { code: "id.duplicate", key: "id", expected: "a unique id", found }));
    }
  });
  return problems;
};

class ElementChecks {
  private readonly problems: Problem[] = [];
  private readonly nodes = new Map<string, Read<NetworkNode>>();
  /** Whether two nodes have one id. */
  hasDoubledNodes = false;
  /** Ports that a misspelt name probably means. */
  private readonly meant = new Set<string>();
  private readonly taken = new Map<string, string>();
  /** Nodes beside a fault: what depends on them is not known well enough to be called wrong. */
  private readonly doubtful = new Set<string>();
  readonly layout: Layout;
  readonly controlled: readonly Controlled[];
  private comparisons = 0;

  constructor(private readonly elements: ReadElements) {
    for (const read of elements.nodes) {
      if (read.id === undefined) continue;
      const doubled = this.nodes.has(read.id);
      if (read.value === undefined || doubled) this.doubtful.add(read.id);
      if (doubled) this.hasDoubledNodes = true;
      else this.nodes.set(read.id, read);
    }
    this.layout = new Layout({
      air: elements.air,
      outdoorAir: elements.outdoorAir,
      friction: elements.friction,
      nodes: valuesOf(elements.nodes),
      ducts: valuesOf(elements.ducts),
      openings: valuesOf(elements.openings),
    });
    this.controlled = controlledOf(elements.nodes);
  }

  run(): Problem[] {
    const { nodes, ducts, openings } = this.elements;
    for (const read of ducts) this.checkDuct(read);
    for (const read of openings) this.checkOpening(read);
    for (const { ends } of nodes) if (ends.room !== undefined) this.touch(ends.room);
    for (const read of nodes) this.checkNode(read);
    const nearest = (name: string, known: Iterable<string>): string | undefined => this.nearest(name, known);
    for (const { read, problem } of controlNameProblems(this.controlled, this.elements, this.nodes, nearest)) {
      this.report(read, problem);
    }
    return this.problems;
  }

  topology(): Problem[] {
    return topologyProblems(this.elements, this.layout, this.doubtful);
  }

  private touch(id: string): void {
    const node = this.nodes.get(id);
    if (node !== undefined) node.touched = true;
  }

  private report({ place }: Read<unknown>, problem: ElementProblem): void {
    this.problems.push(problemAt(place, problem));
  }

  private nearest(name: string, known: Iterable<string>): string | undefined {
    if (this.comparisons > comparisonsAllowed) return undefined;
    this.comparisons += this.nodes.size;
    return nearestName(name, known);
  }

  /** A name that no node has; the node that was probably meant counts as touched, and as doubtful. */
  private reportUnknown(read: Read<unknown>, key: "from" | "to", name: string): void {
    if (!this.elements.listed) return;
    const nearest = this.nearest(name, this.nodes.keys());
    const found = `${shown(name)}, which no node has`;
    const problem = { code: "reference.node", key, expected: "the id of a node", found };
    this.report(read, nearest === undefined ? problem : { ...problem, nearest });
    if (nearest === undefined) return;
    this.touch(nearest);
    this.doubtful.add(nearest);
  }

  private checkDuct(read: Read<Duct>): void {
    const { ends, value } = read;
    const begins = this.checkEnd(read, "from");
    const stops = this.checkEnd(read, "to");
    if (value === undefined || !begins || !stops) {
      for (const end of [ends.from, ends.to]) if (end !== undefined) this.doubtful.add(nodeIdOf(end));
    }
    if (ends.from !== undefined && ends.from === ends.to) {
      const found = `${shown(ends.to)} at both ends`;
      this.report(read, { code: "duct.ends-same", key: "to", expected: "an end other than 'from'", found });
    }
    if (value === undefined) return;
    for (const problem of ductProblems(value, this.elements.air)) this.report(read, problem);
  }

  /** Checks where a duct ends; false where that is nowhere. */
  private checkEnd(read: Read<Duct>, key: "from" | "to"): boolean {
    const end = read.ends[key];
    if (end === undefined) return false;
    const name = nodeIdOf(end);
    const met = this.nodes.get(name);
    if (met === undefined) {
      this.reportUnknown(read, key, name);
      return false;
    }
    met.touched = true;
    if (met.value === undefined) return false;
    const ports = kindOf(met.value).ports(met.value);
    const port = end.slice(name.length + 1);
    if (ports.length === 0) {
      if (port === "") return true;
      const expected = `${shown(name)} without a port, since a node of kind '${met.value.kind}' has none`;
      this.report(read, { code: "port.none", key, expected, found: shown(end) });
      return false;
    }
    if (!ports.includes(port)) {
      const expected = `a port of ${shown(name)}: ${ports.join(", ")}`;
      const nearest = port === "" ? undefined : nearestName(port, ports);
      const code = port === "" ? "port.missing" : "port.unknown";
      const problem = { code, key, expected, found: shown(end) };
      this.report(read, nearest === undefined ? problem : { ...problem, nearest: `${name}.${nearest}` });
      if (nearest !== undefined) this.meant.add(`${name}.${nearest}`);
      return false;
    }
    const other = this.taken.get(end);
    if (other !== undefined) {
      const expected = "a free port, since each port takes one duct";
      const found = `${shown(end)}, which duct ${shown(other)} already uses`;
      this.report(read, { code: "port.taken", key, expected, found });
      return true;
    }
    this.taken.set(end, read.id ?? read.place.path);
    return true;
  }

  private checkOpening(opening: Read<Opening>): void {
    const { ends, value } = opening;
    for (const key of ["from", "to"] as const) {
      const end = ends[key];
      if (end === undefined) continue;
      const read = this.nodes.get(end);
      if (read !== undefined) read.touched = true;
      if (value === undefined) this.doubtful.add(end);
      if (read === undefined) {
        this.reportUnknown(opening, key, end);
        for (const good of [ends.from, ends.to]) if (good !== undefined) this.doubtful.add(good);
      } else if (read.value !== undefined && !kindOf(read.value).takesOpenings) {
        const found = `${shown(end)}, a node of kind '${read.value.kind}'`;
        const expected = "outdoors, a room, a plenum or a junction";
        this.report(opening, { code: "opening.end", key, expected, found });
        this.doubtful.add(end);
      }
    }
    if (ends.from !== undefined && ends.from === ends.to) {
      const found = `${shown(ends.to)} at both ends`;
      this.report(opening, { code: "opening.ends-same", key: "to", expected: "a node other than 'from'", found });
    }
  }

  private checkNode(read: Read<NetworkNode>): void {
    const { id, value } = read;
    if (id === undefined || value === undefined || this.nodes.get(id)?.value !== value) return;
    const kind = kindOf(value);
    for (const port of kind.ports(value)) {
      const name = `${id}.${port}`;
      if (this.taken.has(name) || this.meant.has(name)) continue;
      const expected = `a duct at its port '${port}'`;
      this.report(read, { code: "port.free", key: "", expected, found: "none" });
      this.doubtful.add(id);
    }
    if (kind.ports(value).length === 0 && !read.touched) {
      const expected = kind.takesOpenings ? "a duct or an opening that leads here" : "a duct that leads here";
      this.report(read, { code: "node.untouched", key: "", expected, found: "none" });
      this.doubtful.add(id);
    }
    if (kind.problems === noProblems) return;
    const surroundings = {
      runs: this.layout.runsAt(id),
      ducts: () => this.layout.ductsAt(id),
      portDuct: (port: string) => this.layout.ductsAt(`${id}.${port}`)[0],
      kindOf: (other: string) => this.kindName(other),
      nearestOf: (other: string, wanted: string) => this.nearest(other, this.idsOf(wanted)),
      airIn: (duct: Duct) => this.layout.soundAirIn(duct),
      inherits: this.layout.inherits,
      air: this.elements.air,
    };
    for (const problem of kind.problems(value, surroundings)) {
      this.report(read, problem);
      if (problem.code === "reference.room") this.doubtful.add(id);
    }
  }

  private kindName(id: string): string | undefined {
    const read = this.nodes.get(id);
    if (read === undefined) return undefined;
    // A room that was not well formed is still a room as far as others can tell.
    return read.value?.kind ?? "room";
  }

  private *idsOf(kind: string): Generator<string> {
    for (const [id, { value }] of this.nodes) if (value?.kind === kind) yield id;
  }
}
