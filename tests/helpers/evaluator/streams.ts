import { type AirProperties, moistAir } from "./air.js";
import type { PlainDuct, PlainNode } from "./document.js";

/*
 * The airs that ducts inherit, found the plain way: each duct is taken out and both sides are walked to see where air can
 * come from and where it can go. It takes a time that grows as the square of the network.
 */

/** Air that comes along, and what it counts where it meets other air. */
interface Stream {
  readonly air: AirProperties;
  /** Design flow [kg/s]; undefined where a terminal that it comes from has none. */
  readonly massFlow: number | undefined;
  readonly origins: number;
}

/** What a stretch of ducts is read from. */
export interface Surroundings {
  readonly nodes: readonly PlainNode[];
  readonly ducts: readonly PlainDuct[];
  readonly networkAir: AirProperties;
  nodeOf(place: string): PlainNode;
  /** Own air of a duct. */
  ownAir(duct: PlainDuct): AirProperties;
  /** Still air of outdoors or a room. */
  stillAir(node: PlainNode): AirProperties;
}

const isStill = ({ kind }: PlainNode): boolean => kind === "outdoors" || kind === "room";
const moves = ({ kind }: PlainNode): boolean => kind === "fan" || kind === "airHandler";

interface Way {
  readonly source: string;
  readonly target: string;
}

/** The ports from which fans and units blow. */
const givingPorts = ["outlet", "supply", "exhaust"];

class Streams {
  private readonly found = new Map<string, Stream | "none" | "ring">();
  private readonly ways = new Map<PlainDuct, Way | undefined>();

  constructor(private readonly given: Surroundings) {}

  /** The point where a duct's end lies; of outdoors and rooms one for each duct. */
  private pointOf(duct: PlainDuct, end: "from" | "to"): string {
    const place = duct[end];
    const node = this.given.nodeOf(place);
    if (isStill(node)) return `${place} ${duct.id}`;
    return moves(node) ? place : node.id;
  }

  /** All points that ducts join to one, without going through some of them. */
  private reach(start: string, passes: (duct: PlainDuct) => boolean): Set<string> {
    const reached = new Set([start]);
    for (let size = 0; size < reached.size; ) {
      size = reached.size;
      for (const duct of this.given.ducts.filter(passes)) {
        const [a, b] = [this.pointOf(duct, "from"), this.pointOf(duct, "to")];
        if (reached.has(a)) reached.add(b);
        else if (reached.has(b)) reached.add(a);
      }
    }
    return reached;
  }

  private nodeAt(point: string): PlainNode {
    return this.given.nodeOf(point.split(" ")[0]);
  }

  /** What a point is by itself: a source, a sink, or neither; of outdoors and rooms it depends on the rest. */
  private roleOf(point: string): "gives" | "takes" | undefined {
    const node = this.nodeAt(point);
    if (node.kind === "terminal") return node.service === "extract" ? "gives" : "takes";
    if (!moves(node)) return undefined;
    return givingPorts.includes(point.split(".")[1]) ? "gives" : "takes";
  }

  /** Which service a point belongs to. */
  private serviceOf(point: string): string | undefined {
    const node = this.nodeAt(point);
    if (node.kind === "terminal") return node.service;
    if (node.kind !== "airHandler") return undefined;
    return ["intake", "supply"].includes(point.split(".")[1]) ? "supply" : "extract";
  }

  /** Whether a point brings air to its ducts, or takes it, everything else on its stretch of ducts considered. */
  private roleIn(stretch: ReadonlySet<string>, point: string): "gives" | "takes" | undefined {
    const node = this.nodeAt(point);
    if (!isStill(node)) return this.roleOf(point);
    // Before a fan everything open is sucked at, after it everything is blown through.
    const fans = [...stretch].filter((other) => moves(this.nodeAt(other))).map((other) => this.roleOf(other));
    if (fans.includes("gives") !== fans.includes("takes")) return fans.includes("takes") ? "gives" : "takes";
    const services = new Set([...stretch].flatMap((other) => this.serviceOf(other) ?? []));
    if (services.size !== 1) return undefined;
    return services.has(node.kind === "room" ? "extract" : "supply") ? "gives" : "takes";
  }

  private wayOf(duct: PlainDuct): Way | undefined {
    if (!this.ways.has(duct)) this.ways.set(duct, this.findWay(duct));
    return this.ways.get(duct);
  }

  /** The points from and to which air passes a duct; undefined where the document leaves that open. */
  private findWay(duct: PlainDuct): Way | undefined {
    const [a, b] = [this.pointOf(duct, "from"), this.pointOf(duct, "to")];
    if (a === b || (isStill(this.nodeAt(a)) && isStill(this.nodeAt(b)))) return undefined;
    const others = (other: PlainDuct): boolean => other !== duct;
    const [sideA, sideB] = [this.reach(a, others), this.reach(b, others)];
    if (sideA.has(b)) return undefined;
    const stretch = new Set([...sideA, ...sideB]);
    const has = (side: ReadonlySet<string>, role: string): boolean =>
      [...side].some((point) => this.roleIn(stretch, point) === role);
    const forth = { source: a, target: b };
    const back = { source: b, target: a };
    for (const [end, out, into] of [[a, forth, back] as const, [b, back, forth] as const]) {
      if (!isStill(this.nodeAt(end))) continue;
      // Where it may do either, nothing follows for its duct.
      const role = this.roleIn(stretch, end);
      return role && (role === "gives" ? out : into);
    }
    if (has(sideA, "gives") !== has(sideB, "gives")) return has(sideA, "gives") ? forth : back;
    if (has(sideA, "takes") !== has(sideB, "takes")) return has(sideB, "takes") ? forth : back;
    return undefined;
  }

  /** The stream in a duct that names no air; undefined where it has the network's. */
  in(duct: PlainDuct): Stream | undefined {
    const way = this.wayOf(duct);
    if (way !== undefined) return this.at(way.source);
    const [a, b] = [this.pointOf(duct, "from"), this.pointOf(duct, "to")];
    return isStill(this.nodeAt(a)) || isStill(this.nodeAt(b)) ? undefined : this.at(a);
  }

  /** The air at a point. */
  private at(point: string): Stream | undefined {
    const node = this.nodeAt(point);
    if (isStill(node)) return { air: this.given.stillAir(node), massFlow: undefined, origins: 1 };
    const mixed = this.reach(point, (duct) => duct.air === undefined && this.joins(duct));
    const name = [...mixed].sort()[0];
    const known = this.found.get(name);
    if (known === "ring") throw new Error("ring");
    if (known !== undefined) return known === "none" ? undefined : known;
    // Who asks for it before it is found goes round in a ring, and so does all that follows from it.
    this.found.set(name, "ring");
    const stream = this.mixAt(mixed);
    this.found.set(name, stream ?? "none");
    return stream;
  }

  private joins(duct: PlainDuct): boolean {
    return !isStill(this.given.nodeOf(duct.from)) && !isStill(this.given.nodeOf(duct.to)) && !this.wayOf(duct);
  }

  /** All that comes to some points, mixed. */
  private mixAt(points: ReadonlySet<string>): Stream | undefined {
    const { ducts, networkAir, nodeOf, ownAir, stillAir } = this.given;
    const unknown = { air: networkAir, massFlow: undefined, origins: 1 };
    const passed = new Set<Stream | undefined>();
    const changed: Stream[] = [];
    for (const duct of ducts) {
      const way = this.wayOf(duct);
      if (way === undefined || !points.has(way.target)) continue;
      const stream = this.at(way.source);
      if (duct.air === undefined) passed.add(stream);
      else changed.push({ ...(stream ?? unknown), air: ownAir(duct) });
    }
    for (const point of points) {
      const node = this.nodeAt(point);
      if (this.roleOf(point) !== "gives") continue;
      if (node.kind === "terminal") {
        const air = node.room === undefined ? networkAir : stillAir(nodeOf(node.room));
        const { designFlow } = node;
        changed.push({ air, massFlow: designFlow === undefined ? undefined : designFlow * air.density, origins: 1 });
      } else if (node.kind === "fan") passed.add(this.at(`${node.id}.inlet`));
      else {
        const port = point.split(".")[1];
        const after = this.behindUnit(node, port, unknown);
        if (after !== undefined) changed.push(after);
        else passed.add(this.at(port === "supply" ? `${node.id}.intake` : `${node.id}.extract`));
      }
    }
    if (passed.size + changed.length === 0) return undefined;
    if (passed.size === 1 && changed.length === 0) return [...passed][0];
    return mix([...[...passed].map((stream) => stream ?? unknown), ...changed]);
  }

  /** What leaves a unit at its port `supply` or `exhaust`; undefined where the unit does nothing to its air. */
  private behindUnit(node: PlainNode, port: string, unknown: Stream): Stream | undefined {
    const { networkAir } = this.given;
    const { exchanger, frost, state = "on" } = node;
    const heats = frost?.preheater !== undefined;
    if (exchanger === undefined && frost === undefined) return undefined;
    const outside = node.supply === undefined ? unknown : (this.at(`${node.id}.intake`) ?? unknown);
    const inside = node.extract === undefined ? unknown : (this.at(`${node.id}.extract`) ?? unknown);
    let intake = outside.air;
    if (heats && state === "on" && intake.temperature! < frost!.below) {
      // The watts, over the air that comes from the rooms by design, as much as which is taken in.
      const flow = inside.massFlow ?? 0;
      const reached = flow > 0 ? intake.temperature! + frost!.preheater! / (1006 * flow) : frost!.below;
      intake = moistAir(Math.min(frost!.below, reached), intake.pressure!, intake.humidityRatio!);
    }
    const [stream, own, other] = port === "supply" ? [outside, intake, inside.air] : [inside, inside.air, intake];
    const efficiency = state === "on" ? (exchanger?.efficiency ?? 0) : 0;
    if (efficiency === 0) return { ...stream, air: own };
    if (own.temperature === undefined || other.temperature === undefined) return { ...stream, air: networkAir };
    const temperature = (1 - efficiency) * own.temperature + efficiency * other.temperature;
    return { ...stream, air: moistAir(temperature, own.pressure!, own.humidityRatio!) };
  }
}

/** Air of several streams: mass, water and heat add up. Enthalpies are counted from dry air and liquid water at 0 °C. */
const mix = (streams: readonly Stream[]): Stream => {
  const origins = streams.reduce((sum, stream) => sum + stream.origins, 0);
  const known = streams.every(({ massFlow }) => massFlow !== undefined);
  const massFlow = known ? streams.reduce((sum, stream) => sum + stream.massFlow!, 0) : undefined;
  const weights = streams.map((stream) => (known ? stream.massFlow! : stream.origins));
  const total = weights.reduce((sum, weight) => sum + weight, 0);
  if (streams.some(({ air }) => air.temperature === undefined)) {
    const [{ air: first }] = streams;
    const same = streams.every(({ air }) => air.density === first.density && air.viscosity === first.viscosity);
    if (same && streams.every(({ air }) => air.temperature === first.temperature))
      return { air: first, massFlow, origins };
    const volume = streams.reduce((sum, { air }, i) => sum + weights[i] / air.density, 0);
    const viscosity = streams.reduce((sum, { air }, i) => sum + weights[i] * air.viscosity, 0) / total;
    return { air: { density: total / volume, viscosity }, massFlow, origins };
  }
  let [dry, water, enthalpy, pressure] = [0, 0, 0, 0];
  streams.forEach(({ air }, i) => {
    const { humidityRatio: W = 0, temperature: t = 0 } = air;
    const own = weights[i] / (1 + W);
    dry += own;
    water += own * W;
    enthalpy += own * (1006 * t + W * (2501e3 + 1860 * t));
    pressure += (weights[i] * air.pressure!) / total;
  });
  const W = water / dry;
  const temperature = (enthalpy / dry - 2501e3 * W) / (1006 + 1860 * W);
  return { air: moistAir(temperature, pressure, W), massFlow, origins };
};

/** The airs that ducts inherit, by id; of a document in which no unit gives an exchanger or frost protection none. */
export const inheritedAirs = (given: Surroundings): ReadonlyMap<string, AirProperties> => {
  const airs = new Map<string, AirProperties>();
  if (!given.nodes.some(({ exchanger, frost }) => exchanger !== undefined || frost !== undefined)) return airs;
  const streams = new Streams(given);
  for (const duct of given.ducts) {
    if (duct.air !== undefined) continue;
    try {
      const stream = streams.in(duct);
      if (stream !== undefined) airs.set(duct.id, stream.air);
    } catch (error) {
      // Air that comes round to itself: its duct keeps the network's.
      if ((error as Error).message !== "ring") throw error;
    }
  }
  return airs;
};
