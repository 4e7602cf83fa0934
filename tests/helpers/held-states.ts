import {
  type CompiledNetwork,
  compileNetwork,
  type NetworkDocument,
  parseNetwork,
  SolveError,
  solveNetwork,
} from "../../src/index.js";
import { expectSolved } from "./evaluator.js";

type Sensor = { duct: string; at: "inlet" | "outlet" } | { node: string };

interface Control {
  readonly kind: "flow" | "pressure" | "balance";
  readonly flow?: number;
  readonly pressure?: number;
  readonly pressureKind?: "static" | "total";
  readonly sensor?: Sensor;
  readonly against?: Sensor;
  readonly to?: string;
  readonly ratio?: number;
  readonly minSpeed?: number;
  readonly maxSpeed?: number;
}

interface Fan {
  readonly control?: Control;
  readonly speed?: number;
  readonly curve: { readonly speeds?: readonly { readonly speed: number }[] };
}

interface Controlled {
  readonly name: string;
  readonly control: Control;
  readonly minSpeed: number;
  readonly maxSpeed: number;
}

/** How near to its set value each is, over a value of its kind that counts [-] */
const leastScale = { flow: 1e-3, pressure: 1, balance: 1e-3 } as const;
/** Nearer than this, all set values are held. */
const near = 1e-6;
const stepsAlone = 80;
const stepsOfTwo = 24;

/** The fans of a document by the names that results know them by. */
const fansOf = (document: NetworkDocument): [name: string, fan: Fan][] =>
  document.nodes.flatMap((node): [string, Fan][] => {
    if (node.kind === "fan") return [[node.id, node as unknown as Fan]];
    if (node.kind !== "airHandler") return [];
    return (["supply", "extract"] as const).flatMap((side): [string, Fan][] => {
      const fan = node[side]?.fan as Fan | undefined;
      return fan === undefined ? [] : [[`${node.id}.${side}`, fan]];
    });
  });

/** The fans of a document that are controlled, with the limits of their speeds. */
export const controlledFans = (document: NetworkDocument): Controlled[] =>
  fansOf(document).flatMap(([name, { control, curve }]) => {
    if (control === undefined) return [];
    const fastest = Math.max(1, ...(curve.speeds ?? []).map(({ speed }) => speed));
    const { minSpeed = fastest / 10, maxSpeed = fastest } = control;
    return [{ name, control, minSpeed, maxSpeed }];
  });

/** A document whose fans are not controlled, each at the speed that it says. */
const uncontrolled = (document: NetworkDocument): NetworkDocument => {
  const without = ({ control, ...fan }: Fan): object => fan;
  const nodes = document.nodes.map((node) => {
    if (node.kind === "fan") return without(node as unknown as Fan);
    if (node.kind !== "airHandler") return node;
    const sides = (["supply", "extract"] as const).map((side) => {
      const part = node[side] as { fan: Fan } | undefined;
      return part === undefined ? {} : { [side]: { ...part, fan: without(part.fan) } };
    });
    return Object.assign({}, node, ...sides);
  });
  return { ...document, nodes } as NetworkDocument;
};

/** What the controllers of a network would read at fixed speeds, less their set values, each over a value of its kind. */
class Scan {
  private readonly compiled: CompiledNetwork;
  readonly fans: readonly Controlled[];

  constructor(document: NetworkDocument) {
    this.fans = controlledFans(document);
    this.compiled = compileNetwork(uncontrolled(document));
  }

  /** The errors at some speeds; undefined where the network has no answer. */
  at(speeds: readonly number[]): number[] | undefined {
    this.fans.forEach(({ name }, c) => {
      this.compiled.parameter(`fans.${name}.speed`).value = speeds[c];
    });
    try {
      this.compiled.update();
    } catch (error) {
      if (error instanceof SolveError) return undefined;
      throw error;
    }
    return this.fans.map(({ name, control }) => {
      const { kind, flow = 0, pressure = 0, ratio = 1 } = control;
      if (kind === "flow") return (this.value(`fans.${name}.flow`) - flow) / Math.max(flow, leastScale.flow);
      if (kind === "balance") {
        const other = ratio * this.value(`fans.${control.to}.massFlow`);
        return (this.value(`fans.${name}.massFlow`) - other) / Math.max(Math.abs(other), leastScale.balance);
      }
      const against = control.against === undefined ? 0 : this.sensed(control.against, control);
      const read = this.sensed(control.sensor as Sensor, control) - against;
      return (read - pressure) / Math.max(Math.abs(pressure), leastScale.pressure);
    });
  }

  private value(path: string): number {
    return this.compiled.output(path).value as number;
  }

  private sensed(sensor: Sensor, { pressureKind = "static" }: Control): number {
    return "node" in sensor
      ? this.value(`nodes.${sensor.node}.totalPressure`)
      : this.value(`ducts.${sensor.duct}.${sensor.at}.${pressureKind}Pressure`);
  }
}

/** Speeds over the range of a fan, each the same share above the one before. */
const speedsOf = ({ minSpeed, maxSpeed }: Controlled, steps: number): number[] =>
  Array.from({ length: steps + 1 }, (_, k) => minSpeed * (maxSpeed / minSpeed) ** (k / steps));

const isHeld = (errors: readonly number[] | undefined): boolean =>
  errors?.every((error) => Math.abs(error) <= near) === true;

/** Where the error of one fan alone changes its sign and gets to 0 there, by bisection. */
const heldByOne = (scan: Scan): number[] | undefined => {
  let last: [speed: number, error: number] | undefined;
  for (const speed of speedsOf(scan.fans[0], stepsAlone)) {
    const error = scan.at([speed])?.[0];
    if (error !== undefined && last !== undefined && error > 0 !== last[1] > 0) {
      let [a, b] = [last[0], speed];
      const rising = error > 0;
      for (let times = 0; times < 60; times++) {
        const middle = (a + b) / 2;
        const here = scan.at([middle]);
        if (isHeld(here)) return [middle];
        if (here === undefined) break;
        if (here[0] > 0 === rising) b = middle;
        else a = middle;
      }
    }
    last = error === undefined ? undefined : [speed, error];
  }
  return undefined;
};

/** Newton's method with measured slopes from a place where both errors change their signs nearby. */
const refined = (scan: Scan, start: readonly number[]): number[] | undefined => {
  let speeds = [...start];
  for (let times = 0; times < 30; times++) {
    const errors = scan.at(speeds);
    if (errors === undefined) return undefined;
    if (isHeld(errors)) return speeds;
    const slopes = speeds.map((speed, c) => {
      const step = 1e-5 * speed;
      const moved = scan.at(speeds.map((other, k) => (k === c ? other + step : other)));
      return moved?.map((error, k) => (error - errors[k]) / step);
    });
    const [one, other] = slopes;
    if (one === undefined || other === undefined) return undefined;
    const determinant = one[0] * other[1] - other[0] * one[1];
    const steps = [
      (errors[0] * other[1] - other[0] * errors[1]) / determinant,
      (one[0] * errors[1] - errors[0] * one[1]) / determinant,
    ];
    const longest = Math.max(...steps.map((step, c) => Math.abs(step / speeds[c])));
    const share = Math.min(1, 0.2 / longest);
    speeds = speeds.map((speed, c) => {
      const { minSpeed, maxSpeed } = scan.fans[c];
      return Math.min(Math.max(speed - share * steps[c], minSpeed), maxSpeed);
    });
    if (!speeds.every(Number.isFinite)) return undefined;
  }
  return undefined;
};

const heldByTwo = (scan: Scan): number[] | undefined => {
  const [first, second] = scan.fans.map((fan) => speedsOf(fan, stepsOfTwo));
  const errors = first.map((one, i) => {
    // There and back, so that each answer is near the one before.
    const row: (number[] | undefined)[] = [];
    for (let k = 0; k < second.length; k++) {
      const j = i % 2 === 0 ? k : second.length - 1 - k;
      row[j] = scan.at([one, second[j]]);
    }
    return row;
  });
  for (let i = 0; i < stepsOfTwo; i++) {
    for (let j = 0; j < stepsOfTwo; j++) {
      const corners = [errors[i][j], errors[i + 1][j], errors[i][j + 1], errors[i + 1][j + 1]];
      const turns = (c: number): boolean => {
        const signs = corners.flatMap((corner) => (corner === undefined ? [] : [corner[c] > 0]));
        return signs.includes(true) && signs.includes(false);
      };
      if (!turns(0) || !turns(1)) continue;
      const found = refined(scan, [(first[i] + first[i + 1]) / 2, (second[j] + second[j + 1]) / 2]);
      if (found !== undefined) return found;
    }
  }
  return undefined;
};

/**
 * Speeds at which all controllers of a document, one or two, hold their set values, by solving it at fixed speeds over a
 * grid of them; undefined where the grid shows none.
 */
export const heldSpeeds = (document: NetworkDocument): number[] | undefined => {
  const scan = new Scan(document);
  return scan.fans.length === 1 ? heldByOne(scan) : heldByTwo(scan);
};

/** What came of a campaign against scans. */
export interface ScanCampaign {
  /** Documents whose set values are all held. */
  readonly held: number;
  /** Those of them where the solve met a state at a limit first. */
  readonly marked: number;
  /** Seeds whose answer is at a limit, or is none, though a scan finds speeds that hold everything, with these. */
  readonly missed: readonly string[];
}

/** Solves the documents of a range of seeds, each with one or two controllers, and scans those whose answer is at a limit. */
export const heldByScan = (
  documentOf: (seed: number) => NetworkDocument,
  first: number,
  last: number,
): ScanCampaign => {
  const missed: string[] = [];
  let held = 0;
  let marked = 0;
  for (let seed = first; seed <= last; seed++) {
    const network = parseNetwork(documentOf(seed));
    let limited = true;
    try {
      const solution = solveNetwork(network);
      expectSolved(network, solution);
      limited = Object.values(solution.fans).some(({ control }) => control?.limit !== undefined);
      if (!limited && solution.convergence.otherStates === true) marked++;
    } catch (error) {
      if (!(error instanceof SolveError)) throw error;
    }
    if (!limited) held++;
    else {
      const speeds = heldSpeeds(documentOf(seed));
      if (speeds !== undefined) missed.push(`${seed}: ${speeds.map((speed) => speed.toPrecision(4)).join(" and ")}`);
    }
  }
  return { held, marked, missed };
};
