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
    { id: "behind", from: "fan.outlet", to: "n1", ...wide },
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
