import type { AirState } from "../air/state.js";

/** Air as a message names it. */
export const airText = ({ density, temperature }: AirState): string => {
  const weight = `${density.toFixed(3)} kg/m³`;
  return temperature === undefined ? `air of ${weight}` : `air of ${temperature.toFixed(1)} °C (${weight})`;
};
