import type { Place } from "../input/faults.js";
import type { Duct, Opening } from "./elements.js";
import type { NetworkNode } from "./kinds/list.js";
import type { AirPart } from "./parts.js";

/** One element of a list after the first pass: its value where it was well formed, its texts where they could be read. */
export interface Read<T> {
  readonly place: Place;
  readonly id: string | undefined;
  readonly ends: { readonly from?: string; readonly to?: string; readonly room?: string };
  readonly value: T | undefined;
}

/** A document after the first pass. */
export interface ReadElements {
  readonly air: AirPart;
  readonly outdoorAir?: AirPart;
  readonly nodes: readonly Read<NetworkNode>[];
  /** Whether the nodes could be read as a list, so that a name which is not among them is wrong. */
  readonly listed: boolean;
  readonly ducts: readonly Read<Duct>[];
  readonly openings: readonly Read<Opening>[];
}
