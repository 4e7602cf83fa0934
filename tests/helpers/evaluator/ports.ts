import type { PlainDuct, PlainNode } from "./document.js";
import type { Reading } from "./reading.js";

/** The ports of a node; none where ducts call it by its id alone. */
export const portsOf = ({ kind, supply, extract }: PlainNode): readonly string[] => {
  if (kind === "fan") return ["inlet", "outlet"];
  if (kind === "tee") return ["a", "b", "branch"];
  if (kind === "transition") return ["a", "b"];
  if (kind !== "airHandler") return [];
  return [
    ...(supply === undefined ? [] : ["intake", "supply"]),
    ...(extract === undefined ? [] : ["extract", "exhaust"]),
  ];
};

/** The duct at a port; a port has exactly one. */
export const ductAt = (reading: Reading, port: string): PlainDuct => {
  const ducts = reading.ductsAt(port);
  if (ducts.length !== 1) throw new Error(`${port}: expected one duct, got ${ducts.length}`);
  return ducts[0];
};
