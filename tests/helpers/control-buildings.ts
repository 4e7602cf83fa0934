import type { NetworkDocument } from "../../src/index.js";
import { between, type Random, randomOf, setValue } from "./control-networks.js";

/** Points of a fan; falling, or with a hump, or ending steeply. */
const pointsOf = (random: Random, pressure: number, flow: number) => {
  const start = random() < 0.2 ? 0.75 : 1.15;
  return [
    { flow: 0, pressure: start * pressure },
    { flow: 0.4 * flow, pressure },
    { flow: 0.75 * flow, pressure: 0.7 * pressure },
    { flow, pressure: 0.2 * pressure },
  ];
};

/** A fan by points, by coefficients or by points at three speeds, with speeds between which it may be controlled. */
const fanOf = (random: Random) => {
  const pressure = between(random, 100, 500);
  const flow = between(random, 0.03, 0.15);
  const form = random();
  const relative = { minSpeed: between(random, 0.08, 0.4), maxSpeed: between(random, 0.8, 1.3) };
  if (form < 0.5) return { curve: { pressureKind: "total", points: pointsOf(random, pressure, flow) }, ...relative };
  if (form < 0.65) {
    const curve = {
      pressureKind: "total",
      coefficients: [pressure, 0, -(0.8 * pressure) / flow ** 2],
      from: 0,
      to: flow,
    };
    return { curve, ...relative };
  }
  const full = pointsOf(random, pressure, flow);
  const speeds = [1000, 1800, 2700].map((speed) => {
    const ratio = speed / 2700;
    // Small fans fall short of the fan laws at low speeds.
    const short = 1 - between(random, 0, 0.06) * (1 - ratio);
    return { speed, points: full.map((p) => ({ flow: ratio * p.flow, pressure: short * ratio ** 2 * p.pressure })) };
  });
  const [minSpeed, maxSpeed] = [2700 * relative.minSpeed, 2700 * Math.min(relative.maxSpeed, 1.2)];
  return { curve: { pressureKind: "total", speeds }, speed: between(random, minSpeed, maxSpeed), minSpeed, maxSpeed };
};

/**
 * A building of one to four dwellings, each with a unit of its own or a fan of a central system, leaky rooms, some around
 * a stairwell; regulators and backdraught dampers in ducts; controllers of all kinds, sensors in ducts and in rooms.
 */
export const controlledBuilding = (seed: number): NetworkDocument => {
  const random = randomOf(seed);
  const nodes: object[] = [{ id: "out", kind: "outdoors", coefficient: 1 }];
  const ducts: object[] = [];
  const openings: object[] = [];
  const duct = (id: string, from: string, to: string, diameter: number): void => {
    const fittings: object[] = random() < 0.5 ? [{ kind: "fixed", coefficient: between(random, 0.1, 3) }] : [];
    if (random() < 0.1) {
      const minPressure = between(random, 10, 50);
      const maxPressure = minPressure * between(random, 3, 6);
      fittings.push({ kind: "regulator", flow: between(random, 0.005, 0.05), minPressure, maxPressure });
    }
    const backdraught = random() < 0.08 ? { backdraught: true } : {};
    ducts.push({ id, from, to, length: between(random, 0.5, 12), section: { diameter }, fittings, ...backdraught });
  };
  const sensors: string[] = [];
  const held = new Set<string>();
  const fans: string[] = [];
  const balanced = new Set<string>();
  const leak = (id: string, from: string, to: string): void => {
    openings.push({ id, from, to, coefficient: between(random, 0.0005, 0.02), exponent: between(random, 0.5, 0.7) });
  };
  const fan = (name: string, service: "supply" | "extract", room: string): object => {
    const { curve, minSpeed, maxSpeed, ...speed } = fanOf(random) as {
      curve: object;
      minSpeed: number;
      maxSpeed: number;
      speed?: number;
    };
    const own = { curve, ...speed };
    fans.push(name);
    const choice = random();
    const sign = service === "supply" ? 1 : -1;
    const control = (kind: object) => ({ ...own, control: { ...kind, minSpeed, maxSpeed } });
    if (choice < 0.25) return own;
    const others = fans.filter((other) => other !== name && !balanced.has(other));
    if (choice < 0.4 && others.length > 0) {
      balanced.add(name);
      const to = others[Math.floor(random() * others.length)];
      return control({ kind: "balance", to, ratio: between(random, 0.2, 2) });
    }
    if (choice < 0.65) return control({ kind: "flow", flow: setValue(random, 0.04) });
    if (choice < 0.8 && !held.has(room)) {
      held.add(room);
      return control({ kind: "pressure", pressure: between(random, -20, 20), sensor: { node: room } });
    }
    // Each duct is sensed once: two controllers cannot hold one pressure.
    const [duct] = sensors.splice(Math.floor(random() * sensors.length), 1);
    const sensor = { duct, at: random() < 0.5 ? "inlet" : "outlet" };
    return control({ kind: "pressure", pressure: sign * setValue(random, 60), sensor });
  };
  const dwellings = 1 + Math.floor(random() * 4);
  const around = dwellings > 1 && random() < 0.6;
  if (around) {
    nodes.push({ id: "stair", kind: "room" });
    leak("stair-leak", "stair", "out");
  }
  for (let d = 0; d < dwellings; d++) {
    const room = `room${d}`;
    nodes.push({ id: room, kind: "room" });
    leak(`leak${d}`, room, "out");
    if (around) leak(`door${d}`, room, "stair");
    const main = between(random, 0.1, 0.2);
    sensors.length = 0;
    const system = (service: "supply" | "extract", begin: string): void => {
      const supply = service === "supply";
      const run = (id: string, from: string, to: string, diameter: number): void => {
        sensors.push(id);
        if (supply) duct(id, from, to, diameter);
        else duct(id, to, from, diameter);
      };
      let last = begin;
      const count = 1 + Math.floor(random() * 4);
      for (let k = 0; k <= count; k++) {
        const junction = `${service}${d}-${k}`;
        const terminal = `${service}${d}-t${k}`;
        const loss = { pressure: between(random, 5, 60), flow: between(random, 0.003, 0.02) };
        nodes.push({ id: terminal, kind: "terminal", service, loss, room });
        if (k === count) {
          run(`${terminal}-run`, last, terminal, 0.8 * main);
          break;
        }
        nodes.push({ id: junction, kind: "junction" });
        run(`${junction}-main`, last, junction, main);
        run(`${terminal}-run`, junction, terminal, 0.8 * main);
        last = junction;
      }
    };
    if (random() < 0.6) {
      const unit = `unit${d}`;
      system("supply", `${unit}.supply`);
      system("extract", `${unit}.extract`);
      duct(`intake${d}`, "out", `${unit}.intake`, main);
      duct(`exhaust${d}`, `${unit}.exhaust`, "out", main);
      const supply = { fan: fan(`${unit}.supply`, "supply", room) };
      nodes.push({ id: unit, kind: "airHandler", supply, extract: { fan: fan(`${unit}.extract`, "extract", room) } });
    } else {
      // A fan that extracts, and another that supplies or a grille.
      const extract = `extract${d}`;
      system("extract", `${extract}.inlet`);
      duct(`exhaust${d}`, `${extract}.outlet`, "out", main);
      nodes.push({ id: extract, kind: "fan", ...fan(extract, "extract", room) });
      if (random() < 0.5) {
        const supply = `supply${d}`;
        system("supply", `${supply}.outlet`);
        duct(`intake${d}`, "out", `${supply}.inlet`, main);
        nodes.push({ id: supply, kind: "fan", ...fan(supply, "supply", room) });
      }
    }
  }
  return { format: "ductgraph/1", nodes, ducts, openings } as unknown as NetworkDocument;
};
