/*
 * Every code of the library, what it means, and the smallest example that gives it. docs/errors.md is written from this
 * file (npm run docs:errors), and tests hold page, codes and examples to what the library does.
 */

const format = "ductgraph/1";
const round = { diameter: 0.1 };
const inlet = { id: "in", kind: "outdoors", coefficient: 1 };
const outlet = { id: "out", kind: "outdoors", coefficient: 1 };
const between = (id, from, to, more = {}) => ({ id, from, to, length: 3, section: round, ...more });
const falling = [
  { flow: 0, pressure: 100 },
  { flow: 0.1, pressure: 50 },
];

/** A document whose nodes stand alone. */
const nodes = (...list) => ({ format, nodes: list });
/** A document of one duct between outdoors and outdoors. */
const oneDuct = (more) => ({ format, nodes: [inlet, outlet], ducts: [between("d", "in", "out", more)] });
const fan = (more) => ({ id: "f", kind: "fan", curve: { pressureKind: "total", points: falling }, ...more });
/** A document of one fan with its two ducts. */
const oneFan = (more) => ({
  format,
  nodes: [inlet, outlet, fan(more)],
  ducts: [between("a", "in", "f.inlet"), between("b", "f.outlet", "out")],
});
const withCurve = (curve) => oneFan({ curve: { pressureKind: "total", points: falling, ...curve } });
/** A document of two fans in one line, each with its controller. */
const twoFans = (first, second) => ({
  format,
  nodes: [inlet, outlet, fan({ control: first }), { ...fan({ control: second }), id: "g" }],
  ducts: [between("a", "in", "f.inlet"), between("b", "f.outlet", "g.inlet"), between("c", "g.outlet", "out")],
});
/** A document of one unit that supplies. */
const oneUnit = (supply) => ({
  format,
  nodes: [inlet, outlet, { id: "unit", kind: "airHandler", supply }],
  ducts: [between("a", "in", "unit.intake"), between("b", "unit.supply", "out")],
});
/** The ducts of a unit of two streams. */
const unitDucts = [
  between("a", "in", "unit.intake"),
  between("b", "unit.supply", "out"),
  between("c", "in", "unit.extract"),
  between("d", "unit.exhaust", "out"),
];
const filter = { name: "filter", pressure: 50, flow: 0.1 };
/** A document of one unit between cold outdoors and a warm room. */
const coldHouse = (unit) => {
  const fan = { curve: { pressureKind: "total", points: falling } };
  const supply = { fan: { ...fan, control: { kind: "balance", to: "unit.extract" } }, fanAt: "inlet" };
  const extract = { fan, fanAt: "inlet" };
  return {
    format,
    air: { temperature: 20, relativeHumidity: 0.4 },
    outdoorAir: { temperature: -12 },
    nodes: [
      inlet,
      outlet,
      { id: "home", kind: "room", pressure: 0 },
      { id: "unit", kind: "airHandler", supply, extract, ...unit },
    ],
    ducts: [
      between("a", "in", "unit.intake"),
      between("b", "unit.supply", "home"),
      between("c", "home", "unit.extract"),
      between("d", "unit.exhaust", "out"),
    ],
  };
};
/** The same in cold air, with other keys of the unit. */
const coldUnit = (unit, supply = { fan: { curve: { pressureKind: "total", points: falling } } }) => ({
  ...oneUnit(supply),
  air: { temperature: -8 },
  nodes: [inlet, outlet, { id: "unit", kind: "airHandler", supply, ...unit }],
});
/** A document of one terminal at the end of a duct. */
const oneTerminal = (terminal, duct = {}, more = {}) => ({
  format,
  ...more,
  nodes: [inlet, { id: "t", kind: "terminal", service: "supply", loss: { pressure: 20, flow: 0.02 }, ...terminal }],
  ducts: [between("d", "in", "t", duct)],
});

const windy = (pressure) => ({ ...inlet, pressure });
/** A document of one duct that a pressure drives. */
const driven = (pressure, more) => ({ ...oneDuct(more), nodes: [windy(pressure), outlet] });

/** A document of one duct with one fitting. */
const oneFitting = (fitting, duct = {}) => oneDuct({ fittings: [fitting], ...duct });
/** A document of two ducts that meet at the ports of a transition, or as the first two legs of a tee. */
const joined = (node, one = {}, other = {}, nodes = [], ducts = []) => ({
  format,
  nodes: [windy(50), outlet, { id: "t", ...node }, ...nodes],
  ducts: [between("a", "in", "t.a", one), between("b", "t.b", "out", other), ...ducts],
});
/** A document of a tee, of which the branch leads outdoors. */
const oneTee = (tee = {}, branch = {}, main = {}) =>
  joined({ kind: "tee", ...tee }, main, main, [], [between("c", "t.branch", "out", branch)]);

/** Codes of the faults of a document. An example has this fault and no other. */
export const documentFaults = [
  // ---- Keys and values
  {
    code: "key.missing",
    meaning: "A key that has no default is not there.",
    document: nodes({ id: "a", kind: "terminal", service: "supply" }),
    path: "nodes.0.loss",
    id: "a",
  },
  {
    code: "key.unknown",
    meaning:
      "A key that this object does not have. Where an object has several forms, it is the form that fits its other keys best.",
    document: nodes({ id: "a", kind: "room", presure: 5 }),
    path: "nodes.0.presure",
    id: "a",
    nearest: "pressure",
  },
  {
    code: "key.conflict",
    meaning: "Two keys that exclude each other.",
    document: { format, air: { temperature: 20, pressure: 101_325, altitude: 300 }, nodes: [] },
    path: "air.altitude",
  },
  {
    code: "value.wrong",
    meaning: "A value of another type than the key takes.",
    document: nodes({ id: "a", kind: "room", label: 5 }),
    path: "nodes.0.label",
    id: "a",
  },
  {
    code: "value.choice",
    meaning: "A value that is none of the words that the key takes.",
    document: { format, friction: "colbrook", nodes: [] },
    path: "friction",
    nearest: "colebrook",
  },
  {
    code: "value.range",
    meaning: "A number outside its range.",
    document: nodes({ id: "a", kind: "room", entry: -1 }),
    path: "nodes.0.entry",
    id: "a",
  },
  {
    code: "value.unreadable",
    meaning: "A value that throws an error when it is read, so it cannot be checked.",
    text: '{ format: "ductgraph/1", nodes: [{ id: "a", get kind() { throw new Error("no"); } }] }',
    path: "nodes.0",
    id: "a",
  },
  {
    code: "list.short",
    meaning: "A list with fewer entries than the key needs.",
    document: nodes(fan({ curve: { pressureKind: "total", points: falling.slice(0, 1) } })),
    path: "nodes.0.curve.points",
    id: "f",
  },
  {
    code: "list.long",
    meaning:
      "A list with more entries than any network has: 1,000,000 nodes, ducts or openings, 10,000 of anything else.",
    text: '{ format: "ductgraph/1", nodes: new Array(2_000_000) }',
    path: "nodes",
  },
  // ---- Quantities
  {
    code: "quantity.syntax",
    meaning: "A text that is not a decimal number and a unit.",
    document: nodes({ id: "a", kind: "room", elevation: "2,5 m" }),
    path: "nodes.0.elevation",
    id: "a",
  },
  {
    code: "quantity.unit-missing",
    meaning: "A number written as a text without a unit.",
    document: nodes({ id: "a", kind: "room", elevation: "2.5" }),
    path: "nodes.0.elevation",
    id: "a",
  },
  {
    code: "quantity.unit-unknown",
    meaning: "A unit that is not known.",
    document: nodes({ id: "a", kind: "room", elevation: "250 mmm" }),
    path: "nodes.0.elevation",
    id: "a",
    nearest: "mm",
  },
  {
    code: "quantity.dimension",
    meaning: "A unit of something else.",
    document: nodes({ id: "a", kind: "room", elevation: "2.5 l/s" }),
    path: "nodes.0.elevation",
    id: "a",
  },
  {
    code: "quantity.not-finite",
    meaning: "A number too large to be one.",
    document: nodes({ id: "a", kind: "room", elevation: "1e400 m" }),
    path: "nodes.0.elevation",
    id: "a",
  },
  // ---- Names
  {
    code: "kind.unknown",
    meaning: "A kind of node or fitting that the format does not have.",
    document: nodes({ id: "a", kind: "rooom" }),
    path: "nodes.0.kind",
    id: "a",
    nearest: "room",
  },
  {
    code: "name.unknown",
    meaning: "A material whose roughness is not known.",
    document: oneDuct({ roughness: "aluminum" }),
    path: "ducts.0.roughness",
    id: "d",
    nearest: "aluminium",
  },
  {
    code: "name.duplicate",
    meaning: "Two components of a stream with one name.",
    document: oneUnit({ fan: { curve: { pressureKind: "total", points: falling } }, components: [filter, filter] }),
    path: "nodes.2.supply.components.1.name",
    id: "unit",
  },
  {
    code: "id.form",
    meaning: "An id with other characters than letters, digits, `-` and `_`, or with a wrong first one.",
    document: nodes({ id: "first floor", kind: "room" }),
    path: "nodes.0.id",
  },
  {
    code: "id.duplicate",
    meaning: "An id that another node (or duct, or opening) has.",
    document: { ...oneDuct(), nodes: [inlet, outlet, inlet] },
    path: "nodes.2.id",
    id: "in",
  },
  {
    code: "end.form",
    meaning: "An end of a duct that is neither an id nor `node.port`.",
    document: { format, nodes: [outlet], ducts: [between("d", "the inlet", "out")] },
    path: "ducts.0.from",
    id: "d",
  },
  {
    code: "reference.node",
    meaning: "An end of a duct or an opening at a node that is not there.",
    document: { format, nodes: [inlet, outlet], ducts: [between("d", "in", "ou")] },
    path: "ducts.0.to",
    id: "d",
    nearest: "out",
  },
  {
    code: "reference.room",
    meaning: "A terminal's room that is not there, or is no room.",
    document: oneTerminal({ room: "in" }),
    path: "nodes.1.room",
    id: "t",
  },
  {
    code: "reference.component",
    meaning: "An included component that the stream does not have.",
    document: oneUnit({
      fan: { curve: { pressureKind: "total", of: "unit", points: falling } },
      components: [filter],
      includes: ["filtre"],
    }),
    path: "nodes.2.supply.includes.0",
    id: "unit",
    nearest: "filter",
  },
  // ---- Joints
  {
    code: "port.none",
    meaning: "A port of a node that has no ports.",
    document: { format, nodes: [inlet, outlet], ducts: [between("d", "in.left", "out")] },
    path: "ducts.0.from",
    id: "d",
  },
  {
    code: "port.missing",
    meaning: "A node that ducts meet at its ports, given by its id alone.",
    document: { ...oneFan(), ducts: [...oneFan().ducts, between("c", "in", "f")] },
    path: "ducts.2.to",
    id: "c",
  },
  {
    code: "port.unknown",
    meaning: "A port that the node does not have.",
    document: { ...oneFan(), ducts: [between("a", "in", "f.inlet"), between("b", "f.outlt", "out")] },
    path: "ducts.1.from",
    id: "b",
    nearest: "f.outlet",
  },
  {
    code: "port.taken",
    meaning: "A second duct at a port; each takes one.",
    document: { ...oneFan(), ducts: [...oneFan().ducts, between("c", "in", "f.inlet")] },
    path: "ducts.2.to",
    id: "c",
  },
  {
    code: "port.free",
    meaning: "A port that no duct meets; each needs one.",
    document: { format, nodes: [inlet, fan()], ducts: [between("a", "in", "f.inlet")] },
    path: "nodes.1",
    id: "f",
  },
  {
    code: "node.untouched",
    meaning: "A node that nothing leads to; a terminal needs a duct.",
    document: nodes({ id: "a", kind: "room", pressure: 0 }),
    path: "nodes.0",
    id: "a",
  },
  {
    code: "duct.ends-same",
    meaning: "A duct that begins and ends at one place.",
    document: { format, nodes: [inlet], ducts: [between("d", "in", "in")] },
    path: "ducts.0.to",
    id: "d",
  },
  {
    code: "opening.ends-same",
    meaning: "An opening between a node and itself.",
    document: {
      format,
      nodes: [{ id: "a", kind: "room", pressure: 0 }],
      openings: [{ id: "o", from: "a", to: "a", area: 0.01 }],
    },
    path: "openings.0.to",
    id: "o",
  },
  {
    code: "opening.end",
    meaning: "An opening to a node that takes none: it leads to outdoors, rooms, plenums and junctions.",
    document: { ...oneTerminal({}), openings: [{ id: "o", from: "in", to: "t", area: 0.01 }] },
    path: "openings.0.to",
    id: "o",
  },
  // ---- The network as a whole
  {
    code: "network.no-reference",
    meaning:
      "A connected part without any given pressure (outdoors, a room with `pressure`, a terminal without `room`): its pressures have no level, and an `inflow` has nowhere to go.",
    document: {
      format,
      nodes: [
        { id: "a", kind: "junction", inflow: 0.02 },
        { id: "b", kind: "room" },
      ],
      ducts: [between("d", "a", "b")],
    },
    path: "nodes.0",
    id: "a",
  },
  {
    code: "network.no-resistance",
    meaning: "A loop, or a path between given pressures, along which there is no pressure drop: its flow has no limit.",
    document: {
      format,
      nodes: [
        { ...inlet, coefficient: 0 },
        { ...outlet, coefficient: 0 },
      ],
      ducts: [between("d", "in", "out", { length: 0 })],
    },
    path: "ducts.0",
    id: "d",
  },
  // ---- Fittings
  {
    code: "fitting.shape",
    meaning: "A fitting in a section for which the catalogue has no values.",
    document: oneFitting({ kind: "pressedBend" }, { section: { width: 0.2, height: 0.1 } }),
    path: "ducts.0.fittings.0.kind",
    id: "d",
  },
  {
    code: "fitting.geometry",
    meaning: "A fitting whose parameters, or whose sections, exclude each other.",
    document: oneFitting({ kind: "mitredBend", vanes: "single" }),
    path: "ducts.0.fittings.0.vanes",
    id: "d",
  },
  {
    code: "table.not-rising",
    meaning: "A table of a fitting whose rows do not rise from each to the next.",
    document: oneFitting({
      kind: "irisDamper",
      setting: 2,
      table: [
        { setting: 2, coefficient: 4 },
        { setting: 1, coefficient: 1.2 },
      ],
    }),
    path: "ducts.0.fittings.0.table.1.setting",
    id: "d",
  },
  {
    code: "transition.parallel",
    meaning: "A form of transition that joins two sections, at a duct of several runs.",
    document: joined({ kind: "transition", form: { kind: "conical", angle: "30°" } }, { parallel: 2 }),
    path: "nodes.2.form.kind",
    id: "t",
  },
  {
    code: "plenum.area-small",
    meaning: "A box that is smaller than a duct which meets it.",
    document: {
      format,
      nodes: [inlet, outlet, { id: "box", kind: "plenum", area: 0.005 }],
      ducts: [between("a", "in", "box"), between("b", "box", "out")],
    },
    path: "nodes.2.area",
    id: "box",
  },
  {
    code: "tee.geometry",
    meaning: "A tee that cannot be: a branch above 1.2 of the main's area, or a main smaller than a straight leg.",
    document: oneTee({}, { section: { diameter: 0.16 } }),
    path: "nodes.2",
    id: "t",
  },
  {
    code: "tee.air",
    meaning:
      "A tee whose legs hold different air, their own or inherited. Give them the same air: in their `air`, or in the `air` of the rooms it comes from.",
    document: oneTee({}, { air: { density: 1.1 } }),
    path: "nodes.2",
    id: "t",
  },
  // ---- Fans, units, terminals
  {
    code: "fan.stopped-missing",
    meaning: "A fan of speed 0 without its loss while stopped (`stopped`).",
    document: oneFan({ speed: 0 }),
    path: "nodes.2.speed",
    id: "f",
  },
  {
    code: "curve.flow-not-rising",
    meaning: "Points of a fan curve whose flows do not rise from each to the next.",
    document: withCurve({ points: [...falling, { flow: 0.1, pressure: 40 }] }),
    path: "nodes.2.curve.points.2.flow",
    id: "f",
  },
  {
    code: "curve.power-or-efficiency",
    meaning: "Power or efficiency in some points of a curve and not in others, or both.",
    document: withCurve({ points: [{ flow: 0, pressure: 100, power: 20 }, falling[1]] }),
    path: "nodes.2.curve.points",
    id: "f",
  },
  {
    code: "curve.inlet-missing",
    meaning: "A curve of static pressure differences without its inlet section.",
    document: withCurve({ pressureKind: "externalStatic", outlet: round }),
    path: "nodes.2.curve.inlet",
    id: "f",
  },
  {
    code: "curve.outlet-missing",
    meaning: "A curve of static pressures without its outlet section.",
    document: withCurve({ pressureKind: "static" }),
    path: "nodes.2.curve.outlet",
    id: "f",
  },
  {
    code: "fan.speed-far",
    meaning:
      "A speed or a limit of control that is in another unit than the curves: below 0.05 of the slowest or above 5 times the fastest. For curves at several `speeds`, it is a share where revolutions are expected, as here. For a single curve, whose own speed counts as 1, it is percent or revolutions, such as 85 or 1450 for 0.85. Beside a `setting`, it is a speed that is not a share of the setting's.",
    document: oneFan({
      speed: 1,
      curve: {
        pressureKind: "total",
        speeds: [900, 1800].map((speed) => ({
          speed,
          points: [
            { flow: 0, pressure: 50 * (speed / 900) ** 2 },
            { flow: speed / 9000, pressure: 0 },
          ],
        })),
      },
    }),
    path: "nodes.2.speed",
    id: "f",
  },
  {
    code: "reference.duct",
    meaning: "A sensor in a duct that is not there.",
    document: oneFan({ control: { kind: "pressure", pressure: 20, sensor: { duct: "c", at: "inlet" } } }),
    path: "nodes.2.control.sensor.duct",
    id: "f",
  },
  {
    code: "reference.fan",
    meaning: "A balance to a fan that is not there.",
    document: oneFan({ control: { kind: "balance", to: "g" } }),
    path: "nodes.2.control.to",
    id: "f",
  },
  {
    code: "reference.setting",
    meaning: "A setting that the fan's curve does not have.",
    document: oneFan({ setting: "low" }),
    path: "nodes.2.setting",
    id: "f",
  },
  {
    code: "sensor.ports",
    meaning: "A sensor at a node with ports, which has no single pressure. Put it in a duct at the port.",
    document: oneFan({ control: { kind: "pressure", pressure: 20, sensor: { node: "f" } } }),
    path: "nodes.2.control.sensor.node",
    id: "f",
  },
  {
    code: "sensor.isolated",
    meaning: "A sensor where the fan changes nothing: in another part of the network, or at a place of given pressure.",
    document: oneFan({ control: { kind: "pressure", pressure: 20, sensor: { node: "in" } } }),
    path: "nodes.2.control.sensor",
    id: "f",
  },
  {
    code: "control.ring",
    meaning: "A fan balanced to itself, or fans balanced to each other, so that nothing sets their speed.",
    document: oneFan({ control: { kind: "balance", to: "f" } }),
    path: "nodes.2.control.to",
    id: "f",
  },
  {
    code: "control.doubled",
    meaning:
      "Controllers that are not independent of each other: they hold the flow in one line of ducts, the same pressure, or flows and pressures that depend on each other in the whole network.",
    document: twoFans({ kind: "flow", flow: "20 l/s" }, { kind: "flow", flow: "20 l/s" }),
    path: "nodes.2.control",
    id: "f",
  },
  {
    code: "control.no-effect",
    meaning: "A controller of a flow that its fan cannot change: all air of both fans of a balance passes both.",
    document: {
      ...oneFan({}),
      nodes: [inlet, outlet, fan({ control: { kind: "balance", to: "g" } }), { ...fan({}), id: "g" }],
      ducts: twoFans({}, {}).ducts,
    },
    path: "nodes.2.control",
    id: "f",
  },
  {
    code: "fan.chain-efficiency",
    meaning:
      "A chain from the impeller to the mains beside a curve that does not give the impeller's efficiency (one that gives electrical input: `key.conflict`).",
    document: oneFan({ chain: { motor: "80 %" } }),
    path: "nodes.2.chain",
    id: "f",
  },
  {
    code: "fan.control-stopped",
    meaning: "A controller of a fan that stands still.",
    document: oneFan({ speed: 0, stopped: { pressure: 5, flow: 0.1 }, control: { kind: "flow", flow: "20 l/s" } }),
    path: "nodes.2.speed",
    id: "f",
  },
  {
    code: "curve.rising-end",
    meaning: "A curve whose total pressure does not fall at its last point, so that nothing is known beyond it.",
    document: withCurve({
      points: [
        { flow: 0, pressure: 50 },
        { flow: 0.1, pressure: 100 },
      ],
    }),
    path: "nodes.2.curve.points.1.pressure",
    id: "f",
  },
  {
    code: "curve.power-below-air-power",
    meaning: "A fan whose electrical input is less than flow times pressure, so that its efficiency would be above 1.",
    document: withCurve({
      points: [
        { flow: 0, pressure: 200, power: 0.012 },
        { flow: 0.06, pressure: 160, power: 0.024 },
      ],
    }),
    path: "nodes.2.curve.points.1.power",
    id: "f",
  },
  {
    code: "component.clean-above-pressure",
    meaning: "A component whose pressure drop is larger clean than as set.",
    document: oneUnit({
      fan: { curve: { pressureKind: "total", points: falling } },
      components: [{ ...filter, clean: 60 }],
    }),
    path: "nodes.2.supply.components.0.clean",
    id: "unit",
  },
  {
    code: "component.bypassed-below-clean",
    meaning:
      "A component inside a unit curve whose pressure drop in bypass is smaller than what the curve contains of it.",
    document: oneUnit({
      fan: { curve: { pressureKind: "total", of: "unit", points: falling } },
      components: [{ ...filter, bypassed: 10 }],
      includes: ["filter"],
    }),
    path: "nodes.2.supply.components.0.bypassed",
    id: "unit",
  },
  {
    code: "unit.streams",
    meaning: "An exchanger without a second stream, or frost protection without a supply stream.",
    document: coldUnit({ exchanger: { efficiency: 0.8 } }),
    path: "nodes.2.exchanger",
    id: "unit",
  },
  {
    code: "unit.air-temperature",
    meaning: "Frost protection beside intake air whose temperature is not known.",
    document: { ...coldUnit({ frost: { below: -3, preheater: 1000 } }), air: { density: 1.2 } },
    path: "nodes.2.frost.below",
    id: "unit",
  },
  {
    code: "unit.frost-controlled",
    meaning:
      "Frost protection by less supply air beside a controller that holds a pressure: a share of a pressure is not a flow.",
    document: coldUnit(
      { frost: { below: -3, reduceSupplyTo: 0.7 } },
      {
        fan: {
          curve: { pressureKind: "total", points: falling },
          control: { kind: "pressure", pressure: 20, sensor: { duct: "b", at: "inlet" } },
        },
      },
    ),
    path: "nodes.2.frost.reduceSupplyTo",
    id: "unit",
  },
  {
    code: "unit.includes-needs-unit-curve",
    meaning: "Components said to be inside a curve that is the fan's own.",
    document: oneUnit({
      fan: { curve: { pressureKind: "total", points: falling } },
      components: [filter],
      includes: ["filter"],
    }),
    path: "nodes.2.supply.includes",
    id: "unit",
  },
  {
    code: "terminal.box-needed",
    meaning: "A terminal that is said to have no box, though two or more runs meet it.",
    document: {
      ...oneTerminal({ box: false }),
      ducts: oneTerminal({}).ducts.map((duct) => ({ ...duct, parallel: 2 })),
    },
    path: "nodes.1.box",
    id: "t",
  },
  {
    code: "terminal.open-above-loss",
    meaning: "A terminal that would lose more fully open than as it is set, at its design flow or else its rated flow.",
    document: oneTerminal({ open: { pressure: 50, flow: 0.02 } }),
    path: "nodes.1.open.pressure",
    id: "t",
  },
  {
    code: "terminal.static-too-small",
    meaning:
      "An extract terminal whose static pressure does not exceed the velocity pressure in its duct, so that it would lose nothing.",
    document: oneTerminal({ service: "extract", loss: { pressure: 2, flow: 0.02, pressureKind: "static" } }),
    path: "nodes.1.loss.pressure",
    id: "t",
  },
];

/** The network that the calls below name `network`, with its solution `solution`. */
export const network = {
  format,
  nodes: [
    inlet,
    fan(),
    { id: "valve", kind: "terminal", service: "supply", loss: { pressure: 20, flow: 0.02 } },
    outlet,
    fan({ id: "wall" }),
  ],
  ducts: [
    between("a", "in", "f.inlet"),
    between("b", "f.outlet", "valve"),
    between("c", "in", "wall.inlet"),
    between("d", "wall.outlet", "out"),
  ],
};

/** Codes of wrong arguments, beside those above. */
export const inputErrors = [
  { code: "out-of-range", meaning: "A number outside its range, or none.", call: "airState({ density: 0 })" },
  {
    code: "conflict",
    meaning: "Two keys that exclude each other.",
    call: "airState({ temperature: 20, pressure: 101325, altitude: 300 })",
  },
  { code: "not-an-object", meaning: "An argument that is no object.", call: "summarise(undefined)" },
  {
    code: "not-applicable",
    meaning: "A question that has no answer for this argument.",
    call: 'equivalentDiameter({ shape: "flatOval", width: 0.3, height: 0.1 }, "constantFriction")',
  },
  {
    code: "unknown-key",
    meaning: "A key that the argument does not have.",
    call: "solveNetwork(network, { tolerence: 0.1 })",
  },
  { code: "unknown-law", meaning: "A friction law that is not known.", call: 'frictionFactor(30000, 0, "colbrook")' },
  { code: "unknown-material", meaning: "A material that is not known.", call: 'roughnessOf("aluminum")' },
  {
    code: "unknown-shape",
    meaning: "A shape of section that is not known.",
    call: 'equivalentDiameter({ shape: "oval", width: 0.3, height: 0.1 })',
  },
  {
    code: "unknown-equivalent",
    meaning: "An equivalence of sections that is not known.",
    call: 'equivalentDiameter({ diameter: 0.1 }, "hydraulc")',
  },
  { code: "unknown-quantity", meaning: "A quantity that is not known.", call: 'parseQuantity("5 m", "lenght")' },
  {
    code: "unknown-pressure-kind",
    meaning: "A kind of fan pressure that is not known.",
    call: 'fanCurve({ pressureKind: "Total", points: [{ flow: 0, pressure: 9 }, { flow: 1, pressure: 0 }] })',
  },
  {
    code: "unknown-of",
    meaning: "What a curve is said to be of: a fan or a unit, nothing else.",
    call: 'fanCurve({ of: "Fan", pressureKind: "total", points: [{ flow: 0, pressure: 9 }, { flow: 1, pressure: 0 }] })',
  },
  {
    code: "curve.points-few",
    meaning: "A fan curve of fewer than two points (in a document `list.short`).",
    call: 'fanCurve({ pressureKind: "total", points: [{ flow: 0, pressure: 9 }] })',
  },
  {
    code: "curve.coefficients",
    meaning: "A polynomial of too few or too many coefficients (in a document `list.short` or `list.long`).",
    call: 'polynomialFan({ pressureKind: "total", coefficients: [], from: 0, to: 0.3 })',
  },
  {
    code: "curve.speeds-few",
    meaning: "A family of curves at fewer than two speeds.",
    call: 'fanFamily({ pressureKind: "total", speeds: [] })',
  },
  {
    code: "curve.speed-not-rising",
    meaning:
      "A family of curves whose speeds do not rise from each to the next, as they are given or as the curves of settings tell them.",
    call: 'fanFamily({ pressureKind: "total", speeds: [2, 1].map((speed) => ({ speed, points: [{ flow: 0, pressure: 9 }, { flow: 1, pressure: 0 }] })) })',
  },
  {
    code: "curve.setting-again",
    meaning: "Two curves of a family for one setting.",
    call: 'fanFamily({ pressureKind: "total", speeds: [1, 2].map((n) => ({ setting: "low", points: [{ flow: 0, pressure: 9 * n * n }, { flow: n, pressure: 0 }] })) })',
  },
  {
    code: "curve.family-crosses",
    meaning: "Curves of a family in which a lower speed gives more pressure than a higher one.",
    call: 'fanFamily({ pressureKind: "total", speeds: [1, 2].map((speed) => ({ speed, points: [{ flow: 0, pressure: 9 / speed }, { flow: 1, pressure: 0 }] })) })',
  },
  {
    code: "curve.family-apart",
    meaning:
      "Neighbouring curves of a family whose points share no flow over speed, so that nothing lies between them; or the curve of a setting without a point that the last curve passes through between its own, so that it tells no speed.",
    call: 'fanFamily({ pressureKind: "total", speeds: [1, 2].map((speed) => ({ speed, points: [{ flow: 2 * speed ** 3, pressure: 9 * speed }, { flow: 3 * speed ** 3, pressure: 1 }] })) })',
  },
  {
    code: "chain.points-few",
    meaning: "An efficiency by load with fewer than two points.",
    call: "electricalPower(50, { impeller: 0.6, motor: { ratedOutput: 100, points: [] } })",
  },
  {
    code: "table.empty",
    meaning: "A table of a fan without a line of columns and two lines of numbers.",
    call: 'readFanTable("")',
  },
  {
    code: "table.columns",
    meaning: "A table of a fan that lacks a column, or has one twice.",
    call: 'readFanTable("flow;power\\n0;9\\n1;9")',
  },
  {
    code: "table.unit",
    meaning: "A flow, pressure or power without a unit, in a table that gives the unit of another one.",
    call: 'readFanTable("flow;pressure [Pa]\\n0;9\\n180;1")',
  },
  {
    code: "table.cells",
    meaning: "A line of a table with more or fewer cells than the first.",
    call: 'readFanTable("flow;pressure\\n0;9\\n1")',
  },
  {
    code: "table.number",
    meaning:
      "A cell of a table that holds no number, or one that may be read in two ways: three digits after a mark, thousands or decimals.",
    call: 'readFanTable("flow;pressure\\n0;9\\n1;zero")',
  },
  {
    code: "table.setting",
    meaning: "A line of a table without the name of its setting, or with another setting or speed than lines like it.",
    call: 'readFanTable("setting;speed;flow;pressure\\nlow;900;0;9\\nhigh;900;1;0")',
  },
  {
    code: "unknown-column",
    meaning: "A column of a table that is not known.",
    call: 'readFanTable("flow;presure\\n0;9\\n1;0")',
  },
  {
    code: "unknown-unit",
    meaning: "A unit of a column that is not known.",
    call: 'readFanTable("flow [l/min];pressure\\n0;9\\n1;0")',
  },
  {
    code: "unknown-fitting",
    meaning: "A kind that the catalogue does not have.",
    call: 'fittingOf("bnd")',
  },
  {
    code: "unknown-choice",
    meaning: "A word that the parameter of a fitting does not take (in a document `value.choice`).",
    call: 'coefficientOf(mitredBend, { vanes: "duble" }, { section: { width: 0.3, height: 0.2 } })',
  },
  {
    code: "table.short",
    meaning: "A table of a fitting with fewer than two rows (in a document `list.short`).",
    call: "coefficientOf(irisDamper, { setting: 1, table: [] }, { section: { diameter: 0.1 } })",
  },
  {
    code: "unknown-model",
    meaning: "A model of tees that is not known (in a document `value.choice`).",
    call: 'teeCoefficients({ model: "gardl", angle: 1.5, areaRatio: 0.6 }, 0.3, "diverging")',
  },
  {
    code: "unknown-pattern",
    meaning: "A pattern of flow in a tee that is neither of the two.",
    call: 'teeCoefficients({ angle: 1.5, areaRatio: 0.6 }, 0.3, "joining")',
  },
  { code: "unknown-fan", meaning: "A fan that the network does not have.", call: 'indexRun(network, "fan")' },
  {
    code: "unknown-terminal",
    meaning: "A terminal that the network does not have.",
    call: 'pressurePath(network, solution, "vlave")',
  },
  {
    code: "fan.no-way-round",
    meaning: "A fan with no network upstream or downstream of it, so no flow can be imposed on it.",
    call: 'systemCurve({ ...network, nodes: network.nodes.map((one) => (one.id === "out" ? { id: "out", kind: "room" } : one)) }, "wall", { from: 0, to: 0.1, points: 2 })',
  },
  {
    code: "fan.no-terminals",
    meaning: "A fan that serves no terminals, so that it has no index run.",
    call: 'indexRun(network, "wall")',
  },
  {
    code: "fan.no-required-pressure",
    meaning: "A fan that gives its terminals their design flow at no pressure, or at none that is the only one.",
    call: 'indexRun({ ...network, nodes: [{ ...network.nodes[2], id: "in", service: "extract", designFlow: 0.02 }, network.nodes[1], { ...network.nodes[2], designFlow: 0.02 }], ducts: network.ducts.slice(0, 2) }, "f")',
  },
  {
    code: "fan.not-needed",
    meaning:
      "A fan whose terminals get their design flow from other fans or inflows before its air or pressure helps them.",
    call: 'indexRun({ ...network, nodes: [...network.nodes.filter(({ id }) => id !== "valve" && id !== "out"), { ...network.nodes[2], designFlow: 0.02 }, { id: "out", kind: "junction" }], ducts: [...network.ducts.slice(0, 1), { ...network.ducts[1], to: "out" }, ...network.ducts.slice(2), { ...network.ducts[1], id: "e", from: "out", to: "valve" }] }, "f")',
  },
  {
    code: "terminal.design-flow-missing",
    meaning: "A terminal without the design flow that the question is about.",
    call: 'indexRun(network, "f")',
  },
  {
    code: "path.unknown",
    meaning: "A path that leads to no number of this network: one to change, or one of its answers.",
    call: 'compileNetwork(network).parameter("ducts.a.lenght")',
  },
  {
    code: "curve.too-steep",
    meaning: "Points of a curve between which the slope is too large to be a number.",
    call: 'fanCurve({ pressureKind: "total", points: [{ flow: 0, pressure: 1e300 }, { flow: 1e-10, pressure: 0 }] })',
  },
  {
    code: "not-solved",
    meaning:
      "A number of a compiled network read before its first update, after one that failed, or after a parameter was changed without one.",
    call: 'compileNetwork(network).output("fans.f.flow").value',
  },
  {
    code: "solution.mismatch",
    meaning: "The solution of another network, or one that lacks results.",
    call: 'pressurePath(network, { ...solution, terminals: {} }, "valve")',
  },
];

/** How a solve can end without an answer. */
export const solveStatuses = [
  {
    code: "max-iterations",
    meaning: "No answer within `maxIterations` Newton steps.",
    document: driven(50, {}),
    options: { maxIterations: 1 },
  },
  {
    code: "stalled",
    meaning: "The residuals no longer fall, above the tolerance.",
    document: driven(50, { section: { diameter: 1e25 } }),
  },
  {
    code: "not-finite",
    meaning: "A number left the range of numbers: sizes or losses far from anything built.",
  },
  {
    code: "singular",
    meaning: "The equations do not determine the pressures, as far as the numbers can tell.",
  },
];

/** Codes of warnings. An example has this warning and no other. */
export const warnings = [
  {
    code: "friction.transition",
    meaning: "A duct between laminar and turbulent flow, where real friction is unsettled.",
    document: driven(0.3),
    path: "ducts.d",
  },
  {
    code: "friction.roughness",
    meaning: "A duct rougher than those to which the friction laws were fitted.",
    document: driven(50, { roughness: 0.01 }),
    path: "ducts.d",
  },
  {
    code: "friction.aspect",
    meaning: "A duct flatter than those for which the equivalent diameters hold.",
    document: driven(50, { section: { width: 1, height: 0.1 } }),
    path: "ducts.d",
  },
  {
    code: "friction.laminar",
    meaning: "Laminar flow in a duct that is not round.",
    document: driven(0.02, { section: { width: 0.1, height: 0.05 } }),
    path: "ducts.d",
  },
  {
    code: "fan.outside-curve",
    meaning: "A fan that runs beyond the points of its curve.",
    document: { ...oneFan(), nodes: [windy(600), outlet, fan()] },
    path: "fans.f.flow",
  },
  {
    code: "fan.unstable-region",
    meaning: "A fan that runs on the rising part of its curve or at less flow, where it may stall, hunt or surge.",
    document: withCurve({
      points: [
        { flow: 0, pressure: 200 },
        { flow: 0.05, pressure: 150 },
        { flow: 0.1, pressure: 220 },
        { flow: 0.2, pressure: 0 },
      ],
    }),
    path: "fans.f.flow",
  },
  {
    code: "duct.backdraught-closed",
    meaning: "A backdraught damper that is shut, with the pressure that holds it.",
    document: driven(-50, { backdraught: true }),
    path: "ducts.d",
  },
  {
    code: "fitting.outside-range",
    meaning:
      "A fitting, end or transition whose geometry lies outside what its source covers: its value is held, or goes on.",
    document: driven(50, { fittings: [{ kind: "mitredBend", angle: "110°" }], section: { diameter: 0.2 } }),
    path: "ducts.d.fittings.0",
  },
  {
    code: "fitting.reynolds",
    meaning:
      "Fittings at Reynolds numbers outside what their sources cover, in one warning for all: the lowest, and how many others.",
    document: driven(3, { fittings: [{ kind: "bend" }], length: 2 }),
    path: "ducts.d.fittings.0",
  },
  {
    code: "fitting.face-velocity",
    meaning: "An intake whose face is too small for its air: above 2.5 m/s a louvre draws rain.",
    document: {
      format,
      nodes: [{ id: "in", kind: "outdoors", pressure: 50, end: { kind: "louvre", area: 0.04, freeArea: 0.5 } }, outlet],
      ducts: [between("d", "in", "out", { section: { diameter: 0.2 } })],
    },
    path: "nodes.in.end",
  },
  {
    code: "tee.outside-range",
    meaning: "A tee whose geometry lies outside what its model covers: it is still computed.",
    document: oneTee({}, { section: { diameter: 0.05 } }),
    path: "nodes.t",
  },
  {
    code: "tee.against-flow",
    meaning: "A tee whose branch air turns by more than 100°, as if it were fitted the wrong way round.",
    document: oneTee({ angle: "135°" }),
    path: "nodes.t.angle",
  },
  {
    code: "fan.control-limited",
    meaning: "A controlled fan at a limit of its speed, with what is missing of its set value.",
    document: oneFan({ control: { kind: "flow", flow: "500 l/s" } }),
    path: "fans.f.control",
  },
  {
    code: "sensor.open-end",
    meaning:
      "A controller that senses static pressure where the air of its duct comes to rest: there it reads the pressure of the place into which the duct opens, at any fan flow. If no fan changes the pressure of that place, the controller holds nothing: its result has `noEffect`.",
    document: oneFan({ control: { kind: "pressure", pressure: 0, sensor: { duct: "b", at: "outlet" } } }),
    path: "fans.f.control.sensor",
  },
  {
    code: "fan.off-laws",
    meaning:
      "A fan at a speed for which its curves at other speeds stand in, though these lie more than 15 % of pressure apart by the fan laws: between which speeds, and by how much.",
    document: oneFan({
      speed: 1300,
      curve: {
        pressureKind: "total",
        speeds: [
          [900, 20],
          [1800, 100],
        ].map(([speed, pressure]) => ({
          speed,
          points: [
            { flow: 0, pressure },
            { flow: speed / 9000, pressure: 0 },
          ],
        })),
      },
    }),
    path: "fans.f.speed",
  },
  {
    code: "regulator.out-of-band",
    meaning:
      "A constant-flow regulator, in a duct or at a terminal, that takes less or more pressure than its band, and so does not hold its flow.",
    document: driven(20, {
      fittings: [{ kind: "regulator", flow: "20 l/s", minPressure: "50 Pa", maxPressure: "250 Pa" }],
    }),
    path: "ducts.d.fittings.0",
  },
  {
    code: "terminal.regulator-below-design",
    meaning:
      "A constant-flow regulator at a terminal, or in its only duct, that is set so far below the design flow of the terminal that its band does not reach it. The index run asks for a pressure at which it no longer regulates.",
    document: {
      ...oneTerminal({}),
      nodes: [
        windy(120),
        oneTerminal({
          designFlow: "20 l/s",
          regulator: { flow: "12 l/s", minPressure: "30 Pa", maxPressure: "200 Pa" },
        }).nodes[1],
      ],
    },
    path: "nodes.t.regulator",
  },
  {
    code: "junction.no-loss",
    meaning:
      "Three or more ducts at a plain junction, above 1 Pa of velocity pressure, in one warning for all: a tee or a plenum would lose some of it.",
    document: {
      format,
      nodes: [windy(50), outlet, { id: "j", kind: "junction" }],
      ducts: [between("a", "in", "j"), between("b", "j", "out"), between("c", "j", "out")],
    },
    path: "nodes.j",
  },
  {
    code: "junction.section-changes",
    meaning: "Two ducts of different sections at a plain junction, with the loss that an abrupt change would have.",
    document: {
      format,
      nodes: [windy(50), outlet, { id: "j", kind: "junction" }],
      ducts: [between("a", "in", "j"), between("b", "j", "out", { section: { diameter: 0.125 } })],
    },
    path: "nodes.j",
  },
  {
    code: "air.mixed",
    meaning:
      "Ducts of different air at a junction, a plenum or a terminal's box, in one warning for all: densities do not follow the flows that are solved.",
    document: {
      format,
      nodes: [windy(50), outlet, { id: "box", kind: "plenum" }],
      ducts: [between("a", "in", "box", { air: { density: 1.3 } }), between("b", "box", "out")],
    },
    path: "nodes.box",
  },
  {
    code: "outdoors.recovers-velocity",
    meaning: "An exit coefficient below 1, as only a diffuser has.",
    document: { ...oneDuct(), nodes: [windy(50), { id: "out", kind: "outdoors", entry: 0.5, exit: 0.5 }] },
    path: "nodes.out.exit",
  },
  {
    code: "room.column-missing",
    meaning:
      "Terminals without rooms at different heights in air that is not outdoor air: the stack effect between them is missing.",
    document: {
      format,
      air: { temperature: 20 },
      outdoorAir: { temperature: -5 },
      nodes: [
        windy(50),
        { id: "box", kind: "plenum" },
        { id: "low", kind: "terminal", service: "supply", loss: { pressure: 20, flow: 0.02 } },
        { id: "high", kind: "terminal", service: "supply", loss: { pressure: 20, flow: 0.02 }, elevation: 3 },
      ],
      ducts: [between("a", "in", "box"), between("b", "box", "low"), between("c", "box", "high")],
    },
    path: "nodes.low.room",
  },
  {
    code: "terminal.reversed",
    meaning: "A terminal through which air flows against its service.",
    document: { ...oneTerminal({}), nodes: [windy(-30), oneTerminal({}).nodes[1]] },
    path: "terminals.t.flow",
  },
  {
    code: "terminal.loss-negative",
    meaning: "An extract terminal whose static rating is below the velocity pressure at this flow.",
    document: {
      ...oneTerminal({}),
      nodes: [
        windy(-150),
        oneTerminal({
          service: "extract",
          loss: { pressure: 5, flow: 0.02, exponent: 1, pressureKind: "static" },
        }).nodes[1],
        { ...windy(2000), id: "in2" },
        { id: "s", kind: "terminal", service: "supply", loss: { pressure: 500, flow: 0.2 } },
      ],
      ducts: [...oneTerminal({}).ducts, between("e", "in2", "s")],
    },
    path: "nodes.t.loss",
  },
  {
    code: "terminal.rating-section",
    meaning: "A terminal whose rating was measured in another section than its duct's, without a box between them.",
    document: {
      ...oneTerminal({}),
      nodes: [windy(50), oneTerminal({ loss: { pressure: 20, flow: 0.02, section: { diameter: 0.25 } } }).nodes[1]],
    },
    path: "nodes.t.loss",
  },
  {
    code: "terminal.coefficient-below-one",
    meaning: "A supply terminal whose pressure drop is less than the velocity pressure, which its jet carries away.",
    document: { ...oneTerminal({}), nodes: [windy(50), oneTerminal({ loss: { coefficient: 0.5 } }).nodes[1]] },
    path: "nodes.t.loss",
  },
  {
    code: "unit.fan-at-missing",
    meaning: "A stream whose air differs upstream and downstream, without `fanAt` to say where its fan sits.",
    document: {
      ...oneUnit({ fan: { curve: { pressureKind: "total", points: falling } } }),
      ducts: [
        between("a", "in", "unit.intake", { air: { temperature: -10 } }),
        between("b", "unit.supply", "out", { air: { temperature: 20 } }),
      ],
    },
    path: "nodes.unit.supply.fanAt",
  },
  {
    code: "unit.includes-missing",
    meaning: "A unit curve beside components, without `includes` to say which of them it contains.",
    document: oneUnit({
      fan: { curve: { pressureKind: "total", of: "unit", points: falling } },
      components: [filter],
    }),
    path: "nodes.unit.supply.includes",
  },
  {
    code: "unit.imbalance",
    meaning: "A unit whose streams differ by more than 5 % of mass.",
    document: {
      format,
      nodes: [
        inlet,
        outlet,
        {
          id: "unit",
          kind: "airHandler",
          supply: { fan: { curve: { pressureKind: "total", points: falling } } },
          extract: { fan: { speed: 0.8, curve: { pressureKind: "total", points: falling } } },
        },
      ],
      ducts: unitDucts,
    },
    path: "airHandlers.unit.massImbalance",
  },
  {
    code: "unit.frost-reduced",
    meaning:
      "Frost protection that slows the supply fan: the house may fall below outdoor pressure, or nothing is gained.",
    document: coldUnit({ frost: { below: -3, reduceSupplyTo: 0.7 } }),
    path: "airHandlers.unit.frostSpeedFactor",
  },
  {
    code: "unit.frost-unprotected",
    meaning:
      "An exchanger that cools the exhaust below its dew point and 0 °C, although it has frost protection, if that does not prevent it below −1 °C.",
    document: coldHouse({ exchanger: { efficiency: 0.85 } }),
    path: "airHandlers.unit.exhaustTemperature",
  },
  {
    code: "unit.preheater-above-extract",
    meaning: "A preheater that warms the intake air above the extract air, so that the exchanger takes heat from it.",
    document: coldHouse({ exchanger: { efficiency: 0.85 }, frost: { below: 30, preheater: 20000 } }),
    path: "airHandlers.unit.preheaterHeat",
  },
  {
    code: "unit.bypass-cold",
    meaning:
      "A unit in bypass that supplies air colder than its frost limit, or than 0 °C: frost protection is inactive in bypass.",
    document: coldHouse({ state: "bypass", exchanger: { efficiency: 0.85 }, frost: { below: -3, preheater: 1000 } }),
    path: "nodes.unit.state",
  },
  {
    code: "unit.temperatures-unknown",
    meaning:
      "An exchanger beside air that is given by its density, so the temperature of the air downstream of it is not known.",
    document: {
      format,
      air: { density: 1.2 },
      nodes: [
        inlet,
        outlet,
        {
          id: "unit",
          kind: "airHandler",
          supply: { fan: { curve: { pressureKind: "total", points: falling } } },
          extract: { fan: { curve: { pressureKind: "total", points: falling } } },
          exchanger: { efficiency: 0.8 },
        },
      ],
      ducts: unitDucts,
    },
    path: "nodes.unit.exchanger",
  },
  {
    code: "unit.preheater-short",
    meaning: "A preheater that cannot warm the intake air to the limit of its exchanger.",
    document: coldUnit({ frost: { below: -3, preheater: 10 } }),
    path: "airHandlers.unit.preheaterHeat",
  },
  {
    code: "caution.combustion",
    meaning: "A room more than 4 Pa below outdoors, or elsewhere more extract than supply: flue gas may be drawn back.",
    document: {
      ...oneTerminal({}),
      nodes: [windy(-30), oneTerminal({ service: "extract" }).nodes[1]],
    },
    path: "terminals",
  },
  {
    code: "solution.unstable",
    meaning: "A fan that runs where a small disturbance grows. A stable answer is looked for first.",
  },
];
