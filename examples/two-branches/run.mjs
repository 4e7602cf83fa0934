import { solveNetwork } from "ductgraph";

const duct = (id, from, to, length) => ({ id, from, to, length, section: { diameter: "125 mm" } });
const valve = (id, flow) => ({ id, kind: "terminal", service: "supply", loss: { pressure: "25 Pa", flow } });
const points = ["70 Pa", "20 Pa"].map((pressure, i) => ({ flow: `${60 * i} l/s`, pressure }));
const fan = { id: "fan", kind: "fan", curve: { pressureKind: "total", points } };
const ends = [{ id: "roof", kind: "outdoors", coefficient: 1.5 }, valve("bedroom", "15 l/s"), valve("study", "10 l/s")];
const mains = [duct("intake", "roof", "fan.inlet", "3 m"), duct("main", "fan.outlet", "split", "6 m")];
const ducts = [...mains, duct("short", "split", "bedroom", "4 m"), duct("long", "split", "study", "9 m")];
const nodes = [...ends, fan, { id: "split", kind: "junction" }];
const { terminals } = solveNetwork({ format: "ductgraph/1", nodes, ducts });
for (const [id, { flow }] of Object.entries(terminals)) console.log(`${id} ${(1000 * flow).toFixed(1)} l/s`);
