import type { Place, Problem } from "../../core/errors.js";
import type { FrictionLawName } from "../../ducts/friction.js";
import type { NetworkNode } from "../elements/kinds/list.js";
import type { AirPart } from "../format/air.js";
import type { Duct, Opening } from "../format/elements.js";

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
  readonly friction: FrictionLawName;
  readonly nodes: readonly Read<NetworkNode>[];
  /** Whether the nodes could be read as a list, so that a name which is not among them is wrong. */
  readonly listed: boolean;
  /** The same of ducts. */
  readonly ductsListed: boolean;
  readonly ducts: readonly Read<Duct>[];
  readonly openings: readonly Read<Opening>[];
}

/** Where things belong that are looked for elsewhere. */
const places: Readonly<Record<string, string>> = {
  regulator: "a terminal takes a `regulator`; a duct takes one among its `fittings`, as { kind: 'regulator', … }",
};

/** The word that a document does not know at a problem's place: a key, or a kind. */
const strangerOf = ({ code, path, found = "" }: Problem): string | undefined => {
  if (code === "key.unknown") return path.slice(path.lastIndexOf(".") + 1);
  return code === "kind.unknown" ? found.replaceAll("'", "") : undefined;
};

/** The problem itself, which says where a thing belongs that stands in the wrong place. */
export const withItsPlace = (problem: Problem): Problem => {
  const stranger = strangerOf(problem);
  if (stranger === undefined || !Object.hasOwn(places, stranger)) return problem;
  return { ...problem, message: `${problem.message}: ${places[stranger]}` };
};
