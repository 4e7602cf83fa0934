/**
 * Writes the charts of docs/fans.md (its later sections) into docs/charts/: all operating points of a fan with a hump, the
 * temperatures after an exchanger, the air along its streams, the choice of a unit. Plain drawing, from what the built package computes.
 */
import { mkdirSync, readFileSync, writeFileSync } from "node:fs";
import * as main from "ductgraph";
import * as fans from "ductgraph/fans";

const [WIDTH, HEIGHT] = [480, 300];
const FRAME = { left: 52, right: 12, top: 14, bottom: 42 };
const INKS = ["#1f5fa8", "#b5471b", "#2c7a3f", "#777777"];

/** A chart of lines and marks over two linear axes. */
function chart({ title, x, y, lines, marks = [] }) {
  const across = (value) => FRAME.left + ((value - x.from) / (x.to - x.from)) * (WIDTH - FRAME.left - FRAME.right);
  const up = (value) =>
    HEIGHT - FRAME.bottom - ((value - y.from) / (y.to - y.from)) * (HEIGHT - FRAME.top - FRAME.bottom);
  const one = (value) => value.toFixed(1);
  const ticks = (axis) =>
    Array.from({ length: Math.round((axis.to - axis.from) / axis.step) + 1 }, (_, i) => axis.from + i * axis.step);
  const [low, high] = [one(up(y.from)), one(up(y.to))];
  const [first, last] = [one(across(x.from)), one(across(x.to))];
  return `${[
    `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${WIDTH} ${HEIGHT}" font-family="sans-serif" font-size="11" role="img">`,
    `<title>${title}</title>`,
    `<rect width="${WIDTH}" height="${HEIGHT}" fill="#ffffff"/>`,
    ...ticks(x).flatMap((value) => [
      `<path d="M${one(across(value))} ${low}V${high}" stroke="#e2e2e2"/>`,
      `<text x="${one(across(value))}" y="${one(up(y.from) + 15)}" text-anchor="middle">${value}</text>`,
    ]),
    ...ticks(y).flatMap((value) => [
      `<path d="M${first} ${one(up(value))}H${last}" stroke="#e2e2e2"/>`,
      `<text x="${one(across(x.from) - 6)}" y="${one(up(value) + 4)}" text-anchor="end">${value}</text>`,
    ]),
    `<path d="M${first} ${high}V${low}H${last}" fill="none" stroke="#333333"/>`,
    `<text x="${(WIDTH + FRAME.left) / 2}" y="${HEIGHT - 8}" text-anchor="middle">${x.name}</text>`,
    `<text transform="translate(13 ${HEIGHT / 2 - 10}) rotate(-90)" text-anchor="middle">${y.name}</text>`,
    ...lines.map(({ points, label, ink, dashed }) => {
      const path = points.map(([a, b], i) => `${i === 0 ? "M" : "L"}${one(across(a))} ${one(up(b))}`).join("");
      const [endX, endY] = label.at;
      return `<path d="${path}" fill="none" stroke="${INKS[ink]}" stroke-width="1.8"${dashed ? ' stroke-dasharray="5 4"' : ""}/>
<text x="${one(across(endX))}" y="${one(up(endY))}" fill="${INKS[ink]}">${label.text}</text>`;
    }),
    ...marks.map(
      ({ at: [a, b], filled, text }) =>
        `<circle cx="${one(across(a))}" cy="${one(up(b))}" r="4" fill="${filled ? "#333333" : "#ffffff"}" stroke="#333333"/>
<text x="${one(across(a) + 7)}" y="${one(up(b) - 7)}">${text}</text>`,
    ),
    "</svg>",
  ].join("\n")}\n`;
}

const steps = (from, to, law, count = 80) =>
  Array.from({ length: count + 1 }, (_, i) => from + (i * (to - from)) / count).map((x) => [x, law(x)]);

function operatingPointsChart({ fanCurve, intersections }) {
  const curve = {
    pressureKind: "total",
    points: [
      { flow: 0, pressure: 200 },
      { flow: 0.05, pressure: 150 },
      { flow: 0.1, pressure: 220 },
      { flow: 0.15, pressure: 200 },
      { flow: 0.25, pressure: 20 },
    ],
  };
  const law = (q) => 150 + 3000 * q ** 2;
  const system = steps(0, 0.25, law, 25).map(([flow, pressure]) => ({ flow, pressure }));
  const fan = fanCurve(curve);
  return chart({
    title: "A fan curve with a hump meets a system curve three times",
    x: { name: "flow, l/s", from: 0, to: 250, step: 50 },
    y: { name: "total pressure, Pa", from: 0, to: 300, step: 50 },
    lines: [
      { points: steps(0, 250, (q) => fan.pressure(q / 1000)), ink: 0, label: { text: "fan", at: [208, 108] } },
      { points: steps(0, 210, (q) => law(q / 1000)), ink: 1, label: { text: "system", at: [190, 280] } },
    ],
    marks: intersections(curve, system).map(({ flow, pressure, stable }) => ({
      at: [1000 * flow, pressure],
      filled: stable,
      text: stable ? "stable" : "unstable",
    })),
  });
}

function exchangerChart({ exchangerTemperatures, frostReducedSupply }) {
  const flow = 0.192;
  const state = (outdoor, share = 1) => ({
    efficiency: 0.85,
    supplyMassFlow: share * flow,
    extractMassFlow: flow,
    outdoor,
    extract: 20,
  });
  const share = (outdoor) => frostReducedSupply({ ...state(outdoor), limit: 0 });
  return chart({
    title: "Temperatures after an exchanger of 85 % and the supply flow that keeps the exhaust at 0 °C",
    x: { name: "outdoor temperature, °C", from: -20, to: 10, step: 5 },
    y: { name: "temperature, °C; supply flow, % of full", from: -20, to: 100, step: 20 },
    lines: [
      {
        points: steps(-20, 10, (t) => 100 * share(t)),
        ink: 2,
        label: { text: "supply flow, exhaust held at 0 °C", at: [-12, 78] },
      },
      {
        points: steps(-20, 10, (t) => exchangerTemperatures(state(t)).supply),
        ink: 1,
        label: { text: "supply", at: [-19, 20] },
      },
      {
        points: steps(-20, 10, (t) => exchangerTemperatures(state(t)).exhaust),
        ink: 0,
        label: { text: "exhaust, full flow", at: [-19, -9] },
      },
      { points: steps(-20, 10, (t) => t), ink: 3, dashed: true, label: { text: "outdoors", at: [-12, -19] } },
    ],
  });
}

function streamsChart({ solveNetwork }) {
  const stream = {
    fan: { curve: { pressureKind: "total", coefficients: [200, -600], from: 0, to: 0.3 } },
    fanAt: "inlet",
  };
  const valve = (service) => ({
    ...{ id: `${service}-valve`, kind: "terminal", service, room: "room" },
    loss: { pressure: 30, flow: 0.025 },
  });
  const duct = (id, from, to) => ({ id, from, to, length: 6, section: { diameter: 0.125 } });
  const network = (efficiency) => ({
    format: "ductgraph/1",
    air: { temperature: 22 },
    outdoorAir: { temperature: -8 },
    nodes: [
      { id: "in", kind: "outdoors", coefficient: 1 },
      { id: "out", kind: "outdoors", coefficient: 1 },
      { id: "room", kind: "room", pressure: 0 },
      valve("supply"),
      valve("extract"),
      { id: "unit", kind: "airHandler", supply: stream, extract: stream, exchanger: { efficiency } },
    ],
    ducts: [
      duct("intake", "in", "unit.intake"),
      duct("supply", "unit.supply", "supply-valve"),
      duct("extract", "extract-valve", "unit.extract"),
      duct("exhaust", "unit.exhaust", "out"),
    ],
  });
  const along = (id) => steps(0, 100, (share) => solveNetwork(network(share / 100)).ducts[id].air.temperature, 20);
  return chart({
    title: "Air in the ducts of a unit by the efficiency of its exchanger",
    x: { name: "efficiency of the exchanger, %", from: 0, to: 100, step: 20 },
    y: { name: "temperature, °C", from: -10, to: 25, step: 5 },
    lines: [
      { points: along("supply"), ink: 1, label: { text: "supply", at: [76, 12] } },
      { points: along("exhaust"), ink: 0, label: { text: "exhaust", at: [76, 1.5] } },
      { points: along("extract"), ink: 2, dashed: true, label: { text: "extract", at: [40, 22.8] } },
      { points: along("intake"), ink: 3, dashed: true, label: { text: "intake", at: [40, -9.4] } },
    ],
  });
}

function choosingChart({ selectUnit }, { fanCurve, atSpeed }) {
  const { units } = JSON.parse(readFileSync("examples/choose-a-unit/units.json", "utf8"));
  const unit = units.find(({ name }) => name === "Invented 800");
  const duty = (flow) => ({
    supply: { flow, externalStaticPressure: 78 * (flow / 0.16) ** 2 },
    extract: { flow, externalStaticPressure: 86 * (flow / 0.16) ** 2 },
  });
  const [choice] = selectUnit({ duty: duty(0.16), boost: duty(0.2) }, [unit]);
  const fan = fanCurve(unit.supply.fan);
  const states = [
    ["duty, clean", choice.duty.clean.supply],
    ["duty, loaded + 10 %", choice.duty.loaded.supply],
    ["boost, loaded + 10 %", choice.boost.loaded.supply],
  ];
  const speeds = [1, ...states.map(([, { speed }]) => speed)];
  return chart({
    title: "The supply fan of an invented unit at duty and boost",
    x: { name: "flow, l/s", from: 0, to: 400, step: 50 },
    y: { name: "fan total pressure, Pa", from: 0, to: 700, step: 100 },
    lines: speeds.map((speed, i) => ({
      points: steps(0, 1000 * speed * fan.range.max, (q) => atSpeed(fan, speed).pressure(q / 1000)),
      ink: i === 0 ? 0 : 3,
      dashed: i > 0,
      label: { text: i === 0 ? "speed 1" : speed.toFixed(2), at: i === 0 ? [8, 640] : [10, 610 * speed ** 2 - 30] },
    })),
    marks: states.map(([text, { flow, requiredPressure }]) => ({
      at: [1000 * flow, requiredPressure],
      filled: true,
      text,
    })),
  });
}

/** Every chart by its file's name, from the functions of the library. */
export const unitCharts = (main, fans) => ({
  "fan-operating-points.svg": operatingPointsChart(fans),
  "unit-exchanger.svg": exchangerChart(main),
  "unit-streams.svg": streamsChart(main),
  "unit-choice.svg": choosingChart(main, fans),
});

if (process.argv[1] === import.meta.filename) {
  mkdirSync("docs/charts", { recursive: true });
  for (const [name, svg] of Object.entries(unitCharts(main, fans))) writeFileSync(`docs/charts/${name}`, svg);
}
