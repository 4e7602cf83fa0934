import type { Range } from "../core/ranges.js";
import type { Source } from "../core/sources.js";
import { areaOf, type Section } from "../ducts/geometry.js";
import { narrowingCoefficient, narrowingSource, wideningCoefficient, wideningSource } from "./area-change.js";
import type { Fitting, Laws, NumberParameter, Shape } from "./fitting.js";
import { outsideOf } from "./shape.js";

// A screen stands on a face, which the duct meets abruptly where their areas differ. On the face's velocity pressure the
// screen loses what it loses at the mouth of a duct as wide as the face. Inwards the air then narrows to the duct.
// Outwards a jet from a smaller duct reaches the face before it fills the space between, so nothing of its velocity
// pressure is regained there: the duct's is lost whole, and of the screen's loss only what exceeds an open face's.
// So a very wide face costs a flush entry of the duct inwards and the duct's velocity pressure outwards, and a face as wide
// as the duct the screen at its mouth.

const shapes: readonly Shape[] = ["round", "rectangular", "flatOval"];
const reference =
  "velocity pressure of the whole flow on the face (`area`; without it, the section of the duct); the change of section between face and duct is included";
const turbulent = { min: 1e4 };

/** Losses at the mouth of a duct as wide as the face, on the velocity pressure there. */
interface Mouth {
  readonly entry: number;
  readonly exit: number;
}

const screenLaws = (mouth: Mouth, section: Section, face: number | undefined, model: string): Laws => {
  const duct = areaOf(section);
  const area = face ?? duct;
  const laws = (entry: number, exit: number): Laws => ({
    forward: { coefficient: entry },
    backward: { coefficient: exit },
    area,
    model,
    outside: [],
  });
  if (area < duct) {
    const ratio = area / duct;
    return {
      ...laws(mouth.entry + wideningCoefficient(ratio), mouth.exit + narrowingCoefficient(ratio)),
      note: "the face is smaller than the duct",
    };
  }
  const onFace = (area / duct) ** 2;
  return laws(mouth.entry + narrowingCoefficient(duct / area) * onFace, mouth.exit - 1 + onFace);
};

/**
 * A thin sharp-edged plate at the mouth of a duct. Coming from the open, air has no velocity before the plate; going into
 * the open, the jets' is lost whole, since nothing guides them together.
 */
const plateMouth = (freeArea: number): Mouth => ({
  entry: ((1.707 - freeArea) / freeArea) ** 2,
  // biome-ignore lint/suspicious/noApproximativeNumericConstant: the handbook prints three digits
  exit: ((1 + 0.707 * Math.sqrt(1 - freeArea)) / freeArea) ** 2,
});

/**
 * Wire mesh at the mouth of a duct, of wires that are thick and fast enough for a Reynolds number of some 400 of their
 * own; thin ones in slow air lose up to twice as much. Its jets are so fine that they join at once, as across a duct: to a flush entry, or
 * to the whole velocity pressure of an exit, the mesh adds its own loss.
 */
const meshMouth = (freeArea: number): Mouth => {
  const mesh = 1.3 * (1 - freeArea) + (1 / freeArea - 1) ** 2;
  return { entry: 0.5 + mesh, exit: 1 + mesh };
};

const plateSource: Source = {
  author: "Idelchik",
  title: "Handbook of Hydraulic Resistance",
  where:
    "thin sharp-edged plate at the mouth of a duct, φ its free area: entry (1.707 − φ)²/φ², exit (1 + 0.707·√(1 − φ))²/φ²",
  status: "memory",
};

/** What describes an end with openings on a face. */
export interface ScreenParameters {
  /** Of the face, gross [m²] */
  readonly area?: number;
  /** Of the openings together, of the face [-] */
  readonly freeArea: number;
}

/** What describes a `louvre`. */
export interface LouvreParameters extends ScreenParameters {
  readonly area: number;
}

const area: NumberParameter = {
  quantity: "area",
  meaning: "Gross area of the face. Default: the section of the duct.",
  range: { above: 0 },
  optional: true,
};

const freeAreaMeaning = "Free area of all openings together, as a share of the gross area of the face.";
const freeAreaRange: Range = { min: 0.05, max: 1 };
const freeArea: NumberParameter = { quantity: "fraction", meaning: freeAreaMeaning, range: freeAreaRange };

/** The laws of what a plate of the same free area stands in for. */
const standInLaws = (freeArea: number, section: Section, face: number | undefined): Laws => {
  const laws = screenLaws(plateMouth(freeArea), section, face, "thin sharp-edged plate by free area, as a stand-in");
  const note = "a thin sharp-edged plate of the same free area stands in; the maker's value is better";
  return { ...laws, note: laws.note === undefined ? note : `${note}; ${laws.note}` };
};

/** A weather louvre, as a plate of the same free area. */
export const louvre: Fitting<LouvreParameters> = {
  kind: "louvre",
  family: "ends",
  place: "end",
  meaning:
    "A weather louvre, by its gross face and its free area, with the duct that follows meeting the face abruptly.",
  parameters: {
    area: { quantity: "area", meaning: "Gross area of the face.", range: { above: 0 } },
    freeArea,
  },
  shapes,
  reference,
  sources: [
    plateSource,
    wideningSource,
    narrowingSource,
    {
      author: "common practice",
      title: "fastest air on the gross face of an intake louvre",
      where: "2.5 m/s; no published source",
      status: "memory",
    },
  ],
  reynolds: turbulent,
  // Blades turn the air twice, but are longer and blunter than a plate's edge.
  spread: { family: "thin plates", shared: 0.2, own: 0.6 },
  laws: ({ area, freeArea }, section) => ({
    ...standInLaws(freeArea, section, area),
    fastest: { velocity: 2.5, why: "above it an intake draws rain through its louvre" },
  }),
};

/** A grille of bars, as a plate of the same free area. */
export const grille: Fitting<ScreenParameters> = {
  kind: "grille",
  family: "ends",
  place: "end",
  meaning: "A grille of bars, by its free area, with the duct that follows meeting the face abruptly.",
  parameters: { area, freeArea },
  shapes,
  reference,
  sources: [plateSource, wideningSource, narrowingSource],
  reynolds: turbulent,
  // Bars of some depth, or with round edges, lose down to half of what sharp thin ones do.
  spread: { family: "thin plates", shared: 0.2, own: 0.5 },
  laws: ({ area, freeArea }, section) => standInLaws(freeArea, section, area),
};

/** A thin plate with sharp-edged holes. */
export const perforatedPlate: Fitting<ScreenParameters> = {
  kind: "perforatedPlate",
  family: "ends",
  place: "end",
  meaning:
    "A thin plate with sharp-edged holes, by its free area, with the duct that follows meeting the face abruptly.",
  parameters: { area, freeArea },
  shapes,
  reference,
  sources: [plateSource, wideningSource, narrowingSource],
  reynolds: turbulent,
  // Outwards, many fine holes lose down to half: their jets join as after a mesh.
  spread: { family: "thin plates", shared: 0.2, own: 0.3 },
  laws: ({ area, freeArea }, section) =>
    screenLaws(plateMouth(freeArea), section, area, "Idelchik, thin sharp-edged plate at the mouth of a duct"),
};

const meshCovered: Range = { min: 0.3, max: 0.9 };

/** Wire mesh over the end of a duct. */
export const wireMesh: Fitting<ScreenParameters> = {
  kind: "wireMesh",
  family: "ends",
  place: "end",
  meaning: "Woven wire mesh, by its free area, with the duct that follows meeting the face abruptly.",
  parameters: {
    area,
    freeArea: { quantity: "fraction", meaning: freeAreaMeaning, range: freeAreaRange, covered: meshCovered },
  },
  shapes,
  reference,
  sources: [
    {
      author: "Idelchik",
      title: "Handbook of Hydraulic Resistance",
      where: "wire mesh across a duct, φ its free area: 1.3·(1 − φ) + (1/φ − 1)², added to the entry or exit",
      status: "memory",
    },
    wideningSource,
    narrowingSource,
  ],
  reynolds: turbulent,
  spread: { family: "wire mesh", shared: 0.15, own: 0.3 },
  caution:
    "Fluff, insects and frost clog mesh, the finer the sooner: where a shut intake or exhaust could hurt someone, keep it within reach and have it cleaned.",
  laws: ({ area, freeArea }, section) => ({
    ...screenLaws(meshMouth(freeArea), section, area, "Idelchik, wire mesh"),
    outside: outsideOf(["freeArea", freeArea, meshCovered]),
  }),
};
