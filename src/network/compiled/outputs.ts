import { shown } from "../../core/show.js";
import { withFanStarted } from "../elements/fan.js";
import { kindOf } from "../elements/kinds/list.js";
import type { Answer } from "../equations/state.js";
import type { Elements } from "../layout/layout.js";
import type { Convergence, Solution } from "../results/solution.js";
import { assemble, type System } from "../solve/assemble.js";
import { emptySolution } from "../solve/solve.js";
import { type NetworkIndex, namedBy, nearestPath, unknownNumber, unknownPath, wordsOf } from "./paths.js";

type Records = "ducts" | "nodes" | "terminals" | "openings" | "fans" | "airHandlers";
const lists = ["ducts", "nodes", "terminals", "openings", "fans", "airHandlers", "convergence"];

/** Numbers of a fan that follow from its electrical input. */
const ofPower = ["power", "specificFanPower", "efficiency", "heatToAir"];

const noConvergence: Convergence = { iterations: 0, massResidual: 0, pressureResidual: 0 };

const position = /^(0|[1-9]\d*)$/;

const reportedAt = (value: unknown, keys: readonly string[]): unknown => {
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
  if (first === "control") return below(1) === "missing" && reportedAt(record, ["control"]) !== undefined;
  if (first === "losses" && second === "paths") {
    return reportedAt(record, ["losses", "pattern"]) !== undefined && pathNumber.test(below(2));
  }
  const depth = keys.indexOf("outside");
  if (depth < 1 || !outsideNumber.test(below(depth + 1))) return false;
  const [model, kind] = ["model", "kind"].map((key) => reportedAt(record, [...keys.slice(0, depth), key]));
  return model !== undefined && (model !== "given" || kind === "regulator");
};

/** Every branch at the flow from which a cold solve starts: there all numbers exist that fans give at their speeds. */
const atStart = ({ equations }: System): Answer => ({
  massFlow: equations.startFlow,
  pressure: equations.fixedPressure,
  speed: equations.startSpeeds(),
});

/** A network in which all fans run that can: their speeds may be changed, and one that stands still lacks numbers. */
const withFansStarted = (elements: Elements): Elements => ({
  ...elements,
  nodes: elements.nodes.map((node) =>
    kindOf(node)
      .fans(node)
      .reduce((copy, { keys }) => withFanStarted(copy, keys), node),
  ),
});

/**
 * A reader of one number of an answer, which lets only the element concerned report.
 *
 * @throws InputError `path.unknown`, with the nearest path, for a number that this network never has.
 */
export const outputReader = (
  index: NetworkIndex,
  system: System,
  path: string,
): ((answer: Answer, convergence: Convergence) => number | undefined) => {
  if (wordsOf(path)[0] === "convergence") return convergenceReader(path);
  const { name, named, owner } = namedBy(index, path, lists);
  const words = wordsOf(path);
  const list = words[0] as Records;
  const keys = words.slice(named);
  const element = index.elementOf(owner);
  const recordOfSystem = ({ elements }: System, answer: Answer): unknown => {
    const solution: Solution = emptySolution(noConvergence);
    elements.report(element, answer, solution);
    return solution[list][name];
  };
  const known = (record: unknown): boolean =>
    typeof reportedAt(record, keys) === "number" || comesAndGoes(record, keys);
  const record = recordOfSystem(system, atStart(system));
  if (!known(record)) {
    const { layout } = system;
    const running = assemble(layout.withElements(withFansStarted(layout.elements)));
    if (!known(recordOfSystem(running, atStart(running)))) {
      if (list === "fans" && ofPower.includes(keys.join("."))) {
        throw unknownPath(path, "a fan whose curve gives power or efficiency", "one that gives neither", undefined);
      }
      throw unknownNumber(path, named, record, "a number that this network has");
    }
  }
  return (answer) => {
    const held = reportedAt(recordOfSystem(system, answer), keys);
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
