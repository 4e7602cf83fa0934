import { isDeepStrictEqual } from "node:util";
import {
  type CompiledNetwork,
  compileNetwork,
  type Network,
  type Parameter,
  parseNetwork,
  type Solution,
  solveNetwork,
  withChanges,
} from "../../src/index.js";
import {
  NetworkIndex,
  numbersBelow,
  ownedBy,
  type ParameterPlace,
  parameterPlace,
} from "../../src/network/compiled/paths.js";
import type { Random } from "./control-networks.js";

/** The kind of an error with its codes. */
interface Refusal {
  readonly error: string;
  readonly message: string;
}

/** What a solve came to. */
type Outcome = { readonly solution: Solution } | Refusal;

const wrongInput = "wrong input ";

const refusalOf = (error: unknown): Refusal => {
  const { message, name, problems, status } = error as Error & { problems?: { code: string }[]; status?: string };
  if (problems === undefined && status === undefined) return { error: `${name} (a bare error)`, message };
  // A document's fault is a wrong input where it comes of a change.
  if (problems === undefined) return { error: `${name} ${status}`, message };
  return { error: `${wrongInput}${[...new Set(problems.map(({ code }) => code))].sort()}`, message };
};

const outcomeOf = (solve: () => Solution): Outcome => {
  try {
    return { solution: solve() };
  } catch (error) {
    return refusalOf(error);
  }
};

const told = (outcome: Outcome): string =>
  "solution" in outcome ? "an answer" : `${outcome.error}: ${outcome.message}`;

/** Air that moves by less than this [kg/s] is at rest as far as a tolerance of 1e-6 Pa can tell. */
const rest = 1e-4;

/**
 * How far two answers lie apart [-]: the largest difference of a mass flow over the largest mass flow, or that of a fan's
 * speed, as a curve that falls and rises holds one flow at several speeds.
 */
const apart = (one: Solution, other: Solution): number => {
  const lists = ["ducts", "fans", "openings", "terminals"] as const;
  let [largest, difference] = [rest, 0];
  for (const list of lists) {
    for (const id in one[list]) {
      const [a, b] = [one[list][id].massFlow, other[list][id].massFlow];
      largest = Math.max(largest, Math.abs(a), Math.abs(b));
      difference = Math.max(difference, Math.abs(a - b));
    }
  }
  const speeds = Object.keys(one.fans).map((id) => Math.abs(one.fans[id].speed - other.fans[id].speed));
  return Math.max(difference / largest, ...speeds);
};

/** Codes and paths of all warnings of a solution. */
const warningsOf = ({ warnings }: Solution): string[] => warnings.map(({ code, path }) => `${code} at ${path}`).sort();

/** Paths of all numbers in a solution. */
const numbersOf = (solution: Solution): string[] => {
  const { warnings, ...numbers } = solution;
  return Array.from(numbersBelow(numbers), (keys) => keys.join("."));
};

/** All numbers of a network that can be changed. */
const parametersOf = (network: Network): ParameterPlace[] => {
  const index = new NetworkIndex(network);
  const lists = (["nodes", "ducts", "openings"] as const).flatMap((list) =>
    network[list].flatMap((element) => Array.from(numbersBelow(element, [list, element.id]))),
  );
  const airs = [...numbersBelow(network.air, ["air"]), ...numbersBelow(network.outdoorAir, ["outdoorAir"])];
  return [...airs, ...lists].map((keys) => parameterPlace(index, keys.join(".")));
};

/** Values to try: near, far, the ends of the range, and one beyond them. */
const valuesOf = (network: Network, { keys, numeric, owner }: ParameterPlace): number[] => {
  const value = keys.reduce<unknown>((held, key) => (held as never)[key], ownedBy(network, owner)) as number;
  const { above, max, min } = numeric.range;
  const step = numeric.whole ? [value + 1] : [1.001 * value, 0.5 * value, 2 * value, value + 0.1];
  const ends = [min, max, above === undefined ? undefined : 1e-6, min === undefined ? undefined : min - 1];
  const all = [...step, ...ends.filter((end) => end !== undefined), -value];
  return [...new Set(all.map((one) => one + 0))].filter((one) => one !== value);
};

/** New values by path; each path stands as the document gives it. */
type Changes = Readonly<Record<string, number>>;

/** The same document with some numbers changed, as a person would edit it. */
const edited = (network: Network, changes: Changes): unknown => {
  const copy = structuredClone(network) as unknown as Record<string, unknown>;
  for (const [path, value] of Object.entries(changes)) {
    const words = path.split(".");
    let held: unknown = copy;
    for (const [i, word] of words.slice(0, -1).entries()) {
      const list =
        i === 1 && Array.isArray(held) ? (held as { id: string }[]).find(({ id }) => id === word) : undefined;
      held = list ?? (held as Record<string, unknown>)[word];
    }
    (held as Record<string, number>)[words[words.length - 1]] = value;
  }
  return copy;
};

/** What was found when numbers were changed in all ways that there are. */
export interface AllWays {
  checked: number;
  answered: number;
  /** Answers of a changed document in another of its states than a first solve finds. */
  otherStates: number;
  readonly faults: string[];
}

export const nothingYet = (): AllWays => ({ checked: 0, answered: 0, otherStates: 0, faults: [] });

/** Differences of answers that stand for the tolerance of a solve [-]. */
const near = 1e-5;

class Ways {
  private readonly compiled: CompiledNetwork;
  /** Output paths that are known to be offered. */
  private readonly offered = new Set<string>();

  constructor(
    private readonly name: string,
    private readonly network: Network,
    private readonly found: AllWays,
  ) {
    this.compiled = compileNetwork(network);
  }

  /** Changes numbers in every way, and holds the answers to that of the edited document. */
  try(changes: Changes): void {
    const { compiled, found, network } = this;
    found.checked++;
    const written = Object.entries(changes).map(([path, value]) => `${path} = ${value}`);
    const say = (what: string): void => {
      found.faults.push(`${this.name}, ${written.join(", ")}: ${what}`);
    };
    const changed = edited(network, changes);
    const truth = outcomeOf(() => solveNetwork(changed as never));
    const ways: Record<string, Outcome> = {
      withChanges: outcomeOf(() => solveNetwork(withChanges(network, changes))),
      solve: outcomeOf(() => compiled.solve(changes)),
      ...this.updates(changes, say),
    };

    if (!("solution" in truth)) {
      for (const [way, outcome] of Object.entries(ways)) {
        if (!("solution" in outcome) && sameRefusal(truth.error, outcome.error)) continue;
        say(`the document is refused (${told(truth)}), ${way} gives ${told(outcome)}`);
      }
      return;
    }
    found.answered++;
    for (const [way, outcome] of Object.entries(ways)) {
      if (!("solution" in outcome)) say(`the document is solved, ${way} gives ${told(outcome)}`);
    }
    const { cold, document: again, solve, withChanges: copied } = ways;
    if ("solution" in copied && !isDeepStrictEqual(copied.solution, truth.solution))
      say("withChanges gives other bits");
    if (cold !== undefined && "solution" in cold && !isDeepStrictEqual(cold.solution, truth.solution)) {
      say(`update from the cold start gives other bits, ${apart(cold.solution, truth.solution)} apart`);
    }
    if (!("solution" in solve && again !== undefined && "solution" in again)) return;
    if (!isDeepStrictEqual(solve.solution, again.solution)) say("solve and update from the document give other bits");
    this.expectAnswer(changed, truth.solution, solve.solution, say);
    for (const output of numbersOf(truth.solution)) {
      if (this.offered.has(output)) continue;
      this.offered.add(output);
      try {
        compiled.output(output);
      } catch {
        say(`its answer has the number ${output}, which is not offered as an output`);
      }
    }
  }

  /**
   * What updates come to after parameters were set one after another. One that is set before the last may be refused beside
   * the old value of another, as the document with so many changes is: then they are set the other way round, or not at all.
   */
  private updates(changes: Changes, say: (what: string) => void): Record<string, Outcome> {
    const { compiled, network } = this;
    const ahead = Object.entries(changes);
    for (const order of ahead.length > 1 ? [ahead, [...ahead].reverse()] : [ahead]) {
      const { refusal, set } = this.set(order);
      const updated = (start: "document" | "cold"): Outcome =>
        refusal ??
        outcomeOf(() => {
          compiled.update({ start });
          return compiled.solution();
        });
      const outcomes = { cold: updated("cold"), document: updated("document") };
      // Backwards, so that no value meets one that it did not stand beside.
      for (const parameter of set.reverse()) parameter.value = parameter.initial;
      if (refusal === undefined || set.length === order.length - 1) return outcomes;
      const part = outcomeOf(() =>
        solveNetwork(edited(network, Object.fromEntries(order.slice(0, set.length + 1))) as never),
      );
      if ("solution" in part || !sameRefusal(part.error, refusal.error)) {
        say(`${order[set.length][0]}, set first, is refused (${told(refusal)}), the document gives ${told(part)}`);
      }
    }
    return {};
  }

  /** Sets parameters one after another as far as they are accepted. */
  private set(order: readonly (readonly [string, number])[]): {
    readonly refusal?: Refusal;
    readonly set: Parameter[];
  } {
    const set: Parameter[] = [];
    for (const [path, value] of order) {
      const parameter = this.compiled.parameter(path);
      try {
        parameter.value = value;
      } catch (error) {
        return { refusal: refusalOf(error), set };
      }
      set.push(parameter);
    }
    return { set };
  }

  /**
   * A warm answer is that of the edited document, or another of its states: it meets the equations of that where it stands.
   * Either way both warn alike.
   */
  private expectAnswer(changed: unknown, truth: Solution, warm: Solution, say: (what: string) => void): void {
    const expectWarnings = (document: Solution): void => {
      const [cold, here] = [document, warm].map(warningsOf);
      if (!isDeepStrictEqual(cold, here)) say(`solve warns of [${here}], the document of [${cold}]`);
    };
    if (apart(truth, warm) <= near) {
      expectWarnings(truth);
      return;
    }
    const stayed = solveNetwork(changed as never, { start: warm });
    const stays = apart(stayed, warm) <= near;
    if (stays) expectWarnings(stayed);
    if (stays || stayed.convergence.iterations <= 1) this.found.otherStates++;
    else say(`solve gives an answer ${apart(truth, warm)} from that of the document, and none of its states`);
  }
}

/** Whether both have no answer, or a way tells only faults that the document has: what follows from them it may leave out. */
const sameRefusal = (document: string, way: string): boolean => {
  if (document.startsWith("SolveError")) return way.startsWith("SolveError");
  if (!way.startsWith(wrongInput)) return false;
  const codes = document.slice(wrongInput.length).split(",");
  return way
    .slice(wrongInput.length)
    .split(",")
    .every((code) => codes.includes(code));
};

/**
 * Changes numbers of a document in every way that there is: by editing, by `withChanges`, by `compiled.solve`, and by
 * parameters with an update from the document's answer and from the cold start. All answer alike, or all refuse alike.
 *
 * @param most - How many changes of one number are tried, drawn by chance.
 * @param pairs - How many changes of two numbers at once are tried, half of them of one element.
 */
export const tryAllWays = (
  name: string,
  document: unknown,
  found: AllWays,
  random: Random,
  most: number,
  pairs: number,
): void => {
  const network = parseNetwork(document);
  const ways = new Ways(name, network, found);
  const places = parametersOf(network);
  const share = most / places.length;
  for (const place of places) {
    const values = valuesOf(network, place);
    const all = share >= values.length;
    for (const value of values) if (all || random() < share / values.length) ways.try({ [place.path]: value });
  }
  const oneOf = <T>(many: readonly T[]): T => many[Math.floor(random() * many.length)];
  for (let i = 0; i < pairs; i++) {
    const first = oneOf(places);
    const beside = places.filter(({ owner }) => isDeepStrictEqual(owner, first.owner));
    const second = oneOf(i % 2 === 0 ? beside : places);
    const [one, other] = [first, second].map((place) => ({ [place.path]: oneOf(valuesOf(network, place)) }));
    if (second !== first) ways.try({ ...one, ...other });
  }
};
