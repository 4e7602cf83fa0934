import fc from "fast-check";
import { expect, test } from "vitest";
import type { NetworkNode } from "../../../src/network/elements/kinds/list.js";
import type { Duct } from "../../../src/network/format/elements.js";
import { Layout } from "../../../src/network/layout/layout.js";
import { type AirProperties, airProperties } from "../../helpers/evaluator/air.js";
import type { PlainDuct, PlainNode } from "../../helpers/evaluator/document.js";
import { portsOf } from "../../helpers/evaluator/ports.js";
import { inheritedAirs } from "../../helpers/evaluator/streams.js";
import { within } from "../../helpers/tee-networks.js";

/*
 * Which air each duct inherits, in any tangle of ducts, without solving it: the walk that takes linear time against the
 * second evaluator, which takes out each duct in turn and looks at both sides.
 */

const air = { temperature: 20, relativeHumidity: 0.4 };
const outdoorAir = { temperature: -7, relativeHumidity: 0.85 };
const network = airProperties(air, air);

const airs = fc.oneof(
  fc.record({ temperature: within(-10, 30), relativeHumidity: within(0, 1) }),
  fc.record({ density: within(1.1, 1.3), viscosity: fc.constant(1.8e-5) }),
);
const maybe = <T>(arbitrary: fc.Arbitrary<T>) => fc.option(arbitrary, { nil: undefined });
const stream = { fan: {}, components: [] };
const units = fc.record({
  exchanger: fc.record({ efficiency: fc.oneof(fc.constant(0), within(0, 1)) }),
  state: fc.constantFrom(undefined, "on", "bypass", "off"),
  frost: maybe(fc.record({ below: within(-10, 10), preheater: fc.constant(500) })),
});
const terminals = fc.record({
  service: fc.constantFrom("supply", "extract"),
  room: maybe(fc.constantFrom("room0", "room1")),
  designFlow: maybe(within(0.005, 0.05)),
});

/** Nodes of all kinds, and ducts between any of them. */
const tangles = fc
  .record({
    rooms: fc.tuple(maybe(airs), maybe(airs)),
    units: fc.array(units, { minLength: 1, maxLength: 2 }),
    plainUnit: fc.boolean(),
    fans: fc.nat(3),
    tees: fc.nat(2),
    transitions: fc.nat(1),
    connectivity: fc.integer({ min: 1, max: 6 }),
    terminals: fc.array(terminals, { maxLength: 5 }),
    outdoors: fc.integer({ min: 1, max: 3 }),
    more: fc.array(fc.tuple(fc.nat(30), fc.nat(30)), { maxLength: 8 }),
    picks: fc.array(fc.nat(30), { minLength: 40, maxLength: 40 }),
    own: fc.array(maybe(airs), { minLength: 60, maxLength: 60 }),
    turned: fc.array(fc.boolean(), { minLength: 60, maxLength: 60 }),
    named: fc.boolean(),
  })
  .map(({ rooms, picks, own, turned, named, ...drawn }) => {
    const nodes: Record<string, unknown>[] = [];
    const several = (count: number, kind: string, keys: (i: number) => object = () => ({})): void => {
      for (let i = 0; i < count; i++) nodes.push({ id: `${kind}${i}`, kind, ...keys(i) });
    };
    several(2, "room", (i) => ({ air: rooms[i] }));
    several(drawn.outdoors, "outdoors");
    several(drawn.connectivity, "plenum");
    several(drawn.terminals.length, "terminal", (i) => drawn.terminals[i]);
    several(drawn.units.length, "airHandler", (i) => ({ supply: stream, extract: stream, ...drawn.units[i] }));
    if (drawn.plainUnit) nodes.push({ id: "plain", kind: "airHandler", extract: stream });
    several(drawn.fans, "fan");
    several(drawn.tees, "tee");
    several(drawn.transitions, "transition");
    const plain = nodes as unknown as PlainNode[];
    const places = plain.filter((node) => portsOf(node).length === 0).map(({ id }) => id);
    const ports = plain.flatMap((node) => portsOf(node).map((port) => `${node.id}.${port}`));
    const ducts: Record<string, unknown>[] = [];
    const join = (one: string, other: string): void => {
      const i = ducts.length;
      const [from, to] = turned[i % 60] ? [other, one] : [one, other];
      ducts.push({ id: `d${i}`, from, to, air: named ? own[i % 60] : undefined });
    };
    // Each port has a duct, to another port or to a place.
    for (let port = ports.shift(); port !== undefined; port = ports.shift()) {
      const pick = picks[ducts.length % 40];
      const place = places[pick % places.length];
      join(port, pick % 5 === 0 ? (ports.shift() ?? place) : place);
    }
    for (const { id, kind } of plain)
      if (kind === "terminal") join(id, `plenum${picks[ducts.length % 40] % drawn.connectivity}`);
    for (const [a, b] of drawn.more) {
      const [one, other] = [places[a % places.length], places[b % places.length]];
      if (one !== other) join(one, other);
    }
    return { nodes: plain, ducts: ducts as unknown as PlainDuct[] };
  });

const inheritedIn = (nodes: readonly PlainNode[], ducts: readonly PlainDuct[]): ReadonlyMap<string, AirProperties> => {
  const stillAir = (node: PlainNode): AirProperties =>
    airProperties(node.kind === "outdoors" ? outdoorAir : (node.air ?? air), air);
  return inheritedAirs({
    nodes,
    ducts,
    networkAir: network,
    nodeOf: (place) => nodes.find(({ id }) => id === place.split(".")[0]) as PlainNode,
    ownAir: (duct) => airProperties(duct.air ?? air, air),
    stillAir,
  });
};

const planOf = (nodes: readonly PlainNode[], ducts: readonly PlainDuct[]): Layout =>
  new Layout({
    air,
    outdoorAir,
    friction: "colebrook",
    nodes: nodes as unknown as NetworkNode[],
    ducts: ducts as unknown as Duct[],
    openings: [],
  });

test("ducts of any tangle inherit what a walk over both sides of each duct says", () => {
  let [inherited, without] = [0, 0];
  fc.assert(
    fc.property(tangles, ({ nodes, ducts }) => {
      const expected = inheritedIn(nodes, ducts);
      const layout = planOf(nodes, ducts);
      for (const duct of ducts) {
        const found = layout.inheritedBy(duct as unknown as Duct);
        const lawful = expected.get(duct.id);
        if (lawful === undefined) without++;
        else inherited++;
        expect(found === undefined, duct.id).toBe(lawful === undefined);
        if (found === undefined || lawful === undefined) continue;
        expect(Math.abs(found.density / lawful.density - 1), duct.id).toBeLessThan(1e-12);
        expect(Math.abs(found.viscosity / lawful.viscosity - 1), duct.id).toBeLessThan(1e-12);
        expect(found.temperature === undefined, duct.id).toBe(lawful.temperature === undefined);
        expect(Math.abs((found.temperature ?? 0) - (lawful.temperature ?? 0)), duct.id).toBeLessThan(1e-9);
      }
    }),
    { numRuns: 1000 },
  );
  expect(inherited).toBeGreaterThan(3000);
  expect(without).toBeGreaterThan(1000);
});

test("which end of a duct is called its beginning does not matter, nor in which order elements stand", () => {
  fc.assert(
    fc.property(tangles, ({ nodes, ducts }) => {
      const turned = ducts.map(({ from, to, ...duct }) => ({ ...duct, from: to, to: from }));
      const [one, other] = [planOf(nodes, ducts), planOf([...nodes].reverse(), turned.reverse())];
      for (const duct of ducts as unknown as Duct[]) {
        const [a, b] = [one.inheritedBy(duct), other.inheritedBy(duct)];
        expect(a === undefined).toBe(b === undefined);
        if (a !== undefined && b !== undefined) expect(Math.abs(a.density / b.density - 1)).toBeLessThan(1e-12);
      }
    }),
    { numRuns: 300 },
  );
});
