import { isKnown } from "../../air/mixing.js";
import { type AirState, saturationPressure } from "../../air/state.js";
import type { AirHandlerResult, ControlResult, Warning } from "../results/solution.js";
import type { PreheaterPart, UnitHeat } from "./heat-recovery.js";

/** Share of mass by which extract must exceed supply to be more than what a controller leaves open [-]. */
const noticed = 1e-3;
/** [°C] */
const freezing = 0;
/** What a dry sum may be too cold by, chosen: condensing water warms the exhaust of an exchanger whose maker set `below` [K] */
const leftOut = 1;

/** No temperatures are known after an exchanger. */
export const unknownWarning = ({ id, intake, extract }: UnitHeat): Warning => {
  const unknown = Object.entries({ intake, extract }).filter(([, air]) => air?.temperature === undefined);
  const ducts = unknown.map(([port]) => `'${id}.${port}'`).join(" and ");
  const message = `the temperatures after the exchanger of unit '${id}' are not known, since the air in the duct at ${ducts} is given by its density: give it by its temperature`;
  return { code: "unit.temperatures-unknown", path: `nodes.${id}.exchanger`, message };
};

/** Less supply air, and what comes of it: that helps only where less is supplied than extracted, which has its own danger. */
export const reducedWarning = (
  { exchanger, id, supplyControl, extractControl, extractFollows }: UnitHeat,
  share: number,
  { extract, massImbalance = 0 }: AirHandlerResult,
): Warning => {
  const follows = extractFollows && extractControl?.limit === undefined;
  const exceeds = massImbalance < -noticed;
  const remarks: string[] = [];
  if (exchanger !== undefined && extract !== undefined && (follows || !exceeds)) {
    const why = follows ? "its extract fan, balanced to it, follows it" : "supply still is no less than extract";
    remarks.push(`${why}, so the exhaust gets no warmer and the exchanger may freeze up`);
  }
  if (exceeds) {
    remarks.push(
      "with less supply than extract the house falls below outdoor pressure, and flue gas can be drawn in; not with open-flued appliances",
    );
  }
  const begins = `frost protection of unit '${id}' ${reductionText(share, supplyControl)}`;
  const message = [begins, remarks.join("; ")].filter((text) => text !== "").join(": ");
  return { code: "unit.frost-reduced", path: `airHandlers.${id}.frostSpeedFactor`, message };
};

const percent = (share: number): string => `${(100 * share).toFixed(0)} %`;

const reductionText = (share: number, control: ControlResult | undefined): string => {
  if (control === undefined) return `runs its supply fan at ${percent(share)} of its speed`;
  if (control.limit === undefined) return `runs its supply fan at ${percent(share)} of its set value`;
  const left = (share * control.reached) / control.set;
  return `asks its supply fan for ${percent(share)} of its set value, which at its ${control.limit} gives ${percent(left)}`;
};

/** A preheater that has too little heat. */
export const shortWarning = (
  { exchanger, id }: UnitHeat,
  needed: number,
  part: PreheaterPart,
  reached: number,
): Warning => {
  const after = exchanger === undefined ? "air at that temperature enters the unit" : "its exchanger may freeze up";
  const message = `the preheater of unit '${id}' would need ${needed.toFixed(0)} W to warm its intake air to ${part.below} °C, but has ${part.preheater.toFixed(0)} W, which warm it to ${reached.toFixed(1)} °C: ${after}`;
  return { code: "unit.preheater-short", path: `airHandlers.${id}.preheaterHeat`, message };
};

/** A preheater that warms the intake air above the temperature of the air from the rooms. */
export const overheatedWarning = (id: string, preheated: number, extract: number): Warning => {
  const message = `the preheater of unit '${id}' warms its intake air to ${preheated.toFixed(1)} °C, above the extract air of ${extract.toFixed(1)} °C, so the exchanger heats the exhaust: set 'below' to the lowest intake temperature that the exchanger tolerates`;
  return { code: "unit.preheater-above-extract", path: `airHandlers.${id}.preheaterHeat`, message };
};

/** An exchanger in which the water of its exhaust freezes, or may if its humidity is not known, with or without frost protection. */
export function* unprotectedWarnings({ id, frost }: UnitHeat, extract: AirState, exhaust: number): Generator<Warning> {
  const coldest = frost === undefined ? freezing : freezing - leftOut;
  if (!(exhaust < coldest) || !isKnown(extract)) return;
  const { relativeHumidity = 0, temperature } = extract;
  // Extract air is never dry: a humidity of 0 means that the air was given by its temperature alone.
  const isHumid = relativeHumidity > 0;
  if (isHumid && relativeHumidity * saturationPressure(temperature) <= saturationPressure(exhaust)) return;
  const humidity = isHumid ? "below its dew point" : "and its humidity is not known";
  const given =
    frost === undefined
      ? "the unit has no frost protection"
      : `its frost protection, below ${frost.below} °C of intake air, does not prevent that`;
  const message = `the exhaust air of unit '${id}' is cooled to ${exhaust.toFixed(1)} °C, ${humidity}, and ${given}: its exchanger may freeze up`;
  yield { code: "unit.frost-unprotected", path: `airHandlers.${id}.exhaustTemperature`, message };
}

/** Air that a unit in bypass brings to the rooms colder than its frost protection, which rests, or frost itself lets it. */
export function* bypassWarnings({ id, frost, intake }: UnitHeat, supply: number): Generator<Warning> {
  const temperature = intake?.temperature;
  if (temperature === undefined || !(supply > 0) || !(temperature < (frost?.below ?? freezing))) return;
  const rests = frost === undefined ? "" : ", its frost protection is inactive";
  const message = `unit '${id}' is in bypass${rests}, and air of ${temperature.toFixed(1)} °C from outdoors enters the rooms unheated`;
  yield { code: "unit.bypass-cold", path: `nodes.${id}.state`, message };
}
