import { shown } from "../../core/show.js";
import type { Network } from "../document/document.js";
import type { Answer } from "../equations/state.js";
import type { Convergence, Solution } from "../results/solution.js";
import type { System } from "../solve/assemble.js";
import { emptySolution } from "../solve/solve.js";
import { NetworkIndex, nearestPath, unknownNumber, unknownPath, wordsOf } from "./paths.js";

type Records = "ducts" | "nodes" | "terminals" | "openings" | "fans" | "airHandlers";
const lists = ["ducts", "nodes", "terminals", "openings", "fans", "airHandlers", "convergence"];

const noConvergence: Convergence = { iterations: 0, massResidual: 0, pressureResidual: 0 };

const position = /^(0|[1-9]\d*)$/;

const at = (value: unknown, keys: readonly string[]): unknown => {
  let held = value;
  for (const key of keys) {
    if (typeof held !== "object" || held === null || !Object.hasOwn(held, key)) return undefined;
    if (Array.isArray(held) && !position.test(key)) return undefined; // its length is none of its numbers
    held = (held as Readonly<Record<string, unknown>>)[key];
  }
  return held;
};

/** What lies outside the range of a source; there are few such entries. */
const outsideNumber = /^\d\.(value|range\.(min|max|above))$/;
const pathNumber = /^[01]\.(coefficient|loss)$/;

/**
 * Whether a record may have a number that it lacks in one state: what a controller misses, what air loses from leg to leg of
 * a tee, and what lies outside the range of a model that covers not all.
 */
const comesAndGoes = (record: unknown, keys: readonly string[]): boolean => {
  const below = (count: number): string => keys.slice(count).join(".");
  const [first, second] = keys;
  if (first === "control") return below(1) === "missing" && at(record, ["control"]) !== undefined;
  if (first === "losses" && second === "paths") {
    return at(record, ["losses", "pattern"]) !== undefined && pathNumber.test(below(2));
  }
  const depth = keys.indexOf("outside");
  if (depth < 1 || !outsideNumber.test(below(depth + 1))) return false;
  const [model, kind] = ["model", "kind"].map((key) => at(record, [...keys.slice(0, depth), key]));
  return model !== undefined && (model !== "given" || kind === "regulator");
};

/** Where a record of a solution stands: which element reports it, under which name, and which keys are asked of it. */
const recordOf = (
  network: Network,
  path: string,
): { list: Records; name: string; element: number; keys: readonly string[] } => {
  const words = wordsOf(path);
  const [list, id = ""] = words;
  const index = new NetworkIndex(network);
  if (list === "fans") {
    const long = words.slice(1, 3).join(".");
    const name = index.fans.has(long) ? long : id;
    const fan = index.fans.get(name);
    if (fan !== undefined) return { list, name, element: fan.index, keys: words.slice(name === long ? 3 : 2) };
    throw unknownPath(path, "the name of a fan after 'fans.'", shown(id), nearestPath(words, 1, index.fans.keys()));
  }
  if (list === "ducts" || list === "openings" || list === "nodes" || list === "terminals" || list === "airHandlers") {
    const positions = index.positions(list === "ducts" || list === "openings" ? list : "nodes");
    const position = positions.get(id);
    if (position === undefined) {
      throw unknownPath(path, `an id after '${list}.'`, shown(id), nearestPath(words, 1, positions.keys()));
    }
    const before = list === "ducts" || list === "openings" ? network.nodes.length : 0;
    const element = position + before + (list === "openings" ? network.ducts.length : 0);
    return { list, name: id, element, keys: words.slice(2) };
  }
  const expected = `a path that begins with ${lists.join(", ")}`;
  throw unknownPath(path, expected, shown(list), words.length > 0 ? nearestPath(words, 0, lists) : undefined);
};

/**
 * A reader of one number of an answer, which lets only the element concerned report.
 *
 * @throws InputError `path.unknown`, with the nearest path, for a number that this network never has.
 */
export const outputReader = (
  network: Network,
  { elements, equations }: System,
  path: string,
): ((answer: Answer, convergence: Convergence) => number | undefined) => {
  if (wordsOf(path)[0] === "convergence") return convergenceReader(path);
  const { list, name, element, keys } = recordOf(network, path);
  const recordIn = (answer: Answer): unknown => {
    const solution: Solution = emptySolution(noConvergence);
    elements.report(element, answer, solution);
    return solution[list][name];
  };
  // With every branch at the flow from which a cold solve starts, all numbers exist that ever will.
  const record = recordIn({
    massFlow: equations.startFlow,
    pressure: equations.fixedPressure,
    speed: equations.startSpeeds(),
  });
  if (typeof at(record, keys) !== "number" && !comesAndGoes(record, keys)) {
    throw unknownNumber(path, wordsOf(path).length - keys.length, record, "a number that this network has");
  }
  return (answer) => {
    const held = at(recordIn(answer), keys);
    return typeof held === "number" ? held : undefined;
  };
};

const convergenceReader = (path: string): ((answer: Answer, convergence: Convergence) => number) => {
  const key = path.slice("convergence.".length);
  const known = ["iterations", "massResidual", "pressureResidual"] as const;
  const found = known.find((one) => one === key);
  if (found !== undefined) return (_, convergence) => convergence[found];
  throw unknownPath(
    path,
    `one of the numbers ${known.join(", ")}`,
    shown(key),
    nearestPath(["convergence", key], 1, known),
  );
};
