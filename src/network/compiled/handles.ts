import { InputError, type Problem } from "../../core/errors.js";
import { problemsOf } from "../../core/gather.js";
import { invalidateFanReading } from "../elements/curve-cache.js";
import type { CurvePart } from "../format/parts.js";
import { type Contradiction, Contradictions } from "./contradictions.js";
import { curveAt, type Model, type Reach } from "./model.js";
import {
  canonicalPathOf,
  doubledProblems,
  holderOf,
  type Owner,
  ownedBy,
  type ParameterPlace,
  parameterPlace,
  valueProblem,
} from "./paths.js";

/** A number of a compiled network that may be changed. */
export interface Parameter {
  /** As it was asked for; a number that has two names, by a fan and by its node, is the same number by both. */
  readonly path: string;
  /** In the document [SI] */
  readonly initial: number;
  /**
   * Now [SI]. Assigning an invalid value (not finite, out of range, or inconsistent with the rest of the network) throws
   * InputError immediately and keeps the previous value.
   */
  value: number;
}

/** A number in a model's network, one for all of its names, with the elements that read it. */
class ParameterHandle {
  readonly initial: number;
  private readonly owner: Owner;
  private readonly keys: readonly string[];
  private readonly holder: Record<string, number>;
  private readonly key: string;
  /** The curve that it is a number of. */
  private readonly curve: CurvePart | undefined;
  private readonly elements: readonly number[] | "all";
  private readonly reach: Reach;

  constructor(
    private readonly model: Model,
    private readonly contradictions: Contradictions,
    /** Its path by the ids of a document. */
    readonly canonicalPath: string,
    { keys, owner }: ParameterPlace,
  ) {
    this.owner = owner;
    this.keys = keys;
    const element = ownedBy(model.network, owner);
    const { holder, key } = holderOf(element, keys);
    this.holder = holder;
    this.key = key;
    this.initial = holder[key];
    const depth = keys.indexOf("curve");
    this.curve = depth < 0 ? undefined : curveAt(element, keys.slice(0, depth));
    this.elements = model.elementsReading(owner, keys);
    this.reach = model.reachOf(owner, keys);
  }

  get value(): number {
    return this.holder[this.key];
  }

  /** Writes a value that has been checked. */
  write(value: number): void {
    const old = this.value;
    if (value === old) return;
    if (old === this.initial) this.model.changed++;
    if (value === this.initial) this.model.changed--;
    this.holder[this.key] = value;
    if (this.curve !== undefined) invalidateFanReading(this.curve);
    this.model.markDirty(this.elements, this.reach);
  }

  /** What is wrong beside the other numbers of the network. */
  contradicted(): Iterable<Contradiction> {
    return this.contradictions.after(this.owner, this.keys, this.elements);
  }
}

/** A number of a model by one of its names. */
export class Handle implements Parameter {
  constructor(
    private readonly model: Model,
    readonly place: ParameterPlace,
    readonly handle: ParameterHandle,
  ) {}

  get path(): string {
    return this.place.path;
  }

  get initial(): number {
    return this.handle.initial;
  }

  get value(): number {
    return this.handle.value;
  }

  set value(value: number) {
    const { handle } = this;
    const old = handle.value;
    const problem = this.problemOf(value);
    if (problem !== undefined) throw new InputError([problem]);
    handle.write(value);
    const problems = contradictionProblems([this]);
    if (problems.length > 0) {
      handle.write(old);
      throw new InputError(problems);
    }
    if (value !== old) this.model.unsolved = true;
  }

  /** What is wrong with a value on its own. */
  problemOf(value: number): Problem | undefined {
    return valueProblem(this.place, value);
  }

  /** A contradiction for which its value stands. */
  problemFrom({ element, problem }: Contradiction): Problem {
    const { code, expected, found } = problem;
    const where = placeOf({ element, problem });
    const message = `${this.path}: ${this.value} contradicts the rest of the network: ${where} is expected to be ${expected}, got ${found}`;
    return { code, path: this.path, message, expected, found };
  }
}

const placeOf = ({ element, problem }: Contradiction): string =>
  [element, problem.key].filter((word) => word !== "").join(".");

/** What the values of some numbers contradict: each fault once, at the number where it shows if that is one of them. */
export const contradictionProblems = (handles: readonly Handle[]): Problem[] => {
  const meeting = new Map<string, { readonly contradiction: Contradiction; readonly handles: Handle[] }>();
  for (const handle of handles) {
    for (const contradiction of handle.handle.contradicted()) {
      const { element, problem } = contradiction;
      const name = `${element} ${problem.key} ${problem.code} ${problem.expected}`;
      const met = meeting.get(name);
      if (met === undefined) meeting.set(name, { contradiction, handles: [handle] });
      else met.handles.push(handle);
    }
  }
  return Array.from(meeting.values(), ({ contradiction, handles: met }) => {
    const place = placeOf(contradiction);
    const own = met.find(({ handle }) => handle.canonicalPath === place);
    const near =
      own ?? met.find(({ handle }) => handle.canonicalPath.startsWith(`${contradiction.element}.`)) ?? met[0];
    return near.problemFrom(contradiction);
  });
};

/** The numbers of a model that have been asked for. */
export class Handles {
  private readonly handles = new Map<string, Handle>();
  private readonly byPath = new Map<string, ParameterHandle>();
  private contradictions: Contradictions | undefined;

  constructor(private readonly model: Model) {}

  /** @throws InputError `path.unknown`, with the nearest path. */
  at(path: string): Handle {
    let handle = this.handles.get(path);
    if (handle === undefined) {
      const place = parameterPlace(this.model.index, path);
      handle = new Handle(this.model, place, this.handleOf(place));
      this.handles.set(path, handle);
    }
    return handle;
  }

  private handleOf(place: ParameterPlace): ParameterHandle {
    const { model } = this;
    const canonicalPath = canonicalPathOf(model.network, place);
    let handle = this.byPath.get(canonicalPath);
    if (handle === undefined) {
      this.contradictions ??= new Contradictions(model);
      model.own(place.owner);
      handle = new ParameterHandle(model, this.contradictions, canonicalPath, place);
      this.byPath.set(canonicalPath, handle);
    }
    return handle;
  }

  /**
   * Those that changes name, whose values are right on their own.
   *
   * @throws InputError with all wrong paths and values.
   */
  of(changes: Readonly<Record<string, number>>): Handle[] {
    const handles: Handle[] = [];
    const problems = Object.keys(changes).flatMap((path) => problemsOf(() => handles.push(this.at(path))));
    problems.push(...handles.flatMap((handle) => handle.problemOf(changes[handle.path]) ?? []));
    const places = handles.map(({ place }) => place);
    problems.push(...doubledProblems(this.model.network, places, changes));
    if (problems.length > 0) throw new InputError(problems);
    return handles;
  }
}
