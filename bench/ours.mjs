// Measures ductgraph alone; each task runs in a process of its own. usage: node bench/ours.mjs <task> [size] [repeats]
import { PerformanceObserver } from "node:perf_hooks";
import { compileNetwork, parseNetwork, solveNetwork } from "ductgraph";
import { median, timed } from "./measure.mjs";
import {
  boostersOf,
  coefficientPaths,
  documentOf,
  fittingsOf,
  networkOf,
  teesOf,
  unitsOf,
  withFixed,
  withoutControl,
  withoutTees,
} from "./networks.mjs";

const [task, size = "300", repeats = "9", friction = "churchill"] = process.argv.slice(2);
const print = (result) => console.log(JSON.stringify({ task, size: +size, ...result }));

/** Every coefficient × 1.02 and back: times of the updates, both ways being warm. */
const warmTimes = (compiled, network, count) => {
  const parameters = coefficientPaths(network).map((path) => compiled.parameter(path));
  const times = [];
  let iterations = 0;
  for (let r = 0; r < count; r++) {
    const factor = r % 2 === 0 ? 1.02 : 1;
    for (const parameter of parameters) parameter.value = parameter.initial * factor;
    times.push(
      timed(() => {
        iterations = compiled.update().iterations;
      }),
    );
  }
  return { times, iterations };
};

const printWarm = (document) => {
  const network = parseNetwork(document);
  const compiled = compileNetwork(network);
  const { iterations } = compiled.update();
  const warm = warmTimes(compiled, network, 2 * +repeats + 10);
  print({
    tees: document.nodes.filter(({ kind }) => kind === "tee").length,
    warmMs: median(warm.times.slice(10)),
    iterations,
    warmIterations: warm.iterations,
  });
};

/** Times of updates with one number of the fan × 1.02 and back, and of a compile with its first update. */
const printFan = (document, path) => {
  const network = parseNetwork(document);
  const colds = Array.from({ length: 4 * +repeats }, () => timed(() => compileNetwork(network).update()));
  const compiled = compileNetwork(network);
  compiled.update();
  const number = compiled.parameter(path);
  let iterations = 0;
  const warms = Array.from({ length: 20 * +repeats }, (_, r) => {
    number.value = number.initial * (r % 2 === 0 ? 1.02 : 1);
    return timed(() => {
      iterations = compiled.update().iterations;
    });
  });
  print({ coldMs: median(colds.slice(+repeats)), warmMs: median(warms.slice(+repeats)), warmIterations: iterations });
};

/** Set values of all fans that have one; of others of units and boosters the speeds. */
const fanPaths = ({ nodes }) =>
  nodes.flatMap(({ id, kind, ...node }) => {
    const path = (fan, keys) => {
      const what = { flow: "flow", pressure: "pressure", balance: "ratio" }[fan.control?.kind];
      return `nodes.${id}.${keys}${what === undefined ? "speed" : `control.${what}`}`;
    };
    if (kind === "airHandler") return ["supply", "extract"].map((side) => path(node[side].fan, `${side}.fan.`));
    return kind === "fan" && id !== "central" ? [path(node, "")] : [];
  });

/** Two documents, turn and turn about, so that the machine's moods meet both: least times, and ratios of medians. */
const printPair = (documents) => {
  const networks = documents.map((document) => parseNetwork(document));
  const colds = networks.map(() => []);
  const warms = networks.map(() => []);
  const compiled = [];
  for (let r = 0; r < 2 * +repeats; r++) {
    networks.forEach((network, i) => {
      const time = timed(() => {
        compiled[i] = compileNetwork(network);
        compiled[i].update();
      });
      if (r >= +repeats) colds[i].push(time);
    });
  }
  const knobs = documents.map((document, i) => fanPaths(document).map((path) => compiled[i].parameter(path)));
  for (let r = 0; r < 6 * +repeats; r++) {
    compiled.forEach((one, i) => {
      for (const knob of knobs[i]) knob.value = knob.initial * (r % 2 === 0 ? 1.02 : 1);
      const time = timed(() => one.update());
      if (r >= +repeats) warms[i].push(time);
    });
  }
  const [cold, warm] = [colds, warms].map(([controlled, fixed]) => median(controlled) / median(fixed));
  print({ coldRatio: cold, warmRatio: warm, coldMs: median(colds[0]), warmMs: median(warms[0]) });
};

const tasks = {
  /** compileNetwork with the first update, and warm updates. */
  solve() {
    const network = parseNetwork(documentOf(networkOf(+size), friction));
    const colds = [];
    let iterations = 0;
    let compiled;
    // As for the peers, cold is a new network in a program that is warmed up.
    for (let r = 0; r < +repeats; r++) compileNetwork(network).update();
    for (let r = 0; r < +repeats; r++) {
      colds.push(
        timed(() => {
          compiled = compileNetwork(network);
          iterations = compiled.update().iterations;
        }),
      );
    }
    const warm = warmTimes(compiled, network, 2 * +repeats + 10);
    print({
      coldMs: median(colds),
      warmMs: median(warm.times.slice(10)),
      iterations,
      warmIterations: warm.iterations,
      peakMB: Math.round(process.resourceUsage().maxRSS / 1024),
    });
  },
  /** From the parsed document to the first update and to the named solution, once, with the peak of memory. */
  once() {
    let network = parseNetwork(documentOf(networkOf(+size), friction));
    globalThis.gc?.();
    let compiled;
    const firstMs = timed(() => {
      compiled = compileNetwork(network);
      compiled.update();
    });
    network = undefined;
    const peakMB = Math.round(process.resourceUsage().maxRSS / 1024);
    const solutionMs = timed(() => compiled.solution());
    print({ firstMs, peakMB, solutionMs });
  },
  /** parseNetwork alone. */
  parse() {
    const document = documentOf(networkOf(+size), friction);
    print({ parseMs: median(Array.from({ length: +repeats }, () => timed(() => parseNetwork(document)))) });
  },
  /** From JSON text to the named solution. */
  text() {
    const text = JSON.stringify(documentOf(networkOf(+size), friction));
    const run = () => timed(() => solveNetwork(JSON.parse(text)));
    for (let r = 0; r < 300; r++) run();
    print({ textMs: median(Array.from({ length: 10 * +repeats }, run)) });
  },
  /** Iterations over five seeds. */
  iterations() {
    const seeds = [1, 2, 3, 4, 5].map((seed) => {
      const document = documentOf(networkOf(+size, seed), friction);
      const compiled = compileNetwork(document);
      return [compiled.update().iterations, warmTimes(compiled, document, 2).iterations];
    });
    print({ cold: Math.max(...seeds.map(([cold]) => cold)), warm: Math.max(...seeds.map(([, warm]) => warm)) });
  },
  /** Warm updates of a tree with a tee wherever three ducts meet. */
  tees() {
    printWarm(teesOf(+size));
  },
  /** The same with junctions and the losses of the tees, as solved, in the ducts' coefficients. */
  teesFixed() {
    const document = teesOf(+size);
    printWarm(withoutTees(document, solveNetwork(document)));
  },
  /** Warm updates of ducts with three fittings each whose coefficients follow the Reynolds number. */
  fittings() {
    printWarm(fittingsOf(+size, friction));
  },
  /** The same with the coefficients as solved. */
  fittingsFixed() {
    const document = fittingsOf(+size, friction);
    printWarm(withFixed(document, solveNetwork(document)));
  },
  /** Warm and cold updates of a network whose fan holds a flow, the set flow × 1.02. */
  control() {
    const free = documentOf(networkOf(+size), friction);
    const { fan } = solveNetwork(free).fans;
    const nodes = free.nodes.map((node) =>
      node.kind === "fan" ? { ...node, control: { kind: "flow", flow: 0.9 * fan.flow, maxSpeed: 2 } } : node,
    );
    printFan({ ...free, nodes }, "fans.fan.control.flow");
  },
  /** The same at fixed speed, the speed × 1.02. */
  controlFixed() {
    printFan(documentOf(networkOf(+size), friction), "fans.fan.speed");
  },
  /** Units whose fans are all controlled, beside the same at the speeds found: by points, apart. */
  units() {
    const document = unitsOf(+size, "points", false);
    printPair([document, withoutControl(document, solveNetwork(document))]);
  },
  /** The same with curves at several speeds. */
  unitsFamily() {
    const document = unitsOf(+size, "family", false);
    printPair([document, withoutControl(document, solveNetwork(document))]);
  },
  /** The same by points, around a stairwell, so that every controller feels every fan. */
  unitsAround() {
    const document = unitsOf(+size, "points", true);
    printPair([document, withoutControl(document, solveNetwork(document))]);
  },
  /** Boosters on one main, which all feel one another. */
  boosters() {
    const document = boostersOf(+size);
    printPair([document, withoutControl(document, solveNetwork(document))]);
  },
  /** Garbage collections during 1,000 updates after warm-up, one parameter changed each time. */
  async garbage() {
    const document = documentOf(networkOf(+size), friction);
    const compiled = compileNetwork(document);
    const length = compiled.parameter("ducts.d5.length");
    const run = (count) => {
      for (let r = 0; r < count; r++) {
        length.value = length.initial * (r % 2 === 0 ? 1.02 : 1);
        compiled.update();
      }
    };
    run(1000);
    let collections = 0;
    const observer = new PerformanceObserver((list) => {
      collections += list.getEntries().length;
    });
    globalThis.gc?.();
    await new Promise((resolve) => setTimeout(resolve, 50));
    observer.observe({ entryTypes: ["gc"] });
    run(1000);
    await new Promise((resolve) => setTimeout(resolve, 50));
    observer.disconnect();
    print({ collections });
  },
};

await tasks[task]();
