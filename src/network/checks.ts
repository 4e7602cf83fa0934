import type { Problem } from "../core/errors.js";
import { nearestName } from "../core/nearest.js";
import { equivalentDiameter } from "../ducts/section.js";
import { type Place, problem } from "../input/faults.js";
import type { Duct, Opening } from "./elements.js";
import { airFindings } from "./kinds/findings.js";
import type { Finding } from "./kinds/kind.js";
import { kindOf, type NetworkNode } from "./kinds/list.js";
import { nodeIdOf, Plan } from "./plan.js";
import type { Read, ReadElements } from "./read.js";
import { topologyProblems } from "./topology.js";

/** Nearest names are looked for this often in one document, so that the time stays linear in its size. */
const suggestionsAllowed = 50;

/** The second pass: faults that show only between keys and elements, over whatever was well formed. */
export const checkElements = (elements: ReadElements): Problem[] => [
  ...rootProblems(elements),
  ...duplicates("nodes", elements.nodes),
  ...duplicates("ducts", elements.ducts),
  ...duplicates("openings", elements.openings),
  ...new ElementChecks(elements).run(),
];

const rootProblems = ({ air, outdoorAir }: ReadElements): Problem[] =>
  [...airFindings(air, air, "air"), ...airFindings(outdoorAir, air, "outdoorAir")].map((finding) =>
    problemOf({ path: "" }, finding),
  );

const problemOf = ({ path, id }: Place, { key, code, expected, found, nearest }: Finding): Problem =>
  problem(
    { path: path === "" ? key : `${path}.${key}`, ...(id === undefined ? {} : { id }) },
    code,
    expected,
    found,
    nearest === undefined ? {} : { nearest },
  );

const duplicates = (name: string, reads: readonly Read<unknown>[]): Problem[] => {
  const first = new Map<string, number>();
  const problems: Problem[] = [];
  reads.forEach(({ id, place }, index) => {
    if (id === undefined) return;
    const before = first.get(id);
    if (before === undefined) first.set(id, index);
    else {
      const found = `'${id}', which ${name}.${before} has`;
      problems.push(problemOf(place, { code: "id.duplicate", key: "id", expected: "an id of its own", found }));
    }
  });
  return problems;
};

class ElementChecks {
  private readonly problems: Problem[] = [];
  private readonly nodes = new Map<string, Read<NetworkNode>>();
  private readonly touched = new Set<string>();
  private readonly taken = new Map<string, string>();
  /** Nodes beside a fault: what hangs on them is not known well enough to be called wrong. */
  private readonly doubtful = new Set<string>();
  private readonly plan: Plan;
  private suggestions = 0;

  constructor(private readonly elements: ReadElements) {
    for (const read of elements.nodes) {
      if (read.id === undefined) continue;
      if (!this.nodes.has(read.id)) this.nodes.set(read.id, read);
      if (read.value === undefined) this.doubtful.add(read.id);
    }
    this.plan = new Plan({
      air: elements.air,
      nodes: elements.nodes.flatMap(({ value }) => value ?? []),
      ducts: elements.ducts.flatMap(({ value }) => value ?? []),
      openings: [],
    });
  }

  run(): Problem[] {
    const { nodes, ducts, openings } = this.elements;
    for (const read of ducts) this.checkDuct(read);
    for (const read of openings) this.checkOpening(read);
    for (const { ends } of nodes) if (ends.room !== undefined) this.touched.add(ends.room);
    for (const read of nodes) this.checkNode(read);
    if (this.usable()) this.problems.push(...topologyProblems(this.elements, this.plan, this.doubtful));
    return this.problems;
  }

  /** Air that cannot be is reported already; without it no column can be computed, but the graph stands. */
  private usable(): boolean {
    return this.elements.nodes.length > 0 || this.elements.ducts.length > 0;
  }

  private report(place: Place, finding: Finding): void {
    this.problems.push(problemOf(place, finding));
  }

  private nearest(name: string, known: Iterable<string>): string | undefined {
    if (this.suggestions >= suggestionsAllowed) return undefined;
    this.suggestions++;
    return nearestName(name, known);
  }

  private checkDuct(read: Read<Duct>): void {
    const { ends, place, value } = read;
    const good = [this.checkEnd(read, "from"), this.checkEnd(read, "to")];
    if (value === undefined || !good[0] || !good[1]) {
      for (const end of [ends.from, ends.to]) if (end !== undefined) this.doubtful.add(nodeIdOf(end));
    }
    if (ends.from !== undefined && ends.from === ends.to) {
      const found = `'${ends.to}' at both ends`;
      this.report(place, { code: "duct.ends-same", key: "to", expected: "another end than 'from'", found });
    }
    if (value === undefined) return;
    if (value.frictionFactor !== undefined && value.frictionRating !== undefined) {
      const expected = "frictionFactor or frictionRating";
      this.report(place, { code: "key.conflict", key: "frictionRating", expected, found: "both" });
    }
    const diameter = equivalentDiameter(value.section, value.equivalent);
    if (value.roughness >= diameter) {
      const expected = `below the diameter of ${diameter.toPrecision(3)} m`;
      this.report(place, { code: "value.range", key: "roughness", expected, found: `${value.roughness}` });
    }
    for (const finding of airFindings(value.air, this.elements.air, "air")) this.report(place, finding);
  }

  /** Checks where a duct ends; false where that is nowhere. */
  private checkEnd({ ends, place, value, id }: Read<Duct>, key: "from" | "to"): boolean {
    const end = ends[key];
    if (end === undefined) return false;
    const name = nodeIdOf(end);
    const read = this.nodes.get(name);
    if (read === undefined) {
      if (value === undefined) return false;
      const nearest = this.nearest(name, this.nodes.keys());
      const found = `'${end}', which no node is called`;
      const finding = { code: "reference.node", key, expected: "the id of a node", found };
      this.report(place, nearest === undefined ? finding : { ...finding, nearest });
      return false;
    }
    this.touched.add(name);
    if (read.value === undefined) return false;
    const ports = kindOf(read.value).ports(read.value);
    const port = end.slice(name.length + 1);
    const duct = id ?? place.path;
    if (ports.length === 0) {
      if (port === "") return true;
      const expected = `'${name}' alone, since a node of kind '${read.value.kind}' has no ports`;
      this.report(place, { code: "port.none", key, expected, found: `'${end}'` });
      return false;
    }
    if (!ports.includes(port)) {
      const expected = `a port of '${name}': ${ports.map((one) => `'${name}.${one}'`).join(", ")}`;
      const nearest = port === "" ? undefined : this.nearest(port, ports);
      const code = port === "" ? "port.missing" : "port.unknown";
      const finding = { code, key, expected, found: `'${end}'` };
      this.report(place, nearest === undefined ? finding : { ...finding, nearest: `${name}.${nearest}` });
      return false;
    }
    const other = this.taken.get(end);
    if (other !== undefined) {
      const expected = "a port of its own, since each takes one duct";
      this.report(place, { code: "port.taken", key, expected, found: `'${end}', which duct '${other}' has` });
      return true;
    }
    this.taken.set(end, duct);
    return true;
  }

  private checkOpening({ ends, place, value }: Read<Opening>): void {
    for (const key of ["from", "to"] as const) {
      const end = ends[key];
      if (end === undefined) continue;
      const read = this.nodes.get(end);
      if (read !== undefined) this.touched.add(end);
      if (value === undefined) this.doubtful.add(end);
      if (read === undefined) {
        if (value === undefined) continue;
        const nearest = this.nearest(end, this.nodes.keys());
        const found = `'${end}', which no node is called`;
        const finding = { code: "reference.node", key, expected: "the id of a node", found };
        this.report(place, nearest === undefined ? finding : { ...finding, nearest });
        for (const good of [ends.from, ends.to]) if (good !== undefined) this.doubtful.add(good);
      } else if (read.value !== undefined && !kindOf(read.value).takesOpenings) {
        const found = `'${end}', a node of kind '${read.value.kind}'`;
        const expected = "outdoors, a room, a plenum or a junction";
        this.report(place, { code: "opening.end", key, expected, found });
        this.doubtful.add(end);
      }
    }
    if (ends.from !== undefined && ends.from === ends.to) {
      const found = `'${ends.to}' at both ends`;
      this.report(place, { code: "opening.ends-same", key: "to", expected: "another node than 'from'", found });
    }
  }

  private checkNode({ id, place, value }: Read<NetworkNode>): void {
    if (id === undefined || value === undefined || this.nodes.get(id)?.value !== value) return;
    const kind = kindOf(value);
    for (const port of kind.ports(value)) {
      const name = `${id}.${port}`;
      if (this.taken.has(name)) continue;
      const finding = { code: "port.free", key: port, expected: `a duct that ends at '${name}'`, found: "none" };
      this.problems.push({ ...problemOf(place, finding), path: place.path });
      this.doubtful.add(id);
    }
    const ducts = this.plan.ductsAt(id);
    const lone = kind.ports(value).length === 0 && (value.kind === "terminal" ? ducts.length === 0 : true);
    if (lone && !this.touched.has(id)) {
      const finding = {
        code: "node.untouched",
        key: "id",
        expected: "a duct or an opening that leads here",
        found: "none",
      };
      this.report(place, finding);
      this.doubtful.add(id);
    }
    const surroundings = {
      ducts,
      kindOf: (other: string) => this.kindName(other),
      nearestOf: (other: string, wanted: string) => this.nearest(other, this.idsOf(wanted)),
      air: this.elements.air,
    };
    for (const finding of kind.findings(value, surroundings)) {
      this.report(place, finding);
      if (finding.code === "reference.room") this.doubtful.add(id);
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
