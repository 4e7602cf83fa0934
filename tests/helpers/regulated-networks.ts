import { hard } from "../../bench/peers/gen-hard.mjs";
import { type NetworkDocument, solveNetwork } from "../../src/index.js";
import { between, type Random, randomOf, setValue } from "./control-networks.js";

const pick = <T>(random: Random, choices: readonly T[]): T => choices[Math.floor(random() * choices.length)];

/** From loose to all but vertical. */
const regulatorOf = (random: Random) => {
  const minPressure = between(random, 10, 50);
  return {
    flow: between(random, 0.004, 0.03),
    minPressure,
    maxPressure: minPressure * between(random, 2, 6),
    accuracy: between(random, 0.005, 0.15),
  };
};

/** A quarter have a hump. */
const curveOf = (random: Random) => {
  const pressure = between(random, 100, 600);
  const flow = between(random, 0.03, 0.2);
  const start = random() < 0.25 ? 0.75 : 1.15;
  const shares = [
    [0, start],
    [0.4, 1],
    [0.75, 0.7],
    [1, 0.2],
  ];
  const points = shares.map(([at, share]) => ({ flow: at * flow, pressure: share * pressure }));
  return { pressureKind: "total", points };
};

/**
 * Trees of one to a dozen tees on one or either side of a room, of random angles and models, with constant-flow regulators
 * in ducts, at terminals or both, some in mains, and backdraught dampers; fans run at a speed or are controlled.
 */
export const regulatedDocument = (seed: number): NetworkDocument => {
  const random = randomOf(seed);
  const controlled = random() < 0.5;
  const extracts = random() < 0.5;
  const [inDucts, atTerminals] = pick(random, [
    [true, false],
    [false, true],
    [true, true],
  ]);
  const nodes: object[] = [
    { id: "out", kind: "outdoors", coefficient: 1 },
    { id: "room", kind: "room" },
  ];
  const ducts: object[] = [];
  const side = (service: "supply" | "extract", fan: string): void => {
    const duct = (id: string, from: string, to: string, diameter: number, regulated = false): void => {
      const fittings = regulated ? [{ kind: "regulator", ...regulatorOf(random) }] : [];
      const [one, other] = service === "supply" ? [from, to] : [to, from];
      const section = { diameter: Number(diameter.toPrecision(5)) };
      const damper = random() < 0.1 ? { backdraught: true } : {};
      ducts.push({ id, from: one, to: other, length: between(random, 0.5, 10), section, fittings, ...damper });
    };
    const main = between(random, 0.1, 0.25);
    const count = 1 + Math.floor(random() * (random() < 0.7 ? 6 : 12));
    /** Open ends of the tree, with the diameter of what hangs there. */
    const ends: [end: string, diameter: number][] = [[service === "supply" ? `${fan}.outlet` : `${fan}.inlet`, main]];
    for (let k = 0; k < count; k++) {
      const [[from, diameter]] = ends.splice(random() < 0.6 ? ends.length - 1 : Math.floor(random() * ends.length), 1);
      const id = `${service}${k}`;
      const angle = pick(random, [Math.PI / 2, Math.PI / 4, (3 * Math.PI) / 4]);
      nodes.push({ id, kind: "tee", angle, model: pick(random, ["gardel", "idelchik", "momentum"]) });
      duct(`${id}-main`, from, `${id}.a`, diameter, random() < 0.05);
      ends.push([`${id}.branch`, diameter * between(random, 0.5, 1)], [`${id}.b`, diameter]);
    }
    ends.forEach(([from, diameter], k) => {
      const id = `${service}-t${k}`;
      const loss = { pressure: between(random, 5, 40), flow: between(random, 0.005, 0.02) };
      const regulator = atTerminals && random() < 0.8 ? { regulator: regulatorOf(random) } : {};
      nodes.push({ id, kind: "terminal", service, room: "room", loss, ...regulator });
      duct(`${id}-duct`, from, id, diameter, inDucts && random() < 0.8);
    });
    duct(`${service}-end`, "out", service === "supply" ? `${fan}.inlet` : `${fan}.outlet`, main);
  };
  const controlOf = (service: "supply" | "extract"): object => {
    const choice = random();
    if (service === "extract" && choice < 0.4) {
      return { kind: "balance", to: "supply-fan", ratio: between(random, 0.5, 1.5) };
    }
    if (choice < 0.7) return { kind: "flow", flow: setValue(random, 0.04) };
    const sensor = { duct: `${service}0-main`, at: pick(random, ["inlet", "outlet"]) };
    return { kind: "pressure", pressure: (service === "supply" ? 1 : -1) * setValue(random, 60), sensor };
  };
  for (const service of extracts ? (["supply", "extract"] as const) : (["supply"] as const)) {
    const id = `${service}-fan`;
    side(service, id);
    const speed = between(random, 0.3, 1);
    const control = controlled ? { control: controlOf(service) } : {};
    nodes.push({ id, kind: "fan", curve: curveOf(random), speed, ...control });
  }
  const openings = [{ id: "gap", from: "room", to: "out", coefficient: between(random, 0.0005, 0.02), exponent: 0.6 }];
  return { format: "ductgraph/1", nodes, ducts, openings } as unknown as NetworkDocument;
};

/** A network of 300 ducts, most of its ends with a regulator, set to less or more than the flow there without it. */
export const regulatedBuilding = (seed: number): NetworkDocument => {
  const random = randomOf(seed);
  const document = hard("tees", 300, seed) as NetworkDocument;
  const open = solveNetwork(document).ducts;
  const ducts = document.ducts?.map((duct) => {
    const isEnd = [duct.from, duct.to].includes("n0") && duct.id.startsWith("d");
    if (!isEnd || random() > 0.7) return duct;
    const flow = Math.abs(open[duct.id].flow) * between(random, 0.4, 1.4);
    const fittings = [...(duct.fittings ?? []), { kind: "regulator" as const, ...regulatorOf(random), flow }];
    return { ...duct, fittings };
  });
  return { ...document, ducts } as NetworkDocument;
};
