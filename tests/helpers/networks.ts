import fc from "fast-check";
import { formatQuantity, type NetworkDocument } from "../../src/index.js";
import { areaOf, velocityPressure } from "./evaluator/losses.js";

/*
 * Random networks as documents: every one of them is valid and has an answer. They are sketched first, as plain parts that
 * refer to each other by number, and drawn then, so that a failing network shrinks to a small one.
 */

type NodePart = NetworkDocument["nodes"][number];
type DuctPart = NonNullable<NetworkDocument["ducts"]>[number];
type OpeningPart = NonNullable<NetworkDocument["openings"]>[number];

/** What a network must be for a law to hold of it. */
export interface Manner {
  /** All losses go with the square of the flow. */
  readonly quadratic?: boolean;
  /** Every duct rubs by its roughness, so that its law rises from rest: a flow is known as well as its pressure then. */
  readonly rough?: boolean;
  /** Fans alone move the air: there is one air, and all given pressures are 0. */
  readonly fansOnly?: boolean;
  /** One supply or extract system without another beside it, and no fan that stands still. */
  readonly alone?: boolean;
  /** Without loops. */
  readonly tree?: boolean;
  /** Fan curves may rise before they fall. Such networks may have several answers, and their order may decide which is found. */
  readonly humps?: boolean;
  /** Ducts may have no length, with fittings only. */
  readonly short?: boolean;
  /** Every terminal has a design flow, and air leaves a system through terminals only. */
  readonly designed?: boolean;
}

/** Numbers of a range in a thousand steps: short in print, simplest at its beginning. */
export const within = (from: number, to: number): fc.Arbitrary<number> =>
  fc.integer({ min: 0, max: 1000 }).map((step) => Number((from + ((to - from) * step) / 1000).toPrecision(6)));

const maybe = <T>(arbitrary: fc.Arbitrary<T>): fc.Arbitrary<T | undefined> => fc.option(arbitrary, { nil: undefined });
const never = fc.constant(undefined);

/** An object without the keys that hold nothing: in a document a key is there or not. */
const present = <T extends object>(value: T): T =>
  Object.fromEntries(Object.entries(value).filter(([, held]) => held !== undefined)) as T;

/** An object with some keys left out at random. */
const some = <T, R extends keyof T = never>(keys: { [K in keyof T]: fc.Arbitrary<T[K]> }, ...required: R[]) =>
  fc.record<T, R>(keys, { requiredKeys: required });

// ---- Parts

const sections = fc.oneof(
  fc.record({ diameter: within(0.08, 0.4) }),
  fc.record({ width: within(0.08, 0.5), height: within(0.08, 0.3) }),
  fc.record({ shape: fc.constant("flatOval" as const), width: within(0.08, 0.5), height: within(0.08, 0.3) }),
);

const exponents = ({ quadratic }: Manner): fc.Arbitrary<number | undefined> =>
  quadratic ? fc.constantFrom(2, undefined) : maybe(within(1, 2));

const ratings = (manner: Manner) =>
  fc
    .record({
      pressure: within(5, 80),
      flow: within(0.01, 0.1),
      exponent: exponents(manner),
      density: maybe(within(1, 1.3)),
      viscosity: maybe(within(1.7e-5, 1.9e-5)),
    })
    .map(present);

const humidAir = some({ temperature: within(-20, 45), relativeHumidity: within(0, 1) }, "temperature");
const elementAir = fc.oneof(humidAir, some({ density: within(1, 1.4), viscosity: within(1.5e-5, 2e-5) }, "density"));
const networkAir = fc.oneof(
  some({ density: within(1, 1.4), viscosity: within(1.5e-5, 2e-5) }, "density"),
  humidAir,
  fc.tuple(humidAir, within(-100, 3000)).map(([air, altitude]) => ({ ...air, altitude })),
  fc.tuple(humidAir, within(70_000, 110_000)).map(([air, pressure]) => ({ ...air, pressure })),
);

const walls = (manner: Manner) => {
  const known = fc.record({ frictionFactor: within(0.01, 0.06) });
  if (manner.quadratic) return known;
  const roughness = fc.oneof(within(0, 0.003), fc.constant("galvanised steel, spiral"));
  const frictionRating = fc
    .record({ pressure: within(1, 30), length: within(1, 10), flow: within(0.01, 0.1), exponent: exponents(manner) })
    .map(present);
  const byRoughness = some({ roughness, equivalent: fc.constantFrom("circular" as const, "hydraulic" as const) });
  return manner.rough ? byRoughness : fc.oneof(byRoughness, known, fc.record({ frictionRating }));
};

const fittings = (manner: Manner) => {
  const count = fc.integer({ min: 1, max: 3 });
  return fc.array(
    fc.oneof(
      some({ kind: fc.constant("fixed" as const), coefficient: within(0.05, 2), count }, "kind", "coefficient"),
      fc.tuple(ratings(manner), count).map(([rating, n]) => ({ kind: "rating" as const, ...rating, count: n })),
    ),
    { minLength: 1, maxLength: 2 },
  );
};

/** A run of duct; what stands at its ends is drawn later. */
const runs = (manner: Manner) =>
  fc
    .record({
      length: manner.short ? fc.oneof({ weight: 6, arbitrary: within(0.2, 20) }, fc.constant(0)) : within(0.2, 20),
      section: sections,
      wall: walls(manner),
      parallel: maybe(fc.integer({ min: 1, max: 3 })),
      air: manner.fansOnly ? never : maybe(elementAir),
      fittings: maybe(fittings(manner)),
      turned: fc.boolean(),
    })
    .map(({ wall, turned, length, ...run }) => {
      const bare = length === 0 && run.fittings === undefined;
      const resisting = bare ? [{ kind: "fixed" as const, coefficient: 0.5 }] : run.fittings;
      return { turned, duct: present({ ...run, length, ...wall, fittings: resisting }) };
    });
type Run = ReturnType<typeof runs> extends fc.Arbitrary<infer R> ? R : never;

const shapes = {
  falling: (x: number, power: number): number => 1 - 0.95 * x ** power,
  hump: (x: number): number => 0.7 + 1.5 * x - 2.2 * x * x,
};

const curves = (manner: Manner) =>
  fc
    .record({
      top: within(60, 400),
      last: within(0.05, 0.4),
      steps: fc.integer({ min: 1, max: 8 }),
      power: within(1, 3),
      shape: fc.constantFrom("falling" as const, ...(manner.humps ? ["hump" as const] : [])),
      pressureKind: fc.constantFrom("total" as const, "static" as const, "externalStatic" as const),
      density: maybe(within(1, 1.3)),
      inlet: sections,
      outlet: sections,
      electrical: fc.constantFrom("none" as const, "power" as const, "efficiency" as const),
      controlsPower: manner.fansOnly ? never : maybe(within(0, 10)),
    })
    .map(({ top, last, steps, power, shape, electrical, ...curve }) => {
      const { density = 1.2, inlet, outlet, pressureKind } = curve;
      const count = shape === "hump" ? steps + 5 : steps;
      // The total pressure has the shape; other kinds are what is left of it.
      const points = Array.from({ length: count + 1 }, (_, i) => {
        const x = i / count;
        const flow = last * x;
        const after = pressureKind === "total" ? 0 : velocityPressure(density, flow, areaOf(outlet));
        const before = pressureKind === "externalStatic" ? velocityPressure(density, flow, areaOf(inlet)) : 0;
        const pressure = top * shapes[shape](x, power) - after + before;
        const electricity = { none: {}, power: { power: 20 + 100 * x }, efficiency: { efficiency: 0.2 + 0.4 * x } };
        return { flow, pressure, ...electricity[electrical] };
      });
      return present({ ...curve, points });
    });

const fans = (manner: Manner) => {
  const running = some({ curve: curves(manner), speed: within(0.5, 1.2) }, "curve");
  if (manner.alone || manner.fansOnly || manner.designed) return running;
  const still = some({ speed: fc.constant(0), stopped: ratings(manner), curve: curves(manner) }, "speed", "stopped");
  return fc.oneof({ weight: 8, arbitrary: running }, still);
};

/** One side of an air handler. */
const streams = (manner: Manner) =>
  fc
    .record({
      fan: fans(manner),
      fanAt: maybe(fc.constantFrom("inlet" as const, "outlet" as const)),
      filter: maybe(ratings(manner)),
      exchanger: maybe(ratings(manner)),
      clean: maybe(within(0, 1)),
      unitCurve: fc.boolean(),
    })
    .map(({ fan, fanAt, filter, exchanger, clean, unitCurve }) => {
      const components = [
        ...(filter === undefined ? [] : [{ name: "filter", ...filter }]),
        ...(exchanger === undefined ? [] : [{ name: "exchanger", ...exchanger }]),
      ].map((one) => present({ ...one, clean: clean === undefined ? undefined : clean * one.pressure }));
      if (!unitCurve || fan.curve === undefined) return present({ fan, fanAt, components });
      const ofUnit = { ...fan, curve: { ...fan.curve, of: "unit" as const } };
      return present({ fan: ofUnit, fanAt, components, includes: components.slice(0, 1).map(({ name }) => name) });
    });

/** The total pressure of a static rating at an extract terminal falls again at large flows unless its exponent is 2. */
const staticLosses = fc.record({
  pressure: within(20, 80),
  flow: within(0.005, 0.02),
  pressureKind: fc.constant("static" as const),
});
const losses = (manner: Manner) =>
  fc.oneof(ratings(manner), staticLosses, some({ coefficient: within(1, 40), section: sections }, "coefficient"));

/** What a valve loses fully open: a share of what it loses as set. */
const opened = <L extends { readonly pressure: number } | { readonly coefficient: number }>(
  loss: L,
  share: number,
): L =>
  "coefficient" in loss
    ? { ...loss, coefficient: share * loss.coefficient }
    : { ...loss, pressure: share * loss.pressure };

const terminals = (manner: Manner) =>
  fc
    .record({
      service: fc.constantFrom("supply" as const, "extract" as const),
      loss: losses(manner),
      /** Of the loss as set, fully open. */
      openShare: maybe(within(0.05, 1)),
      designFlow: manner.designed ? within(0.005, 0.05) : maybe(within(0.005, 0.05)),
      entry: maybe(within(0, 1)),
      elevation: within(0, 8),
      room: maybe(fc.nat(20)),
      /** Whether its one run ends in a box, as two runs must. */
      box: maybe(fc.constant(true)),
      /** A second duct. */
      second: fc.option(fc.record({ parent: fc.nat(20), run: runs(manner) }), { nil: undefined, freq: 6 }),
    })
    .map(({ openShare, ...terminal }) => ({
      ...terminal,
      open: openShare === undefined ? undefined : opened(terminal.loss, openShare),
    }));

const innerNodes = ({ fansOnly, designed }: Manner) =>
  fc.oneof(
    fc
      .record({
        elevation: within(0, 8),
        inflow: fansOnly || designed ? never : fc.option(within(-0.02, 0.02), { nil: undefined, freq: 5 }),
      })
      .map((keys) => present({ kind: "junction" as const, ...keys })),
    some({ kind: fc.constant("plenum" as const), elevation: within(0, 8), entry: within(0, 1) }, "kind"),
  );

/** What hangs on the root of a system: inner nodes, then leaves on any of them, then ducts that close loops. */
const branchings = (manner: Manner) => {
  const parent = fc.nat(20);
  const run = runs(manner);
  const leaf = fc.record({ parent, run, terminal: terminals(manner) });
  const end = fc.record({ parent, run, room: maybe(fc.nat(20)) });
  return fc.record({
    inner: fc.array(fc.record({ parent, run, node: innerNodes(manner) }), { maxLength: 4 }),
    leaves: fc.array(leaf, { minLength: 1, maxLength: 4 }),
    /** Ducts that lead straight into a room, or end dead. */
    ends: fc.array(end, { maxLength: 1 }),
    loops: fc.array(fc.record({ from: parent, to: parent, run }), { maxLength: manner.tree ? 0 : 2 }),
  });
};
type Branching = ReturnType<typeof branchings> extends fc.Arbitrary<infer B> ? B : never;

const outdoorNodes = ({ fansOnly }: Manner) =>
  fc
    .tuple(
      fc.oneof(fc.record({ entry: within(0, 1), exit: within(0.5, 2) }), fc.record({ coefficient: within(0.5, 3) })),
      maybe(sections),
      within(0, 10),
      fansOnly ? never : fc.oneof(within(1, 20), within(-20, -1)), // so that no network rests
    )
    .map(([loss, section, elevation, pressure]) =>
      present({ kind: "outdoors" as const, ...loss, section, elevation, pressure }),
    );

const systems = (manner: Manner) =>
  fc.record({
    outside: outdoorNodes(manner),
    root: innerNodes(manner),
    branching: branchings(manner),
    runs: fc.tuple(runs(manner), runs(manner)),
  });
type System = ReturnType<typeof systems> extends fc.Arbitrary<infer S> ? S : never;

const rooms = ({ designed }: Manner) =>
  fc.record({
    node: some({ elevation: within(0, 5), air: elementAir, entry: within(0, 1) }),
    pressure: designed ? within(-10, 10) : maybe(within(-10, 10)),
    leak: fc.oneof(
      some({ coefficient: within(0.0005, 0.005), exponent: within(0.5, 1), elevation: within(0, 6) }, "coefficient"),
      some({ area: within(0.001, 0.02), dischargeCoefficient: within(0.5, 0.9), elevation: within(0, 6) }, "area"),
    ),
    /** Whether it opens to the room before it, rather than to the outdoors. */
    inner: fc.boolean(),
  });

// ---- Drawing

/** A document that grows. */
class Drawing {
  readonly nodes: NodePart[] = [];
  readonly ducts: DuctPart[] = [];
  readonly openings: OpeningPart[] = [];
  readonly rooms: string[] = [];

  constructor(private readonly manner: Manner) {}

  node(part: Record<string, unknown>): string {
    this.nodes.push(part as unknown as NodePart);
    return part.id as string;
  }

  run(id: string, { duct, turned }: Run, from: string, to: string): void {
    const [start, stop] = turned ? [to, from] : [from, to];
    const part = present({ id, from: start, to: stop, ...duct });
    this.ducts.push(part as unknown as DuctPart);
  }

  room(number: number | undefined): string | undefined {
    return number === undefined || this.rooms.length === 0 ? undefined : this.rooms[number % this.rooms.length];
  }

  /** Draws what hangs on a root. */
  branching(prefix: string, root: string, { inner, leaves, ends, loops }: Branching, service?: string): void {
    const known = [root];
    const at = (number: number): string => known[number % known.length];
    inner.forEach(({ parent, run, node }, i) => {
      const id = this.node({ id: `${prefix}n${i}`, ...node });
      this.run(`${prefix}dn${i}`, run, at(parent), id);
      known.push(id);
    });
    leaves.forEach(({ parent, run, terminal: { second, room, ...terminal } }, i) => {
      const part = { id: `${prefix}t${i}`, kind: "terminal", ...terminal, room: this.room(room) };
      const id = this.node(present({ ...part, service: this.manner.designed ? service : terminal.service }));
      this.run(`${prefix}dt${i}`, run, at(parent), id);
      // A terminal's air is that of its first duct: with one air for both their order does not matter.
      if (second === undefined || this.manner.tree) return;
      this.run(
        `${prefix}db${i}`,
        { ...second.run, duct: { ...second.run.duct, air: run.duct.air } },
        at(second.parent),
        id,
      );
    });
    ends.forEach(({ parent, run, room }, i) => {
      const into = this.manner.designed ? undefined : this.room(room);
      this.run(`${prefix}de${i}`, run, at(parent), into ?? this.node({ id: `${prefix}e${i}`, kind: "junction" }));
    });
    loops.forEach(({ from, to, run }, i) => {
      if (at(from) !== at(to)) this.run(`${prefix}dl${i}`, run, at(from), at(to));
    });
  }

  /** Draws a system between the outdoors and its terminals; without ports the air moves by itself. */
  system(prefix: string, { outside, root, branching, runs: [first, second] }: System, ports?: Ports): void {
    const open = this.node({ id: `${prefix}o`, ...outside });
    const heart = this.node({ id: `${prefix}r`, ...root });
    if (ports === undefined) this.run(`${prefix}d1`, first, open, heart);
    else {
      this.run(`${prefix}d1`, first, open, ports.outside);
      this.run(`${prefix}d2`, second, ports.inside, heart);
    }
    this.branching(prefix, heart, branching, ports?.service);
  }

  document(root: Pick<NetworkDocument, "air" | "outdoorAir" | "friction">): NetworkDocument {
    const { nodes, ducts, openings } = this;
    return { format: "ductgraph/1", ...present(root), nodes, ducts, ...(openings.length === 0 ? {} : { openings }) };
  }
}

interface Ports {
  readonly outside: string;
  readonly inside: string;
  readonly service: string;
}

const fanPorts = (id: string, service: string): Ports =>
  service === "supply"
    ? { outside: `${id}.inlet`, inside: `${id}.outlet`, service }
    : { outside: `${id}.outlet`, inside: `${id}.inlet`, service };

const laws = fc.constantFrom(...(["colebrook", "haaland", "swamee-jain", "serghides", "churchill"] as const));

const surroundings = ({ fansOnly }: Manner) =>
  fc.record({
    air: maybe(networkAir),
    outdoorAir: fansOnly ? never : maybe(elementAir),
    friction: maybe(laws),
  });

/** Systems with a fan each. */
const fanSystems = (manner: Manner) =>
  fc.record({ fan: fans(manner), service: fc.constantFrom("supply", "extract"), system: systems(manner) });

/** An air handler with one stream or two. */
const units = (manner: Manner) =>
  fc
    .record({
      supply: maybe(fc.tuple(streams(manner), systems(manner))),
      extract: maybe(fc.tuple(streams(manner), systems(manner))),
      elevation: within(0, 8),
    })
    .filter(({ supply, extract }) => supply !== undefined || extract !== undefined);

/** What moves the air: fans with a system each, or an air handler, or neither; and a system without a fan beside them. */
const movers = (manner: Manner) => {
  const passive = manner.alone || manner.designed || manner.fansOnly ? never : maybe(systems(manner));
  const noFans = fc.array(fanSystems(manner), { maxLength: 0 });
  const withFans = fc.record({
    fans: fc.array(fanSystems(manner), { minLength: 1, maxLength: manner.alone ? 1 : 2 }),
    unit: never,
    passive,
  });
  if (manner.alone) return withFans;
  const withUnit = fc.record({ fans: noFans, unit: units(manner), passive });
  if (manner.designed || manner.fansOnly) return fc.oneof(withFans, withUnit);
  const without = fc.record({ fans: noFans, unit: never, passive: systems(manner) });
  return fc.oneof({ weight: 3, arbitrary: withFans }, { weight: 3, arbitrary: withUnit }, without);
};

/** Valid networks of all that the format has, or of one manner. */
export const networks = (manner: Manner = {}): fc.Arbitrary<NetworkDocument> =>
  fc
    .record({
      root: surroundings(manner),
      places: fc.array(rooms(manner), { maxLength: manner.fansOnly ? 0 : 4 }),
      movers: movers(manner),
    })
    .map(({ root, places, movers: { fans: running, unit, passive } }) => {
      const drawing = new Drawing(manner);
      places.forEach(({ node, pressure, leak, inner }, i) => {
        const id = drawing.node(present({ id: `room${i}`, kind: "room", ...node, pressure }));
        const before = inner ? drawing.room(i - 1) : undefined;
        const to = before ?? drawing.node({ id: `facade${i}`, kind: "outdoors" });
        drawing.rooms.push(id);
        drawing.openings.push({ id: `gap${i}`, from: id, to, ...leak } as OpeningPart);
      });
      running.forEach(({ fan, service, system }, i) => {
        const id = drawing.node({ id: `fan${i}`, kind: "fan", ...fan });
        drawing.system(`f${i}`, system, fanPorts(id, service));
      });
      if (unit !== undefined) {
        const { supply, extract, elevation } = unit;
        const airStreamsOf = { supply: supply?.[0], extract: extract?.[0] };
        drawing.node(present({ id: "unit", kind: "airHandler", elevation, ...airStreamsOf }));
        if (supply !== undefined) {
          drawing.system("us", supply[1], { outside: "unit.intake", inside: "unit.supply", service: "supply" });
        }
        if (extract !== undefined) {
          drawing.system("ue", extract[1], { outside: "unit.exhaust", inside: "unit.extract", service: "extract" });
        }
      }
      if (passive !== undefined) drawing.system("p", passive);
      return drawing.document(root);
    });

/** Networks of one fan and two equal halves, `a` and `b`, joined by ducts between like nodes. */
export const twins = (manner: Manner = {}): fc.Arbitrary<NetworkDocument> =>
  fc
    .record({
      root: surroundings(manner),
      main: fanSystems({ ...manner, alone: true }),
      half: branchings(manner),
      bridges: fc.array(fc.record({ number: fc.nat(5), run: runs(manner) }), { maxLength: 3 }),
    })
    .map(({ root, main: { fan, service, system }, half, bridges }) => {
      const drawing = new Drawing(manner);
      const id = drawing.node({ id: "fan", kind: "fan", ...fan });
      drawing.system("m", system, fanPorts(id, service));
      drawing.branching("a", "mr", half);
      drawing.branching("b", "mr", half);
      bridges.forEach(({ number, run }, i) => {
        const like = number % half.inner.length; // NaN where there are none
        if (like >= 0) drawing.run(`bridge${i}`, run, `an${like}`, `bn${like}`);
      });
      return drawing.document(root);
    });

// ---- Texts

const unitsOfKeys: Readonly<Record<string, readonly string[]>> = {
  length: ["m", "mm", "ft"],
  elevation: ["m", "cm"],
  altitude: ["m", "km"],
  diameter: ["mm", "m", "in"],
  width: ["mm", "cm"],
  height: ["mm", "m"],
  roughness: ["mm", "m"],
  area: ["m2", "cm²"],
  flow: ["l/s", "m3/h", "m³/s", "cfm"],
  inflow: ["l/s", "m³/h"],
  designFlow: ["l/s", "m3/h"],
  pressure: ["Pa", "kPa", "inH2O", "mbar"],
  clean: ["Pa", "hPa"],
  density: ["kg/m3", "g/l"],
  viscosity: ["Pa s", "mPa s"],
  temperature: ["°C", "degC", "K", "degF"],
  relativeHumidity: ["%"],
  efficiency: ["%"],
  power: ["W", "kW"],
  controlsPower: ["W", "mW"],
};

/** A document with its quantities as texts, in units that take turns. */
export const asTexts = (document: NetworkDocument): NetworkDocument => {
  let turn = 0;
  const written = (key: string, value: unknown): unknown => {
    if (Array.isArray(value)) return value.map((item) => written("", item));
    if (typeof value === "object" && value !== null)
      return Object.fromEntries(Object.entries(value).map(([inner, item]) => [inner, written(inner, item)]));
    const known = unitsOfKeys[key];
    if (typeof value !== "number" || known === undefined) return value;
    turn += 1;
    return formatQuantity(value, known[turn % known.length], 17);
  };
  return written("", document) as NetworkDocument;
};
