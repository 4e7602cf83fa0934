// One house, four mains: easy or tight bends in a wide or a narrow duct. House, unit and efficiency are invented.
import { solveNetwork } from "ductgraph";

const flow = 0.04; // m³/s
const efficiency = 0.4; // of fan, motor and control together

/** What a layout asks of the fan: the air is given, the pressure is found. */
const house = (diameter, radiusRatio) => {
  const bends = { kind: "bend", radiusRatio, count: 6 };
  const rooms = ["living", "bedroom", "study", "loft"];
  return solveNetwork({
    format: "ductgraph/1",
    nodes: [
      { id: "unit", kind: "junction", inflow: flow },
      { id: "box", kind: "plenum" },
      ...rooms.map((id) => ({
        id,
        kind: "terminal",
        service: "supply",
        loss: { pressure: "10 Pa", flow: "10 l/s" },
      })),
    ],
    ducts: [
      { id: "main", from: "unit", to: "box", length: "12 m", section: { diameter }, fittings: [bends] },
      ...rooms.map((id, i) => ({ id, from: "box", to: id, length: 5 + i, section: { diameter: "80 mm" } })),
    ],
  });
};

console.log("main    radius ratio  bends, Pa  main, Pa  in all, Pa  fan, W");
for (const diameter of ["125 mm", "100 mm"]) {
  for (const radiusRatio of [1.5, 0.75]) {
    const { ducts, nodes } = house(diameter, radiusRatio);
    const { fittingLoss, totalLoss } = ducts.main;
    const pressure = nodes.unit.totalPressure;
    const numbers = [radiusRatio, fittingLoss, totalLoss, pressure, (flow * pressure) / efficiency];
    const widths = [12, 9, 8, 10, 6];
    const cells = numbers.map((number, i) => number.toFixed(i === 0 ? 2 : 1).padStart(widths[i]));
    console.log(`${diameter}  ${cells.join("  ")}`);
  }
}
