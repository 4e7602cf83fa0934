import { gardel } from "./gardel.js";
import { idelchik } from "./idelchik.js";
import type { TeeModel, TeeModelName } from "./model.js";
import { momentum } from "./momentum.js";

/** The published models of tees by name. */
export const teeModels: Readonly<Record<TeeModelName, TeeModel>> = { gardel, idelchik, momentum };
