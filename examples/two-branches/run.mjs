import { solveNetwork } from "ductgraph";

const point = (flow, pressure) => ({ flow, pressure });
const valve = (id, flow) => ({ id, kind: "terminal", service: "supply", loss: { pressure: "25 Pa", flow } });
const duct = (id, from, to, length) => ({ id, from, to, length, section: { diameter: "125 mm" } });
const curve = { pressureKind: "total", points: [point("0 l/s", "70 Pa"), point("60 l/s", "20 Pa")] };
const roof = { id: "roof", kind: "outdoors", coefficient: 1.5 };
const fan = { id: "fan", kind: "fan", curve };
const nodes = [roof, fan, { id: "split", kind: "junction" }, valve("bedroom", "15 l/s"), valve("study", "10 l/s")];
const mains = [duct("intake", "roof", "fan.inlet", "3 m"), duct("main", "fan.outlet", "split", "6 m")];
const branches = [duct("short", "split", "bedroom", "4 m"), duct("long", "split", "study", "9 m")];
const { fans, terminals } = solveNetwork({ format: "ductgraph/1", nodes, ducts: [...mains, ...branches] });
for (const [id, { flow }] of Object.entries(terminals)) console.log(`${id} ${(1000 * flow).toFixed(1)} l/s`);
console.log(`fan ${fans.fan.totalPressure.toFixed(1)} Pa`);
