import { byKind, type Field, type ObjectWithKind } from "../../../input/fields.js";
import type { Form } from "../../format/forms.js";
import { type AirHandlerNode, airHandler } from "./air-handler.js";
import { type FanNode, fan } from "./fan.js";
import { type JunctionNode, junction } from "./junction.js";
import type { NodeKind } from "./kind.js";
import { type OutdoorsNode, outdoors } from "./outdoors.js";
import { type PlenumNode, plenum } from "./plenum.js";
import { type RoomNode, room } from "./room.js";
import { type TeeNode, tee } from "./tee.js";
import { type TerminalNode, terminal } from "./terminal.js";
import { type TransitionNode, transition } from "./transition.js";

/** A node of a network. */
export type NetworkNode<F extends Form = "parsed"> =
  | OutdoorsNode<F>
  | RoomNode<F>
  | JunctionNode<F>
  | PlenumNode<F>
  | TerminalNode<F>
  | TransitionNode<F>
  | TeeNode<F>
  | FanNode<F>
  | AirHandlerNode<F>;

/** A kind seen without its own node type: `kindOf` pairs each node with the kind that reads it. */
export type AnyKind = NodeKind<NetworkNode>;

const kinds: readonly AnyKind[] = [
  outdoors,
  room,
  junction,
  plenum,
  terminal,
  transition,
  tee,
  fan,
  airHandler,
] as readonly unknown[] as readonly AnyKind[];

const byName = new Map<string, AnyKind>(kinds.map((kind) => [kind.kind, kind]));

/** The kind of a node. */
export const kindOf = (node: NetworkNode): AnyKind => byName.get(node.kind) as AnyKind;

/** A node of any kind. */
export const node: Field<NetworkNode, NetworkNode<"written">> = byKind(
  "a node",
  // Each field is an object with a kind; its own type is hidden by Field.
  ...(kinds.map((kind) => kind.field) as unknown as [ObjectWithKind, ...ObjectWithKind[]]),
) as unknown as Field<NetworkNode, NetworkNode<"written">>;
