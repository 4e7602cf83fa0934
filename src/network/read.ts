import type { Place } from "../input/faults.js";
import type { Duct, Opening } from "./elements.js";
import type { NetworkNode } from "./kinds/list.js";
import type { AirPart } from "./parts.js";

/** The names that an element may lead to. */
export interface Ends {
  readonly from?: string;
  readonly to?: string;
  readonly room?: string;
}

/** One element of a list after the first pass: its value where it was well formed, its texts where they could be read. */
export class Read<T> {
  /** Whether something leads to it; of nodes. */
  touched = false;

  constructor(
    private readonly list: "nodes" | "ducts" | "openings",
    private readonly index: number,
    readonly id: string | undefined,
    readonly ends: Ends,
    readonly value: T | undefined,
  ) {}

  /** Made when it is asked for: few elements have anything said of them. */
  get place(): Place {
    return placeOf(this.list, this.index, this.id);
  }
}

/** Where an element stands. */
export const placeOf = (list: string, index: number, id: string | undefined): Place => {
  const path = `${list}.${index}`;
  return id === undefined ? { path } : { path, id };
};

/** A document after the first pass. */
export interface ReadElements {
  readonly air: AirPart;
  readonly outdoorAir?: AirPart;
  readonly nodes: readonly Read<NetworkNode>[];
  /** Whether the nodes could be read as a list, so that a name which is not among them is wrong. */
  readonly listed: boolean;
  /** The same of ducts. */
  readonly ductsListed: boolean;
  readonly ducts: readonly Read<Duct>[];
  readonly openings: readonly Read<Opening>[];
}
