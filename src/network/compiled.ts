import { InputError, type Problem, SolveError } from "../core/errors.js";
import { problemsOf } from "../core/gather.js";
import { requireKeys, requireObject } from "../core/keys.js";
import { shown } from "../core/show.js";
import { assemble, type System } from "./assemble.js";
import { isControlled } from "./control-findings.js";
import { meetingsOf, type Network, type NetworkDocument, parseNetwork } from "./document.js";
import { ductFindings } from "./duct-findings.js";
import type { Duct } from "./elements.js";
import type { Finding } from "./finding.js";
import { airFindings } from "./kinds/findings.js";
import type { Surroundings } from "./kinds/kind.js";
import { kindOf, type NetworkNode } from "./kinds/list.js";
import { isTerminal } from "./kinds/terminal.js";
import { forgetReading, shareReading } from "./known-curves.js";
import { outputReader } from "./outputs.js";
import {
  copyOf,
  holderOf,
  NetworkIndex,
  type Owner,
  ownedBy,
  type ParameterPlace,
  parameterPlace,
  valueProblem,
} from "./parameters.js";
import type { CurvePart } from "./parts.js";
import { nodeIdOf } from "./plan.js";
import type { Convergence, Solution } from "./results.js";
import type { Answer } from "./site.js";
import { limitsOf, solutionOf, solveFrom } from "./solve.js";
import type { SolveLimits } from "./solver.js";
import { type NetworkSolver, solverOf } from "./solver-of.js";

/** A number of a compiled network that may be changed. */
export interface Parameter {
  readonly path: string;
  /** In the document [SI] */
  readonly initial: number;
  /**
   * Now [SI]. Setting a value that is not finite, out of range, or at odds with the rest of its element throws InputError
   * at once, and the old value stays.
   */
  value: number;
}

/** A number of the last answer of a compiled network. */
export interface Output {
  readonly path: string;
  /**
   * [SI]; undefined where it does not exist in this state. Throws InputError `not-solved` before the first update, after a
   * failed one, and once a parameter has another value than at the last.
   */
  readonly value: number | undefined;
}

/** Where an update starts, and how far it goes. */
export interface UpdateOptions {
  /** "document": from the answer at the document's own values. Default: from the last answer. */
  readonly start?: "document";
  /** As in `solveNetwork` [-]. */
  readonly tolerance?: number;
}

/** A network made ready for many solves. */
export interface CompiledNetwork {
  /**
   * Solves with changed numbers, from the document's own answer; remembers nothing, and neither reads nor sets parameters.
   *
   * @param changes - New values by parameter path [SI].
   * @returns A whole solution; without changes that of `solveNetwork`, bit for bit.
   * @throws InputError with all wrong paths and values, or where none is wrong with all that the values contradict, each at
   *   the path where it shows if that is among the changes; SolveError.
   */
  solve(changes?: Readonly<Record<string, number>>): Solution;
  /**
   * The number at a path: `ducts.d1.length`, `fans.unit.supply.speed`, `nodes.bunk.loss.pressure`, `air.density`.
   *
   * @throws InputError `path.unknown`, with the nearest path.
   */
  parameter(path: string): Parameter;
  /**
   * A number of the answer: `fans.unit.supply.power`, `terminals.bunk.flow`, `ducts.d1.inlet.staticPressure`.
   *
   * @throws InputError `path.unknown`, with the nearest path, for a number that this network never has.
   */
  output(path: string): Output;
  /**
   * Solves with the parameters as they are now, from the last answer or as `start` says.
   *
   * @throws InputError for wrong options; SolveError, after which the next update starts from the document's answer.
   */
  update(options?: UpdateOptions): Convergence;
  /**
   * The named solution of the last update.
   *
   * @throws InputError `not-solved` before the first update, after a failed one, and once a parameter has been changed since.
   */
  solution(): Solution;
}

/**
 * Makes a network ready for many solves with changed numbers: its equations and their order of elimination are made once.
 * Copies what it needs; does not solve; never changes `network`. To send it to a worker, send its document.
 *
 * @param network - A parsed network, or a document, which is parsed first.
 * @returns The compiled network; its numbers are in SI [m, m³/s, kg/s, Pa, W].
 * @throws DocumentError for a wrong document.
 *
 * Source: as solveNetwork.
 * @example
 * const compiled = compileNetwork(document);
 * const speed = compiled.parameter("fans.unit.supply.speed");
 * const power = compiled.output("fans.unit.supply.power");
 * speed.value = 0.8;
 * compiled.update();
 * power.value; // W
 */
export function compileNetwork(network: Network | NetworkDocument): CompiledNetwork {
  return new Compiled(parseNetwork(network));
}

// What of an element is to be refreshed.
const fittings = 1;
const everything = 2;

/** Keys of rooms, units, terminals and ducts on which inherited airs depend. */
const airKeys = ["air", "exchanger", "frost", "designFlow"];

const at = (positions: ReadonlyMap<string, number>, id: string): number => positions.get(id) as number;

/** A fault that a change has made, and the path of the element where it shows. */
interface Contradiction {
  readonly element: string;
  readonly finding: Finding;
}

const none: readonly Contradiction[] = [];

const contradictionsAt = (element: string, findings: Iterable<Finding>): readonly Contradiction[] => {
  const contradictions: Contradiction[] = [];
  for (const finding of findings) contradictions.push({ element, finding });
  return contradictions;
};

const joined = (...words: readonly string[]): string => words.filter((word) => word !== "").join(".");

/** The curve of a fan below an element. */
const curveAt = (element: unknown, keysToFan: readonly string[]): CurvePart | undefined =>
  holderOf(element, [...keysToFan, "curve", ""]).holder as unknown as CurvePart | undefined;

/** A copy of a node that may be changed, the curves of its fans being known as they were read. */
const keptCopy = (node: NetworkNode): NetworkNode => {
  const copy = copyOf(node);
  for (const { keys } of kindOf(node).fans(node)) {
    const [curve, copied] = [curveAt(node, keys), curveAt(copy, keys)];
    if (curve !== undefined && copied !== undefined) shareReading(curve, copied);
  }
  return copy;
};

/** A network with values of its own, its equations, and the state of its last solve. */
class Model {
  readonly network: Network;
  readonly system: System;
  readonly solver: NetworkSolver;
  /** How many of its numbers differ from the document's. */
  changed = 0;
  /** Whether a parameter was set since the last solve, whose flows would then stand beside numbers of another network. */
  unsolved = false;
  private readonly ducts: Duct[];
  private readonly nodes: NetworkNode[];
  private readonly index: NetworkIndex;
  private readonly dirty: Uint8Array;
  private readonly waiting: number[] = [];
  private airChanged = false;
  /** Nodes with a controlled fan, whose sensors may stand anywhere. */
  private readonly sensing: readonly number[];
  private leaning: ReadonlyMap<string, readonly number[]> | undefined;
  /** Nodes whose ducts must carry one air. */
  private uniform: readonly number[] | undefined;

  constructor(network: Network) {
    // Ducts and most nodes are copied when one of their numbers is asked for: few ever are.
    this.ducts = network.ducts.slice();
    this.nodes = network.nodes.map((node) => (kindOf(node).keeps ? keptCopy(node) : node));
    const rest = copyOf({ ...network, nodes: [], ducts: [] });
    this.network = { ...rest, nodes: this.nodes, ducts: this.ducts };
    this.index = new NetworkIndex(this.network);
    this.sensing = this.nodes.flatMap((node, index) => (isControlled(node) ? [index] : []));
    this.system = assemble(this.network, { meetings: meetingsOf(network) });
    this.solver = solverOf(this.system.equations);
    this.dirty = new Uint8Array(this.system.elements.count);
  }

  knob(path: string): Knob {
    const place = parameterPlace(this.index, path);
    this.own(place.owner);
    return new Knob(this, place);
  }

  /** Puts a copy in the place of an element that is still the frozen network's. */
  private own({ list, index }: Owner): void {
    if (list === "ducts" && Object.isFrozen(this.ducts[index])) this.ducts[index] = copyOf(this.ducts[index]);
    if (list === "nodes" && Object.isFrozen(this.nodes[index])) {
      this.nodes[index] = copyOf(this.nodes[index]);
      this.system.elements.adopt(index);
    }
  }

  /** Marks elements to be refreshed; all of them where the air of the network has changed. */
  touch(elements: readonly number[] | "all", what: typeof fittings | typeof everything): void {
    if (elements === "all") {
      this.system.plan.forgetClimate();
      this.airChanged = true;
      return;
    }
    for (const element of elements) {
      if (this.dirty[element] === 0) this.waiting.push(element);
      if (this.dirty[element] < what) this.dirty[element] = what;
    }
  }

  /** Writes the coefficients of what has changed. */
  refresh(): void {
    const { elements } = this.system;
    if (this.airChanged) {
      elements.refreshAll();
      this.airChanged = false;
    } else {
      for (const element of this.waiting) {
        if (this.dirty[element] === fittings) elements.refreshFittings(element);
        else elements.refresh(element);
      }
    }
    for (const element of this.waiting) this.dirty[element] = 0;
    this.waiting.length = 0;
  }

  /** Whether a change below some keys of an owner may change the air of elements far from it. */
  private changesAirs({ list }: Owner, [key]: readonly string[]): boolean {
    if (list === "air" || list === "outdoorAir") return true;
    return this.system.plan.inherits && airKeys.includes(key);
  }

  /** The elements that read an owner's numbers: its own, and those of its neighbours. */
  elementsReading(owner: Owner, keys: readonly string[]): readonly number[] | "all" {
    if (this.changesAirs(owner, keys)) return "all";
    const { network } = this;
    const { list, index } = owner;
    const nodes = this.index.positions("nodes");
    const ducts = this.index.positions("ducts");
    const firstDuct = network.nodes.length;
    const firstOpening = firstDuct + network.ducts.length;
    if (list === "openings") return [firstOpening + index];
    if (list === "ducts") {
      // Only its section and its air concern the nodes at its ends.
      if (!["section", "air", "parallel"].includes(keys[0])) return [firstDuct + index, ...this.sensing];
      const { from, to } = network.ducts[index];
      return [firstDuct + index, at(nodes, nodeIdOf(from)), at(nodes, nodeIdOf(to)), ...this.sensing];
    }
    const node = network.nodes[index];
    const ports = kindOf(node).ports(node);
    const ends = ports.length === 0 ? [node.id] : ports.map((port) => `${node.id}.${port}`);
    const beside = ends.flatMap((end) => this.system.plan.ductsAt(end).map(({ id }) => firstDuct + at(ducts, id)));
    return [index, ...beside, ...this.leaningOn(node.id), ...this.sensing];
  }

  /** The elements of openings that lead to a node and of terminals in it. */
  private leaningOn(id: string): readonly number[] {
    if (this.leaning === undefined) {
      const { network } = this;
      const leaning = new Map<string, number[]>();
      const lean = (node: string, element: number): void => {
        const already = leaning.get(node);
        if (already === undefined) leaning.set(node, [element]);
        else already.push(element);
      };
      network.nodes.forEach((node, element) => {
        if (isTerminal(node) && node.room !== undefined) lean(node.room, element);
      });
      network.openings.forEach(({ from, to }, i) => {
        const element = network.nodes.length + network.ducts.length + i;
        lean(from, element);
        lean(to, element);
      });
      this.leaning = leaning;
    }
    return this.leaning.get(id) ?? [];
  }

  /** The path of an owner by the ids of a document. */
  pathOf({ list, index }: Owner): string {
    return list === "air" || list === "outdoorAir" ? list : `${list}.${this.network[list][index].id}`;
  }

  /** What is wrong after a change below some keys of an owner, beside the range of the number itself. */
  contradictionsOf(owner: Owner, keys: readonly string[]): readonly Contradiction[] {
    const own = this.ownContradictions(owner, keys);
    return this.changesAirs(owner, keys) ? [...own, ...this.airContradictions()] : own;
  }

  /** The same at the owner and its neighbours. */
  private ownContradictions(owner: Owner, keys: readonly string[]): readonly Contradiction[] {
    const { network } = this;
    const { list, index } = owner;
    if (list === "openings") return none;
    if (list === "nodes") return this.nodeContradictions(network.nodes[index]);
    if (list === "ducts") {
      const duct = network.ducts[index];
      const [key, which] = keys;
      const kind = key === "fittings" ? duct.fittings[Number(which)].kind : undefined;
      if (kind === "fixed" || kind === "rating") return none; // nothing else depends on their numbers
      if (!["section", "air", "parallel", "roughness", "compression", "fittings"].includes(key)) return none;
      const own = contradictionsAt(this.pathOf(owner), ductFindings(duct, network.air));
      if (!["section", "air", "parallel"].includes(key)) return own;
      const nodes = this.index.positions("nodes");
      const ends = [duct.from, duct.to].map((end) => network.nodes[at(nodes, nodeIdOf(end))]);
      return [...own, ...ends.flatMap((node) => this.nodeContradictions(node))];
    }
    return contradictionsAt("", [
      ...airFindings(network.air, network.air, "air"),
      ...airFindings(network.outdoorAir, network.air, "outdoorAir"),
    ]);
  }

  /** What is wrong where ducts must carry one air, wherever that comes from. */
  private airContradictions(): readonly Contradiction[] {
    if (!this.system.plan.hasSeveralAirs) return none;
    this.uniform ??= this.nodes.flatMap((node, index) => (kindOf(node).oneAir === true ? [index] : []));
    return this.uniform.flatMap((index) => this.nodeContradictions(this.nodes[index]));
  }

  private nodeContradictions(node: NetworkNode): readonly Contradiction[] {
    return contradictionsAt(`nodes.${node.id}`, kindOf(node).findings(node, this.surroundingsOf(node)));
  }

  private surroundingsOf(node: NetworkNode): Surroundings {
    const { plan } = this.system;
    const nodes = this.index.positions("nodes");
    return {
      runs: plan.runsAt(node.id),
      ducts: () => plan.ductsAt(node.id),
      portDuct: (port) => plan.ductsAt(`${node.id}.${port}`)[0],
      kindOf: (id) => this.network.nodes[at(nodes, id)]?.kind,
      nearestOf: () => undefined,
      airIn: (duct) => plan.soundAirIn(duct),
      inherits: plan.inherits,
      air: this.network.air,
    };
  }
}

/** A number in a model's network, with the elements that read it. */
class Knob implements Parameter {
  readonly path: string;
  readonly initial: number;
  readonly owner: Owner;
  private readonly holder: Record<string, number>;
  private readonly key: string;
  /** The curve that it is a number of. */
  private readonly curve: CurvePart | undefined;
  private readonly elements: readonly number[] | "all";
  private readonly reach: typeof fittings | typeof everything;

  constructor(
    private readonly model: Model,
    private readonly place: ParameterPlace,
  ) {
    const { holder, key } = holderOf(ownedBy(model.network, place.owner), place.keys);
    this.path = place.path;
    this.owner = place.owner;
    this.holder = holder;
    this.key = key;
    this.initial = holder[key];
    const depth = place.keys.indexOf("curve");
    this.curve = depth < 0 ? undefined : curveAt(ownedBy(model.network, place.owner), place.keys.slice(0, depth));
    this.elements = model.elementsReading(place.owner, place.keys);
    this.reach = key === "coefficient" && place.keys[0] === "fittings" ? fittings : everything;
  }

  get value(): number {
    return this.holder[this.key];
  }

  set value(value: number) {
    const old = this.value;
    const problem = valueProblem(this.place, value);
    if (problem !== undefined) throw new InputError([problem]);
    this.write(value);
    if (this.contradictions().length > 0) {
      const problems = contradictionProblems([this]);
      this.write(old);
      throw new InputError(problems);
    }
    if (value !== old) this.model.unsolved = true;
  }

  /** What is wrong with a value by itself. */
  problemOf(value: number): Problem | undefined {
    return valueProblem(this.place, value);
  }

  /** Writes a value that has been checked. */
  write(value: number): void {
    const old = this.value;
    if (value === old) return;
    if (old === this.initial) this.model.changed++;
    if (value === this.initial) this.model.changed--;
    this.holder[this.key] = value;
    if (this.curve !== undefined) forgetReading(this.curve);
    this.model.touch(this.elements, this.reach);
  }

  /** Where its number stands by the ids of a document, be it named by a fan or by a node. */
  get standing(): string {
    return joined(this.model.pathOf(this.owner), ...this.place.keys);
  }

  /** What is wrong beside the other numbers of its element, and those that it meets. */
  contradictions(): readonly Contradiction[] {
    return this.model.contradictionsOf(this.owner, this.place.keys);
  }

  /** A contradiction for which its value stands. */
  problemFrom({ element, finding }: Contradiction): Problem {
    const { code, expected, found, key } = finding;
    const where = joined(element, key);
    const message = `${this.path}: ${this.value} contradicts the rest of the network: ${where} is expected to be ${expected}, got ${found}`;
    return { code, path: this.path, message, expected, found };
  }
}

/** What the values of some knobs contradict: each fault once, at the knob of the number where it shows if that is one of them. */
const contradictionProblems = (knobs: readonly Knob[]): Problem[] => {
  const meeting = new Map<string, { readonly contradiction: Contradiction; readonly knobs: Knob[] }>();
  for (const knob of knobs) {
    for (const contradiction of knob.contradictions()) {
      const { element, finding } = contradiction;
      const name = `${element} ${finding.key} ${finding.code} ${finding.expected}`;
      const met = meeting.get(name);
      if (met === undefined) meeting.set(name, { contradiction, knobs: [knob] });
      else met.knobs.push(knob);
    }
  }
  return Array.from(meeting.values(), ({ contradiction, knobs: met }) => {
    const { element, finding } = contradiction;
    const place = joined(element, finding.key);
    const own = met.find(({ standing }) => standing === place);
    const near = own ?? met.find(({ standing }) => standing.startsWith(`${element}.`)) ?? met[0];
    return near.problemFrom(contradiction);
  });
};

/** The document's own answer, with how it was found. */
interface OwnAnswer {
  readonly answer: Answer;
  readonly convergence: Convergence;
}

class Compiled implements CompiledNetwork {
  private readonly model: Model;
  private readonly knobs = new Map<string, Knob>();
  /** Holds the document's values, but while `solve` runs. */
  private aside: Model | undefined;
  private own: OwnAnswer | "none" | undefined;
  private last: Convergence | undefined;
  private next: "cold" | "last" | "document" = "cold";

  constructor(private readonly network: Network) {
    this.model = new Model(network);
  }

  parameter(path: string): Parameter {
    let knob = this.knobs.get(path);
    if (knob === undefined) {
      knob = this.model.knob(path);
      this.knobs.set(path, knob);
    }
    return knob;
  }

  output(path: string): Output {
    const read = outputReader(this.network, this.model.system, path);
    const { model } = this;
    const solved = (): Convergence => this.solved();
    return {
      path,
      get value() {
        return read(model.solver, solved());
      },
    };
  }

  update(options?: UpdateOptions): Convergence {
    if (options !== undefined) requireKeys("options", options, ["start", "tolerance"]);
    const { start, tolerance = 1 } = options ?? {};
    const limits = limitsOf({ tolerance });
    requireStart(start);
    const { model } = this;
    const from = start ?? this.next;
    const own = from === "document" ? this.documentAnswer() : undefined;
    this.last = undefined;
    this.next = "document";
    model.refresh();
    model.unsolved = false;
    const found =
      solvedAgain(model, own, limits) ?? solveFrom(model.solver, from === "last" ? model.solver : own?.answer, limits);
    if (this.own === undefined && model.changed === 0 && from === "cold") this.own = rememberedOf(model, found);
    this.next = "last";
    this.last = found;
    return found;
  }

  solution(): Solution {
    const { model } = this;
    return solutionOf(model.network, model.system, model.solver, this.solved());
  }

  solve(changes: Readonly<Record<string, number>> = {}): Solution {
    requireObject("changes", changes);
    const own = this.documentAnswer();
    this.aside ??= new Model(this.network);
    const model = this.aside;
    const knobs = knobsOf(model, changes);
    try {
      for (const knob of knobs) knob.write(changes[knob.path]);
      const contradictions = contradictionProblems(knobs);
      if (contradictions.length > 0) throw new InputError(contradictions);
      model.refresh();
      const limits = limitsOf();
      const found = solvedAgain(model, own, limits) ?? solveFrom(model.solver, own?.answer, limits);
      return solutionOf(model.network, model.system, model.solver, found);
    } finally {
      for (const knob of knobs) knob.write(knob.initial);
      model.refresh();
    }
  }

  /** The answer at the document's own values; undefined where it has none. */
  private documentAnswer(): OwnAnswer | undefined {
    if (this.own === undefined) {
      this.aside ??= new Model(this.network);
      try {
        this.own = rememberedOf(this.aside, solveFrom(this.aside.solver, undefined, limitsOf()));
      } catch (error) {
        if (!(error instanceof SolveError)) throw error;
        this.own = "none";
      }
    }
    return this.own === "none" ? undefined : this.own;
  }

  private solved(): Convergence {
    if (this.last !== undefined && !this.model.unsolved) return this.last;
    const expected = "a successful update() before, and no parameter changed since";
    const found = this.last === undefined ? "none, or a failed one" : "a changed parameter";
    const message = `compiled network: expected ${expected}, got ${found}`;
    throw new InputError([{ code: "not-solved", path: "", message, expected, found }]);
  }
}

const rememberedOf = ({ solver }: Model, convergence: Convergence): OwnAnswer => ({
  answer: { massFlow: solver.massFlow.slice(), pressure: solver.pressure.slice(), speed: solver.speed.slice() },
  convergence,
});

/** The document's own answer again where nothing differs from the document: to the bit, and as it was found. */
const solvedAgain = (model: Model, own: OwnAnswer | undefined, { tolerance }: SolveLimits): Convergence | undefined => {
  if (own === undefined || model.changed > 0 || tolerance < 1) return undefined;
  model.solver.startFrom(own.answer);
  return own.convergence;
};

/** The knobs of changes that are right by themselves. */
const knobsOf = (model: Model, changes: Readonly<Record<string, number>>): Knob[] => {
  const knobs: Knob[] = [];
  const problems = Object.keys(changes).flatMap((path) => problemsOf(() => knobs.push(model.knob(path))));
  problems.push(...knobs.flatMap((knob) => knob.problemOf(changes[knob.path]) ?? []));
  if (problems.length > 0) throw new InputError(problems);
  return knobs;
};

const requireStart = (start: unknown): void => {
  if (start === undefined || start === "document") return;
  const [expected, found] = ["'document' or nothing", shown(start)];
  const message = `start: expected ${expected}, got ${found}`;
  throw new InputError([{ code: "value.choice", path: "start", message, expected, found }]);
};
