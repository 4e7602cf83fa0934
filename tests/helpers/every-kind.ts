import { catalogue } from "../../src/fittings/index.js";
import type { NetworkDocument } from "../../src/index.js";
import type { NamedDocument } from "./all-documents.js";

/*
 * Documents of our own for what no other document has: every fitting, end and transition of the catalogue, every kind of
 * node, every controller with its sensors in every place, every form of a fan.
 */

type Nodes = readonly object[];

const round = { diameter: 0.2 };
const sectionOf = {
  round,
  rectangular: { width: 0.3, height: 0.2 },
  flatOval: { shape: "flatOval", width: 0.3, height: 0.2 },
};

/** Numbers for parameters that have no preset; of those whose preset says nothing, one that does. */
const given: Readonly<Record<string, object>> = {
  singleBladeDamper: { angle: 0.6, leakage: 0.001 },
  multiBladeDamper: { angle: 0.6, leakage: 0.002 },
  irisDamper: {
    setting: 3,
    table: [
      { setting: 1, coefficient: 20 },
      { setting: 4, coefficient: 3 },
      { setting: 6, coefficient: 0.5 },
    ],
  },
  fireDamper: { freeArea: 0.7 },
  shutOffDamper: { freeArea: 0.8 },
  filter: { clean: 30, loaded: 90, loading: 0.4, flow: 0.1 },
  coil: { pressure: 20, flow: 0.1 },
  attenuator: { pressure: 12, flow: 0.1 },
  exchanger: { pressure: 40, flow: 0.1 },
  louvre: { freeArea: 0.5, area: 0.05 },
  cowl: { pressure: 20, flow: 0.1 },
  conical: { length: 0.3 },
  tapered: { length: 0.3 },
  roundToRectangular: { length: 0.3 },
  grille: { freeArea: 0.6 },
  perforatedPlate: { freeArea: 0.4 },
  wireMesh: { freeArea: 0.7 },
};

const document = (nodes: Nodes, ducts: Nodes, more: object = {}): NetworkDocument =>
  ({ format: "ductgraph/1", ...more, nodes, ducts }) as unknown as NetworkDocument;

const windy = { id: "a", kind: "outdoors", coefficient: 1, pressure: 60 };
const calm = { id: "b", kind: "outdoors", entry: 0.5, exit: 1 };
const duct = (id: string, from: string, to: string, more: object = {}) => ({
  id,
  from,
  to,
  length: 3,
  section: round,
  ...more,
});

const curve = {
  pressureKind: "total",
  points: [
    { flow: 0, pressure: 300, efficiency: 0.2 },
    { flow: 0.1, pressure: 220, efficiency: 0.6 },
    { flow: 0.2, pressure: 20, efficiency: 0.3 },
  ],
};

const fittingDocuments = (): NamedDocument[] =>
  catalogue().flatMap(({ kind, place, ...rest }): NamedDocument[] => {
    const part = { kind, ...given[kind] };
    const shapes: readonly (keyof typeof sectionOf)[] = ("shapes" in rest && (rest.shapes as never)) || ["round"];
    // This one joins a round section and a rectangular one.
    return (kind === "roundToRectangular" ? ["round" as const] : shapes).map((shape): NamedDocument => {
      const section = sectionOf[shape];
      const name = `${place} ${kind}, ${shape}`;
      if (place === "duct")
        return [name, document([windy, calm], [duct("d", "a", "b", { section, fittings: [part] })])];
      if (place === "end") {
        const ends = [windy, { id: "b", kind: "outdoors", end: part }];
        return [name, document(ends, [duct("d", "a", "b", { section })])];
      }
      const other = kind === "roundToRectangular" ? sectionOf.rectangular : enlarged(section);
      const nodes = [windy, { id: "t", kind: "transition", form: part }, calm];
      return [name, document(nodes, [duct("d", "a", "t.a", { section }), duct("e", "t.b", "b", { section: other })])];
    });
  });

const enlarged = (section: object): object =>
  Object.fromEntries(
    Object.entries(section).map(([key, value]) => [key, typeof value === "number" ? 1.3 * value : value]),
  );

/** Every fitting that stands outside the catalogue, in one duct of several runs. */
const ownFittings: NamedDocument = [
  "fittings given in the document",
  document(
    [windy, calm],
    [
      duct("d", "a", "b", {
        parallel: 2,
        fittings: [
          { kind: "fixed", coefficient: 0.7, count: 2 },
          { kind: "rating", pressure: 12, flow: 0.05, exponent: 1.4, density: 1.1, viscosity: 1.8e-5 },
          { kind: "regulator", flow: 0.06, minPressure: 10, maxPressure: 100, accuracy: 0.05 },
        ],
      }),
      duct("known", "a", "b", { frictionFactor: 0.03, compression: 0 }),
      duct("rated", "a", "b", { frictionRating: { pressure: 3, length: 1, flow: 0.1, exponent: 1.8 } }),
      duct("flexible", "a", "b", { compression: 0.1, roughness: 0.001 }),
      duct("hydraulic", "a", "b", { section: sectionOf.rectangular, equivalent: "hydraulic", backdraught: true }),
    ],
  ),
];

const fanned = (fan: object, wind = 0): NetworkDocument =>
  document(
    [
      { id: "a", kind: "outdoors", coefficient: 1, pressure: wind },
      { id: "f", kind: "fan", ...fan },
      { id: "p", kind: "plenum", entry: 0.4 },
      { id: "t", kind: "terminal", service: "supply", loss: { pressure: 15, flow: 0.03 }, designFlow: 0.03, room: "r" },
      { id: "u", kind: "terminal", service: "supply", loss: { coefficient: 6 } },
      { id: "r", kind: "room", elevation: 2 },
    ],
    [
      duct("d", "a", "f.inlet"),
      duct("e", "f.outlet", "p", { section: { diameter: 0.25 } }),
      duct("g", "p", "t", { entry: 0.8, section: { diameter: 0.16 } }),
      duct("h", "p", "u", { section: { diameter: 0.16 } }),
    ],
    { openings: [{ id: "leak", from: "r", to: "a", area: 0.01 }] },
  );

const sensors: Readonly<Record<string, object>> = {
  "the inlet of a duct that leaves a plenum": { duct: "g", at: "inlet" },
  "the inlet of a duct that leaves outdoors": { duct: "d", at: "inlet" },
  "the outlet of a duct into a plenum": { duct: "e", at: "outlet" },
  "the inlet of a duct after a fan": { duct: "e", at: "inlet" },
  "the outlet of a duct before a terminal": { duct: "h", at: "outlet" },
  "a plenum": { node: "p" },
  "a room": { node: "r" },
};
const pressures: Readonly<Record<string, number>> = { "the inlet of a duct that leaves outdoors": -8, "a room": 3 };

const controlDocuments: NamedDocument[] = [
  ["a fan that holds its flow", fanned({ curve, control: { kind: "flow", flow: 0.07 } })],
  ...Object.entries(sensors).flatMap(([place, sensor]) =>
    (["static", "total"] as const).map((pressureKind): NamedDocument => {
      const control = { kind: "pressure", pressureKind, pressure: pressures[place] ?? 40, sensor };
      return [`a fan that holds a ${pressureKind} pressure at ${place}`, fanned({ curve, control })];
    }),
  ),
  [
    "a fan that holds a difference of pressure",
    fanned({
      curve,
      control: {
        kind: "pressure",
        pressure: 30,
        sensor: { duct: "g", at: "inlet" },
        against: { duct: "g", at: "outlet" },
      },
    }),
  ],
  ["a fan that reaches its limit", fanned({ curve, control: { kind: "flow", flow: 0.4, maxSpeed: 1.1 } })],
];

const fanDocuments: NamedDocument[] = [
  [
    "a fan with a chain",
    fanned({
      curve: { ...curve, density: 1.1 },
      motorOutside: true,
      chain: {
        transmission: 0.9,
        motor: {
          ratedOutput: 60,
          points: [
            { load: 0.1, efficiency: 0.4 },
            { load: 1, efficiency: 0.8 },
          ],
        },
        controller: 0.95,
      },
    }),
  ],
  [
    "a fan with a static curve and its outlet",
    fanned({
      speed: 0.9,
      curve: {
        pressureKind: "static",
        outlet: { diameter: 0.25 },
        controlsPower: 2,
        points: [
          { flow: 0, pressure: 200, power: 30 },
          { flow: 0.2, pressure: 5, power: 50 },
        ],
      },
    }),
  ],
  [
    "a fan with curves at several speeds on a setting",
    fanned({
      setting: "high",
      curve: {
        pressureKind: "total",
        speeds: [
          {
            setting: "low",
            points: [
              { flow: 0, pressure: 90, power: 8 },
              { flow: 0.1, pressure: 4, power: 12 },
            ],
          },
          {
            setting: "high",
            points: [
              { flow: 0, pressure: 240, power: 30 },
              { flow: 0.17, pressure: 8, power: 44 },
            ],
          },
        ],
      },
    }),
  ],
  [
    "a controlled fan with curves at several speeds",
    fanned({
      control: { kind: "flow", flow: 0.06 },
      curve: {
        pressureKind: "total",
        speeds: [
          {
            speed: 900,
            points: [
              { flow: 0, pressure: 90 },
              { flow: 0.1, pressure: 4 },
            ],
          },
          {
            speed: 1500,
            points: [
              { flow: 0, pressure: 240 },
              { flow: 0.17, pressure: 8 },
            ],
          },
        ],
      },
    }),
  ],
  [
    "a fan by a polynomial",
    fanned({ curve: { pressureKind: "total", coefficients: [250, -300, -4000], from: 0, to: 0.2 } }),
  ],
  ["a fan that stands still", fanned({ speed: 0, curve, stopped: { pressure: 20, flow: 0.05 } }, 40)],
];

/** Two streams through a unit between two rooms, with what a unit may have. */
const unit = (part: object, supply: object = {}, extract: object = {}): NetworkDocument =>
  document(
    [
      { id: "in", kind: "outdoors", coefficient: 1, elevation: 5 },
      { id: "out", kind: "outdoors", coefficient: 1, elevation: 6 },
      { id: "living", kind: "room", air: { temperature: 22, relativeHumidity: 0.4 } },
      { id: "bath", kind: "room", air: { temperature: 24, relativeHumidity: 0.6 }, entry: 0.6 },
      { id: "j", kind: "tee", angle: 1.2, edgeRadius: 0.05 },
      {
        id: "v",
        kind: "terminal",
        service: "supply",
        room: "living",
        designFlow: 0.04,
        loss: { pressure: 20, flow: 0.04 },
      },
      {
        id: "w",
        kind: "terminal",
        service: "supply",
        room: "living",
        designFlow: 0.02,
        loss: { pressure: 20, flow: 0.02 },
        regulator: { flow: 0.02, minPressure: 10, maxPressure: 120 },
      },
      {
        id: "x",
        kind: "terminal",
        service: "extract",
        room: "bath",
        designFlow: 0.05,
        loss: { pressure: 40, flow: 0.05, pressureKind: "static" },
      },
      { id: "box", kind: "plenum", area: 0.1 },
      {
        id: "unit",
        kind: "airHandler",
        ...part,
        supply: {
          fanAt: "outlet",
          fan: { curve, ...supply },
          components: [{ name: "filter", pressure: 30, clean: 20, bypassed: 22, flow: 0.06, exponent: 1.4 }],
        },
        extract: { fanAt: "inlet", fan: { curve, ...extract } },
      },
    ],
    [
      duct("intake", "in", "unit.intake"),
      duct("supply", "unit.supply", "j.a"),
      duct("run", "j.b", "v", { section: { diameter: 0.16 } }),
      duct("branch", "j.branch", "w", { section: { diameter: 0.125 } }),
      duct("wet", "x", "box", { section: { diameter: 0.16 } }),
      duct("dry", "living", "box", { section: { diameter: 0.16 }, length: 12 }),
      duct("extract", "box", "unit.extract"),
      duct("exhaust", "unit.exhaust", "out"),
    ],
    {
      air: { temperature: 21, relativeHumidity: 0.4, altitude: 100 },
      outdoorAir: { temperature: -8, relativeHumidity: 0.8 },
      openings: [
        { id: "door", from: "living", to: "bath", area: 0.02 },
        { id: "leak", from: "bath", to: "out", coefficient: 0.002, exponent: 0.65 },
      ],
    },
  );

const unitDocuments: NamedDocument[] = [
  ["a unit without heat", unit({})],
  ["a unit with an exchanger", unit({ exchanger: { efficiency: 0.8 } })],
  ["a unit with a preheater", unit({ exchanger: { efficiency: 0.8 }, frost: { below: -3, preheater: 600 } })],
  ["a unit with a weak preheater", unit({ exchanger: { efficiency: 0.8 }, frost: { below: 0, preheater: 100 } })],
  [
    "a unit that supplies less in frost",
    unit({ exchanger: { efficiency: 0.8 }, frost: { below: -3, reduceSupplyTo: 0.7 } }),
  ],
  [
    "a controlled unit that supplies less in frost",
    unit(
      { exchanger: { efficiency: 0.7 }, frost: { below: -3, reduceSupplyTo: 0.7 } },
      { control: { kind: "flow", flow: 0.06 } },
      { control: { kind: "balance", to: "unit.supply", ratio: 1.05 } },
    ),
  ],
  ["a unit in bypass", unit({ exchanger: { efficiency: 0.8 }, state: "bypass" })],
  [
    "a unit that is off",
    unit({ state: "off" }, { stopped: { pressure: 20, flow: 0.05 } }, { stopped: { pressure: 20, flow: 0.05 } }),
  ],
  [
    "a unit that holds a pressure in a duct whose air is inherited",
    unit(
      { exchanger: { efficiency: 0.8 } },
      { control: { kind: "pressure", pressure: 60, sensor: { duct: "run", at: "inlet" } } },
      { control: { kind: "pressure", pressure: -60, sensor: { duct: "dry", at: "inlet" } } },
    ),
  ],
];

const junctionDocument: NamedDocument = [
  "a junction into which air is brought",
  document(
    [
      { id: "j", kind: "junction", inflow: 0.05, elevation: 1 },
      calm,
      { id: "c", kind: "outdoors", coefficient: 1, section: round },
    ],
    [duct("d", "j", "b"), duct("e", "c", "j", { air: { temperature: 5, relativeHumidity: 0.9 }, length: 0 })],
    {
      openings: [{ id: "o", from: "j", to: "c", area: 0.002, elevation: 3 }],
      air: { temperature: 20, pressure: 98_000 },
    },
  ),
];

/** One document for each kind of thing that a document may hold. */
export const everyKind = (): NamedDocument[] => [
  ...fittingDocuments(),
  ownFittings,
  ...controlDocuments,
  ...fanDocuments,
  ...unitDocuments,
  junctionDocument,
];
