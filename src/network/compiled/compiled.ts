import { InputError, problemOf, SolveError } from "../../core/errors.js";
import { readObject, requireKeys } from "../../core/keys.js";
import { shown } from "../../core/show.js";
import { type Network, type NetworkDocument, parseNetwork } from "../document/document.js";
import type { SolveLimits } from "../equations/gradient-solver.js";
import type { Answer } from "../equations/state.js";
import type { Convergence, Solution } from "../results/solution.js";
import { limitsOf, solutionOf, solveFrom } from "../solve/solve.js";
import { Model } from "./model.js";
import { outputReader } from "./outputs.js";
import { changeProblems, type Parameter, Parameters } from "./parameters.js";

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
  /**
   * "document": from the answer at the document's own values. "cold": from where a first solve of the changed document would
   * start. Default: from the last answer. Where the network has several states, each start may find another.
   */
  readonly start?: "document" | "cold";
  /** As in `solveNetwork` [-]. */
  readonly tolerance?: number;
}

/** A network made ready for many solves. */
export interface CompiledNetwork {
  /**
   * Solves with changed numbers, from the document's own answer; remembers nothing, and neither reads nor sets parameters.
   *
   * @param changes - New values by parameter path [SI].
   * @returns A whole solution; without changes the solution of `solveNetwork`, bit for bit.
   * @throws InputError with all wrong paths and values; if none is wrong, with everything that the values contradict,
   *   each at the path where it shows if that is among the changes; SolveError.
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
   * Solves with the parameters as they are now, from the last answer or as `start` says. Every answer meets the
   * tolerance. If the network has several states (fan curves with a hump, controllers at limits), the answer may differ
   * from the answer of a first solve, and an update that ends at the same limits as the last does not look again for a
   * state in which all controllers hold. `start: "cold"` finds what `solveNetwork` of the changed document finds, bit
   * for bit.
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

/** The document's own answer, with how it was found. */
interface OwnAnswer {
  readonly answer: Answer;
  readonly convergence: Convergence;
}

class Compiled implements CompiledNetwork {
  readonly #network: Network;
  readonly #model: Model;
  readonly #parameters: Parameters;
  /** Holds the document's values, but while `solve` runs. */
  #scratch: { readonly model: Model; readonly parameters: Parameters } | undefined;
  #own: OwnAnswer | "none" | undefined;
  #last: Convergence | undefined;
  #next: "cold" | "last" | "document" = "cold";

  constructor(network: Network) {
    this.#network = network;
    this.#model = new Model(network);
    this.#parameters = new Parameters(this.#model);
  }

  parameter(path: string): Parameter {
    return this.#parameters.at(path);
  }

  output(path: string): Output {
    const read = outputReader(this.#model.index, this.#model.system, path);
    const model = this.#model;
    const solved = (): Convergence => this.#solved();
    return {
      path,
      get value() {
        return read(model.solver, solved());
      },
    };
  }

  update(options?: UpdateOptions): Convergence {
    const { start, tolerance = 1 } = options === undefined ? asUsual : optionsOf(options);
    const limits = limitsOf({ tolerance });
    requireStart(start);
    const model = this.#model;
    const from = start ?? this.#next;
    const own = from === "document" ? this.#documentAnswer() : undefined;
    this.#last = undefined;
    this.#next = "document";
    model.refresh();
    model.unsolved = false;
    const found =
      solvedAgain(model, own, limits) ?? solveFrom(model.solver, from === "last" ? model.solver : own?.answer, limits);
    const usual = from === "cold" && tolerance === 1;
    if (this.#own === undefined && model.changed === 0 && usual) this.#own = rememberedOf(model, found);
    this.#next = "last";
    this.#last = found;
    return found;
  }

  solution(): Solution {
    const model = this.#model;
    return solutionOf(model.network, model.system, model.solver, this.#solved());
  }

  solve(changes: Readonly<Record<string, number>> = {}): Solution {
    const values = readObject("changes", changes);
    const { model, parameters } = this.#besides();
    const changed = parameters.of(values);
    const own = this.#documentAnswer();
    try {
      for (const { handle, place } of changed) handle.write(values[place.path]);
      const problems = changeProblems(changed);
      if (problems.length > 0) throw new InputError(problems);
      model.refresh();
      const limits = limitsOf();
      const found = solvedAgain(model, own, limits) ?? solveFrom(model.solver, own?.answer, limits);
      return solutionOf(model.network, model.system, model.solver, found);
    } finally {
      for (const { handle } of changed) handle.write(handle.initial);
      model.refresh();
    }
  }

  #besides(): { readonly model: Model; readonly parameters: Parameters } {
    if (this.#scratch === undefined) {
      const model = new Model(this.#network);
      this.#scratch = { model, parameters: new Parameters(model) };
    }
    return this.#scratch;
  }

  /** The answer at the document's own values; undefined where it has none. */
  #documentAnswer(): OwnAnswer | undefined {
    if (this.#own === undefined) {
      const { model } = this.#besides();
      try {
        this.#own = rememberedOf(model, solveFrom(model.solver, undefined, limitsOf()));
      } catch (error) {
        if (!(error instanceof SolveError)) throw error;
        this.#own = "none";
      }
    }
    return this.#own === "none" ? undefined : this.#own;
  }

  #solved(): Convergence {
    if (this.#last !== undefined && !this.#model.unsolved) return this.#last;
    const expected = "a successful update() since the last change of a parameter";
    const found = this.#last === undefined ? "none, or a failed one" : "a changed parameter";
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

const asUsual: UpdateOptions = {};

const optionsOf = (options: UpdateOptions): UpdateOptions => {
  const given = readObject("options", options);
  requireKeys("options", given, ["start", "tolerance"]);
  return given;
};

const requireStart = (start: unknown): void => {
  if (start === undefined || start === "document" || start === "cold") return;
  throw new InputError([problemOf("value.choice", "start", "'document', 'cold' or nothing", shown(start))]);
};
