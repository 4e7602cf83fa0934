/*
 * Compiled, never run (tsconfig.tests.json): `exactly` holds a schema to the types written by hand. Each line that is
 * expected to fail would pass if it held less.
 */

import type { Network, NetworkDocument } from "../../src/index.js";
import { networkSchema, parseNetwork, solveNetwork } from "../../src/index.js";
import { exactly, type Field, number, object, optional, preset, quantity, text } from "../../src/input/fields.js";

interface Point {
  readonly flow: number;
  readonly count: number;
  readonly label?: string;
}
interface WrittenPoint {
  readonly flow: number | string;
  readonly count?: number;
  readonly label?: string;
}
const flow = quantity("flow");
const count = preset(number({}), 1);
const label = optional(text());

export const same: Field<Point, WrittenPoint> = exactly<Point, WrittenPoint>()(object({ flow, count, label }));
// @ts-expect-error a key that is missing
exactly<Point, WrittenPoint>()(object({ flow, count }));
// @ts-expect-error a key that is needed and missing
exactly<Point, WrittenPoint>()(object({ count, label }));
// @ts-expect-error a key too many
exactly<Point, WrittenPoint>()(object({ flow, count, label, more: text() }));
// @ts-expect-error a key too many that may be left out
exactly<Point, WrittenPoint>()(object({ flow, count, label, more: label }));
// @ts-expect-error another type
exactly<Point, WrittenPoint>()(object({ flow: text(), count, label }));
// @ts-expect-error numbers alone, where texts are promised
exactly<Point, WrittenPoint>()(object({ flow: number({}), count, label }));
// @ts-expect-error needed, where it may be left out
exactly<Point, WrittenPoint>()(object({ flow, count: number({}), label }));
// @ts-expect-error possibly absent from what is read, where it is always there
exactly<Point, WrittenPoint>()(object({ flow, count: optional(number({})), label }));
// @ts-expect-error always there, where it may be absent
exactly<Point, WrittenPoint>()(object({ flow, count, label: text() }));

// What people write, and what parseNetwork gives.
const written: NetworkDocument = {
  format: "ductgraph/1",
  air: { temperature: "20 °C", altitude: 300 },
  nodes: [
    { id: "in", kind: "outdoors", coefficient: 1 },
    { id: "t", kind: "terminal", service: "supply", loss: { pressure: "16 Pa", flow: "10 l/s" } },
  ],
  ducts: [{ id: "d", from: "in", to: "t", length: "4 m", section: { diameter: 0.1 }, roughness: "aluminium" }],
};
export const network: Network = parseNetwork(written);
export const length: number = network.ducts[0].length;
export const schema: object = networkSchema();
solveNetwork(written);

// @ts-expect-error a document as it is written is no parsed network
export const unparsed: Network = written;
// @ts-expect-error a parsed network does not change
network.ducts[0].length = 5;
// @ts-expect-error a list of a parsed network does not grow
network.nodes.push(network.nodes[0]);
export const wrongNodes: NetworkDocument = {
  format: "ductgraph/1",
  nodes: [
    // @ts-expect-error a kind that the format does not have
    { id: "a", kind: "rooom" },
    // @ts-expect-error a key of another kind
    { id: "b", kind: "junction", pressure: 5 },
    // @ts-expect-error a section of no form
    { id: "c", kind: "outdoors", section: { width: 1 } },
  ],
};
// @ts-expect-error another format
export const wrongFormat: NetworkDocument = { format: "ductgraph/2", nodes: [] };
