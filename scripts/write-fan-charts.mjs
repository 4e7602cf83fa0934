/** Writes the charts of docs/fans.md into docs/charts/, from what the built package computes. */
import { mkdirSync, writeFileSync } from "node:fs";
import * as main from "ductgraph";
import * as fans from "ductgraph/fans";
import { lineChart } from "./line-chart.mjs";

/** Values of a law at even steps. */
const sampled = (from, to, law, count = 60) =>
  Array.from({ length: count + 1 }, (_, i) => from + (i * (to - from)) / count).map((x) => [x, law(x)]);

const points = [
  { flow: 0, pressure: 300, efficiency: 0.02 },
  { flow: 0.05, pressure: 296, efficiency: 0.34 },
  { flow: 0.1, pressure: 268, efficiency: 0.52 },
  { flow: 0.15, pressure: 205, efficiency: 0.6 },
  { flow: 0.2, pressure: 110, efficiency: 0.52 },
  { flow: 0.23, pressure: 60, efficiency: 0.4 },
];
const curve = { pressureKind: "total", points };

/** A small fan that falls short of the laws at low speed, and whose power does not follow the cube of speed. */
const family = {
  pressureKind: "total",
  speeds: [
    [1200, 0.22, 0.47, 10],
    [1900, 0.62, 0.78, 27],
    [2400, 1, 1, 51],
  ].map(([speed, ofPressure, ofFlow, power]) => ({
    speed,
    points: points.map(({ flow, pressure }, i) => ({
      flow: ofFlow * flow,
      pressure: ofPressure * pressure,
      power: power * (0.7 + 0.1 * i - 0.012 * i * i),
    })),
  })),
};

const flow = (to) => ({ label: "flow, l/s", range: [0, to] });

function formsChart({ fanCurve, fitFanCurve, polynomialFan }) {
  const { polynomial } = fitFanCurve(points, 2);
  const [joined, fitted] = [fanCurve(curve), polynomialFan({ pressureKind: "total", ...polynomial })];
  return lineChart({
    title: "A curve through its points, and a parabola fitted to them",
    x: flow(230),
    y: { label: "total pressure, Pa" },
    curves: [
      { name: "through the points", points: sampled(0, 230, (q) => joined.pressure(q / 1000)) },
      { name: "fitted, degree 2", points: sampled(0, 230, (q) => fitted.pressure(q / 1000)) },
    ],
  });
}

function familyChart({ fanFamily }) {
  const model = fanFamily(family);
  return lineChart({
    title: "A family of curves at three speeds, and the curve between two of them",
    x: flow(230),
    y: { label: "total pressure, Pa" },
    curves: [1200, 1600, 1900, 2400].map((speed) => {
      const fan = model.at(speed);
      const name = `${speed}/min${speed === 1600 ? ", between" : ""}`;
      return { name, points: sampled(0, 1000 * fan.range.max, (q) => fan.pressure(q / 1000)) };
    }),
  });
}

const motor = {
  ratedOutput: 60,
  points: [
    { load: 0.1, efficiency: 0.45 },
    { load: 0.25, efficiency: 0.66 },
    { load: 0.5, efficiency: 0.77 },
    { load: 1, efficiency: 0.8 },
  ],
};

function chainChart({ fanInput, atSpeed }) {
  const input = (n) => fanInput(atSpeed(curve, n), { motor, controller: 0.95 }, 0.15 * n);
  const full = input(1).mainsInput;
  return lineChart({
    title: "Electrical input over speed: by the efficiencies of motor and controller, and by the cube of speed",
    x: { label: "speed, % of full", range: [40, 100] },
    y: { label: "power, W" },
    curves: [
      { name: "at the mains", points: sampled(40, 100, (n) => input(n / 100).mainsInput) },
      { name: "at the mains, by n³", points: sampled(40, 100, (n) => full * (n / 100) ** 3) },
      { name: "at the impeller", points: sampled(40, 100, (n) => input(n / 100).impellerPower) },
    ],
  });
}

function specificPowerChart({ fanFamily, specificFanPower, toWattsPerLitrePerSecond }) {
  const model = fanFamily(family);
  return lineChart({
    title: "Specific fan power of one fan at three speeds",
    x: flow(230),
    y: { label: "specific fan power, W/(l/s)" },
    curves: [1200, 1900, 2400].map((speed) => {
      const fan = model.at(speed);
      const law = (q) => toWattsPerLitrePerSecond(specificFanPower(fan.power(q / 1000), q / 1000));
      return { name: `${speed}/min`, points: sampled(35, 1000 * fan.range.max, law) };
    }),
  });
}

/** What a system of quadratic losses takes [Pa] at a flow [l/s], by its loss at 150 l/s. */
const system = (loss) => (q) => loss * (q / 150) ** 2;

function systemsChart({ fanCurve }) {
  const fan = fanCurve(curve);
  return lineChart({
    title: "One fan and two states of a system: it runs where the curves meet",
    x: flow(230),
    y: { label: "total pressure, Pa" },
    curves: [
      { name: "fan", points: sampled(0, 230, (q) => fan.pressure(q / 1000)) },
      { name: "system, clean filter", points: sampled(0, 190, system(130)) },
      { name: "system, loaded filter", points: sampled(0, 160, system(220)) },
    ],
  });
}

/** Flow [m³/s] and total pressure [Pa] of fans together, from a barred system to a free one: what the network solves. */
function together({ solveNetwork }, nodes, ducts) {
  const end = (id) => ({ id, kind: "outdoors", entry: 0, exit: 0 });
  const throttled = (loss) => ({
    format: "ductgraph/1",
    nodes: [end("in"), end("out"), { id: "a", kind: "junction" }, { id: "b", kind: "junction" }, ...nodes],
    ducts: [["in", "a"], ...ducts, ["b", "out", [{ kind: "rating", pressure: loss, flow: 0.15 }]]].map(
      ([from, to, fittings = []], i) => ({
        ...{ id: `d${i}`, from, to, length: 1, frictionFactor: 0, section: { diameter: 0.2 }, fittings },
      }),
    ),
  });
  return sampled(5.5, 1, (power) => 10 ** power).map(([, loss]) => {
    const { ducts: solved, nodes: places } = solveNetwork(throttled(loss));
    return [1000 * solved[`d${ducts.length + 1}`].flow, places.b.totalPressure];
  });
}

function arrangementsChart(main) {
  const fan = (id) => ({ id, kind: "fan", curve: { pressureKind: "total", points } });
  const way = (id) => [
    ["a", `${id}.inlet`],
    [`${id}.outlet`, "b"],
  ];
  const series = [
    ["a", "f.inlet"],
    ["f.outlet", "g.inlet"],
    ["g.outlet", "b"],
  ];
  return lineChart({
    title: "One fan, two in series and two side by side against one system",
    x: flow(500),
    y: { label: "total pressure, Pa" },
    curves: [
      { name: "one fan", points: together(main, [fan("f")], way("f")) },
      { name: "two in series", points: together(main, [fan("f"), fan("g")], series) },
      { name: "two side by side", points: together(main, [fan("f"), fan("g")], [...way("f"), ...way("g")]) },
      { name: "system", points: sampled(0, 295, system(155)) },
    ],
  });
}

function controlChart({ atSpeed }) {
  const held = 120;
  /** The speed at which the fan gives at the held flow what the system takes there, by halving. */
  const speedFor = (loss) => {
    let [low, high] = [0.3, 1];
    for (let step = 0; step < 40; step++) {
      const middle = (low + high) / 2;
      if (atSpeed(curve, middle).pressure(held / 1000) < system(loss)(held)) low = middle;
      else high = middle;
    }
    return high;
  };
  const fans = [130, 220].map((loss) => ({ loss, speed: speedFor(loss) }));
  return lineChart({
    title: "A fan that holds 120 l/s runs faster where the filter is loaded",
    x: flow(230),
    y: { label: "total pressure, Pa" },
    curves: fans.flatMap(({ loss, speed }, i) => {
      const fan = atSpeed(curve, speed);
      const state = i === 0 ? "clean" : "loaded";
      return [
        {
          name: `fan at ${(100 * speed).toFixed(0)} %`,
          points: sampled(0, 1000 * fan.range.max, (q) => fan.pressure(q / 1000)),
        },
        { name: `system, ${state}`, points: sampled(0, 150, system(loss)) },
      ];
    }),
  });
}

/** Every chart by its file's name, from the functions of both entries. */
export const fanCharts = (library, main) => ({
  "fan-forms.svg": formsChart(library),
  "fan-family.svg": familyChart(library),
  "fan-power-chain.svg": chainChart(library),
  "fan-specific-power.svg": specificPowerChart(library),
  "fan-systems.svg": systemsChart(library),
  "fan-arrangements.svg": arrangementsChart(main),
  "fan-control.svg": controlChart(library),
});

if (process.argv[1] === import.meta.filename) {
  mkdirSync("docs/charts", { recursive: true });
  for (const [name, svg] of Object.entries(fanCharts(fans, main))) writeFileSync(`docs/charts/${name}`, svg);
}
