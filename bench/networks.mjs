import { generate } from "./peers/gen.mjs";
import { hard } from "./peers/gen-hard.mjs";

/** A network of gen.mjs with 5 % loops: for the peers as it is, for ductgraph as a document. */
export const networkOf = (size, seed = 1) => generate(size, Math.round(size / 20), { seed });

/** The document of such a network: outdoors, one falling fan, junctions, ducts with one fixed fitting each. */
export const documentOf = (net, friction = "churchill") => {
  const nodes = [{ id: "n0", kind: "outdoors", entry: 0.5, exit: 1, section: { diameter: 1 } }];
  for (let i = 1; i < net.nNodes; i++) nodes.push({ id: `n${i}`, kind: "junction" });
  const { p0, q0 } = net.fan;
  const flowAtEnd = 1.5 * q0;
  const points = Array.from({ length: 11 }, (_, i) => {
    const x = i / 10;
    return { flow: flowAtEnd * x, pressure: p0 * (1 - 0.95 * x * x) };
  });
  nodes.push({ id: "fan", kind: "fan", curve: { pressureKind: "total", density: net.rho, points } });
  const wide = { length: 2, section: { diameter: 1 } };
  const ducts = [
    { id: "before", from: "n0", to: "fan.inlet", ...wide },
    { id: "after", from: "fan.outlet", to: "n1", ...wide },
  ];
  for (let e = 1; e < net.N; e++) {
    ducts.push({
      id: `d${e}`,
      from: `n${net.from[e]}`,
      to: `n${net.to[e]}`,
      length: net.L[e],
      section: { diameter: net.D[e] },
      roughness: net.eps,
      fittings: [{ kind: "fixed", coefficient: net.K[e] }],
    });
  }
  const air = { density: net.rho, viscosity: net.rho * net.nu };
  return { format: "ductgraph/1", title: net.name, air, friction, nodes, ducts };
};

/** The paths of all fitting coefficients of such a document. */
export const coefficientPaths = (document) =>
  document.ducts.flatMap(({ id, fittings }) =>
    fittings?.[0]?.kind === "fixed" ? [`ducts.${id}.fittings.0.coefficient`] : [],
  );

/**
 * A network of gen.mjs with three fittings in each duct beside its own, whose coefficients follow the Reynolds number: a
 * bend, a mitred bend and a sharp bend. The air is a quarter as viscous, so that four in five ducts run where these vary.
 */
export const fittingsOf = (size, friction) => {
  const document = documentOf(networkOf(size), friction);
  const more = [{ kind: "bend" }, { kind: "mitredBend" }, { kind: "bend", radiusRatio: 0.6 }];
  return {
    ...document,
    ducts: document.ducts.map((duct) => ({ ...duct, fittings: [...(duct.fittings ?? []), ...more] })),
  };
};

/** The same network with the coefficients of these fittings as solved. */
export const withFixed = (document, { ducts: results }) => ({
  ...document,
  ducts: document.ducts.map((duct) => ({
    ...duct,
    fittings: results[duct.id].fittings.map(({ coefficient }) => ({ kind: "fixed", coefficient })),
  })),
});

/** A tree of gen-hard.mjs in which every node of three ducts is a tee; seed 1 gathers. */
export const teesOf = (size) => hard("tees", size, 1);

/**
 * The same network with a junction in the place of each tee, and the losses of the tees as solved in the coefficients of
 * the ducts that lead off the summed flow; a gain beyond a duct's own coefficient is left out, as none may be negative.
 */
export const withoutTees = (document, { ducts: results, nodes: found }) => {
  const ducts = structuredClone(document.ducts);
  const at = new Map(ducts.flatMap((duct) => ["from", "to"].map((end) => [duct[end], duct])));
  for (const { id, kind } of document.nodes) {
    if (kind !== "tee") continue;
    const [one, other] = found[id].losses.paths;
    const sum = one.from === other.from ? "from" : "to";
    for (const path of [one, other]) {
      const duct = at.get(`${id}.${path[sum === "from" ? "to" : "from"]}`);
      const [fitting] = duct.fittings;
      fitting.coefficient = Math.max(0, fitting.coefficient + path.loss / results[duct.id].velocityPressure);
    }
  }
  const tees = new Set(document.nodes.filter(({ kind }) => kind === "tee").map(({ id }) => id));
  const met = (end) => (tees.has(end.split(".")[0]) ? end.split(".")[0] : end);
  for (const duct of ducts) {
    duct.from = met(duct.from);
    duct.to = met(duct.to);
  }
  const nodes = document.nodes.map((node) => (node.kind === "tee" ? { id: node.id, kind: "junction" } : node));
  return { ...document, nodes, ducts };
};

/** Points of a fan at a speed over its fastest; power falls less than the cube, as that of small motors does. */
const pointsAt = (ratio) =>
  [0, 0.4, 0.75, 1].map((share, i) => ({
    flow: 0.1 * share * ratio,
    pressure: [345, 300, 210, 60][i] * ratio ** 2,
    power: [30, 45, 55, 60][i] * ratio ** 2.7,
  }));

const unitFan = {
  points: { curve: { pressureKind: "total", points: pointsAt(1) }, speed: 0.8 },
  family: {
    curve: { pressureKind: "total", speeds: [1000, 2000, 3000].map((n) => ({ speed: n, points: pointsAt(n / 3000) })) },
    speed: 2400,
  },
};

/** What each unit's fans hold: flows, a flow and a balance, pressures in ducts. */
const held = (unit) => [
  [
    { kind: "flow", flow: 0.06 },
    { kind: "flow", flow: 0.065 },
  ],
  [
    { kind: "flow", flow: 0.06 },
    { kind: "balance", to: `${unit}.supply`, ratio: 1.05 },
  ],
  [
    { kind: "pressure", pressure: 40, sensor: { duct: `${unit}-supply0`, at: "inlet" } },
    { kind: "pressure", pressure: -40, sensor: { duct: `${unit}-extract0`, at: "outlet" } },
  ],
];

/**
 * Leaky dwellings around a stairwell, or apart from one another, each with a unit of 46 ducts.
 *
 * @param {number} count - How many.
 * @param {"points" | "family"} form - Of the curves of their fans.
 * @param {boolean} around - Whether they leak into the stairwell too.
 */
export const unitsOf = (count, form, around) => {
  const nodes = [{ id: "out", kind: "outdoors", coefficient: 1 }];
  const ducts = [];
  const openings = [];
  const leak = (id, from, to, coefficient) => openings.push({ id, from, to, coefficient, exponent: 0.6 });
  if (around) {
    nodes.push({ id: "stair", kind: "room" });
    leak("stair", "stair", "out", 0.02);
  }
  for (let u = 0; u < count; u++) {
    const unit = `unit${u}`;
    const room = `${unit}-room`;
    const duct = (id, from, to, diameter, length) => {
      const fittings = [{ kind: "fixed", coefficient: 0.7 }];
      ducts.push({ id: `${unit}-${id}`, from, to, length, section: { diameter }, fittings });
    };
    nodes.push({ id: room, kind: "room" });
    leak(`${unit}-leak`, room, "out", 0.005);
    if (around) leak(`${unit}-door`, room, "stair", 0.003);
    duct("intake", "out", `${unit}.intake`, 0.2, 3);
    duct("exhaust", `${unit}.exhaust`, "out", 0.2, 3);
    const [supply, extract] = held(unit)[u % 3].map((control) => ({ fan: { ...unitFan[form], control } }));
    const limits = form === "points" ? { minSpeed: 0.1, maxSpeed: 1.1 } : { minSpeed: 300, maxSpeed: 3300 };
    for (const { fan } of [supply, extract]) Object.assign(fan.control, limits);
    nodes.push({ id: unit, kind: "airHandler", supply, extract });
    for (const side of ["supply", "extract"]) {
      const run = (id, a, b, diameter, length) =>
        side === "supply" ? duct(id, a, b, diameter, length) : duct(id, b, a, diameter, length);
      let last = `${unit}.${side}`;
      for (let k = 0; k <= 10; k++) {
        const [junction, terminal] = [`${unit}-${side}-j${k}`, `${unit}-${side}-t${k}`];
        const loss = { pressure: 20 + ((k * 7) % 11), flow: 0.008 };
        nodes.push({ id: terminal, kind: "terminal", service: side, loss, room });
        if (k < 10) {
          nodes.push({ id: junction, kind: "junction" });
          run(`${side}${k}`, last, junction, 0.2, 2 + (k % 3));
          last = junction;
        }
        run(`${side}-t${k}`, last, terminal, 0.125, 1 + (k % 4));
      }
    }
  }
  return { format: "ductgraph/1", nodes, ducts, openings };
};

/** A central fan on one main with a branch for each booster, which holds its own flow. */
export const boostersOf = (count) => {
  const square = (pressure, per, flow) => ({
    pressureKind: "total",
    points: [0, 0.25, 0.5, 0.75, 1].map((share) => ({
      flow: share * flow,
      pressure: pressure - per * share ** 2,
    })),
  });
  const loss = { pressure: 20, flow: 0.02 };
  const nodes = [
    { id: "out", kind: "outdoors", coefficient: 1 },
    { id: "central", kind: "fan", curve: square(300, 200, 0.02 * count) },
  ];
  const ducts = [{ id: "intake", from: "out", to: "central.inlet", length: 5, section: { diameter: 0.8 } }];
  let last = "central.outlet";
  for (let k = 0; k < count; k++) {
    const booster = `booster${k}`;
    const control = { kind: "flow", flow: 0.02 + 0.001 * (k % 5), minSpeed: 0.06, maxSpeed: 2 };
    nodes.push(
      { id: `j${k}`, kind: "junction" },
      { id: booster, kind: "fan", curve: square(200, 160, 0.06), speed: 0.5, control },
      { id: `t${k}`, kind: "terminal", service: "supply", loss },
    );
    const section = { diameter: 0.16 };
    ducts.push(
      { id: `main${k}`, from: last, to: `j${k}`, length: 3, section: { diameter: 0.8 } },
      { id: `a${k}`, from: `j${k}`, to: `${booster}.inlet`, length: 5, section },
      { id: `b${k}`, from: `${booster}.outlet`, to: `t${k}`, length: 6, section },
    );
    last = `j${k}`;
  }
  return { format: "ductgraph/1", nodes, ducts, openings: [] };
};

/** The same at the speeds that controllers found. */
export const withoutControl = (document, { fans }) => ({
  ...document,
  nodes: document.nodes.map((node) => {
    if (node.kind === "fan" && node.control !== undefined) {
      return { ...node, control: undefined, speed: fans[node.id].speed };
    }
    if (node.kind !== "airHandler") return node;
    const at = (side) => ({
      fan: { ...node[side].fan, control: undefined, speed: fans[`${node.id}.${side}`].speed },
    });
    return { ...node, supply: at("supply"), extract: at("extract") };
  }),
});
