import { InputError, joined, type Problem } from "../../core/errors.js";
import { thrownBy } from "../../core/gather.js";
import { invalidateFanReading } from "../elements/curve-cache.js";
import type { CurvePart } from "../format/fan-curve.js";
import { ChangeChecks, type ChangeProblem } from "./change-checks.js";
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
    private readonly checks: ChangeChecks,
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

  /** Writes a value that is valid alone and with the other numbers, or throws InputError and keeps the old one. */
  set(value: number, place: ParameterPlace): void {
    const old = this.value;
    const problem = valueProblem(place, value);
    if (problem !== undefined) throw new InputError([problem]);
    this.write(value);
    const problems = changeProblems([{ place, handle: this }]);
    if (problems.length > 0) {
      this.write(old);
      throw new InputError(problems);
    }
    if (value !== old) this.model.unsolved = true;
  }

  /** What is inconsistent with the other numbers of the network. */
  problems(): Iterable<ChangeProblem> {
    return this.checks.after(this.owner, this.keys, this.elements);
  }
}

/** A number of a model by one of its names. */
export interface NamedHandle {
  readonly place: ParameterPlace;
  readonly handle: ParameterHandle;
}

/** What users are given of it. Its fields are hidden, so that neither JSON nor a copy meets the whole model in it. */
class NamedParameter implements Parameter {
  readonly #handle: ParameterHandle;
  readonly #place: ParameterPlace;

  constructor(place: ParameterPlace, handle: ParameterHandle) {
    this.#handle = handle;
    this.#place = place;
  }

  get path(): string {
    return this.#place.path;
  }

  get initial(): number {
    return this.#handle.initial;
  }

  get value(): number {
    return this.#handle.value;
  }

  set value(value: number) {
    this.#handle.set(value, this.#place);
  }
}

const pathOf = ({ element, problem }: ChangeProblem): string => joined(element, problem.key);

/** A problem for which the value of a number stands. */
const problemAt = ({ handle, place: { path } }: NamedHandle, change: ChangeProblem): Problem => {
  const { code, expected, found } = change.problem;
  const message = `${path}: ${handle.value} contradicts the rest of the network: ${pathOf(change)} is expected to be ${expected}, got ${found}`;
  return { code, path, message, expected, found };
};

/** What the values of some numbers contradict: each fault once, at the number where it shows if that is one of them. */
export const changeProblems = (changed: readonly NamedHandle[]): Problem[] => {
  const meeting = new Map<string, { readonly change: ChangeProblem; readonly met: NamedHandle[] }>();
  for (const one of changed) {
    for (const change of one.handle.problems()) {
      const { element, problem } = change;
      const name = `${element} ${problem.key} ${problem.code} ${problem.expected}`;
      const already = meeting.get(name);
      if (already === undefined) meeting.set(name, { change, met: [one] });
      else already.met.push(one);
    }
  }
  return Array.from(meeting.values(), ({ change, met }) => {
    const path = pathOf(change);
    const own = met.find(({ handle }) => handle.canonicalPath === path);
    const near = own ?? met.find(({ handle }) => handle.canonicalPath.startsWith(`${change.element}.`)) ?? met[0];
    return problemAt(near, change);
  });
};

/** The numbers of a model that have been asked for. */
export class Parameters {
  private readonly named = new Map<string, NamedHandle & { readonly parameter: Parameter }>();
  private readonly handles = new Map<string, ParameterHandle>();
  private checks: ChangeChecks | undefined;

  constructor(private readonly model: Model) {}

  /** @throws InputError `path.unknown`, with the nearest path. */
  at(path: string): Parameter {
    return this.namedAt(path).parameter;
  }

  private namedAt(path: string): NamedHandle & { readonly parameter: Parameter } {
    let named = this.named.get(path);
    if (named === undefined) {
      const place = parameterPlace(this.model.index, path);
      const handle = this.handleOf(place);
      named = { place, handle, parameter: new NamedParameter(place, handle) };
      this.named.set(path, named);
    }
    return named;
  }

  private handleOf(place: ParameterPlace): ParameterHandle {
    const { model } = this;
    const canonicalPath = canonicalPathOf(model.network, place);
    let handle = this.handles.get(canonicalPath);
    if (handle === undefined) {
      this.checks ??= new ChangeChecks(model);
      model.own(place.owner);
      handle = new ParameterHandle(model, this.checks, canonicalPath, place);
      this.handles.set(canonicalPath, handle);
    }
    return handle;
  }

  /**
   * Those that changes name, whose values are right on their own.
   *
   * @throws InputError with all wrong paths and values.
   */
  of(changes: Readonly<Record<string, number>>): NamedHandle[] {
    const named: NamedHandle[] = [];
    const problems = Object.keys(changes).flatMap((path) => thrownBy(() => named.push(this.namedAt(path))));
    const places = named.map(({ place }) => place);
    problems.push(...places.flatMap((place) => valueProblem(place, changes[place.path]) ?? []));
    problems.push(...doubledProblems(this.model.network, places, changes));
    if (problems.length > 0) throw new InputError(problems);
    return named;
  }
}
