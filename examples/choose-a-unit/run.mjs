// Chooses a ventilation unit for Saltings, the invented hostel, from invented units.
import { readFileSync } from "node:fs";
import { selectUnit } from "ductgraph";

const { units } = JSON.parse(readFileSync(new URL("units.json", import.meta.url), "utf8"));

/** The same ducts at another flow: their pressure goes about with the square of it. */
const duty = (flow) => ({
  supply: { flow, externalStaticPressure: 78 * (flow / 0.16) ** 2 },
  extract: { flow, externalStaticPressure: 86 * (flow / 0.16) ** 2 },
});
const choices = selectUnit(
  {
    duty: duty(0.16),
    boost: duty(0.2),
    margin: 0.1,
    maxSize: { width: 1.8, height: 1.2, depth: 0.9 },
    maxSpecificFanPower: 1300,
    spigotDiameters: [0.25],
  },
  units,
);

console.log("Saltings: 160 l/s at 78 and 86 Pa, boost 200 l/s; filters loaded, 10 % in hand\n");
for (const { name, fits, binds, duty, boost, power, specificFanPower, reserve, heatRecovery } of choices) {
  console.log(`${name}: ${fits ? "fits" : "does not fit"}`);
  if (power !== undefined) {
    const speeds = [duty.clean, duty.loaded, boost.loaded].map(({ supply, extract }) =>
      [supply, extract].map(({ speed }) => (speed === undefined ? "none" : speed.toFixed(2))).join("/"),
    );
    console.log(`  ${power.toFixed(0)} W, ${(specificFanPower / 1000).toFixed(2)} W/(l/s), clean filters, at duty`);
    console.log(
      `  speeds, supply/extract: ${speeds[0]} clean, ${speeds[1]} loaded, ${speeds[2]} boost with loaded filters`,
    );
  }
  if (fits)
    console.log(
      `  ${reserve.toFixed(0)} Pa left at least; heat recovery ${(100 * heatRecovery).toFixed(0)} % as its data says`,
    );
  for (const { message } of binds) console.log(`  - ${message}`);
}
if (choices.some(({ duty }) => duty.clean.powerEstimated))
  console.log("\nPower away from a curve's own speed goes by the cube of speed: an estimate.");
