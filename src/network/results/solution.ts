/** Total and static pressure at one end of a duct [Pa]. */
export interface DuctEndPressure {
  /** Gauge, relative to the still outdoor air at the same height [Pa] */
  totalPressure: number;
  /** Total pressure less the velocity pressure in the duct [Pa] */
  staticPressure: number;
}

/** A value outside what the source of a coefficient covers. */
export interface OutsideResult {
  /** The parameter, or what else: "Reynolds number", "aspect ratio". */
  what: string;
  /** [SI] */
  value: number;
  /** What the source covers [SI] */
  range: { min?: number; max?: number; above?: number };
}

/** A fitting of a duct: all of its `count` together, in each run; or the regulator of a terminal. */
export interface FittingResult {
  kind: string;
  /** On ½ρv² in the duct, at this Reynolds number, of one of them [-]; absent for a rated loss. */
  coefficient?: number;
  /** Of total pressure, with the sign of the flow, of all of them [Pa] */
  loss: number;
  /** The published model, or "given". */
  model: string;
  /** Whether the model was used inside what its source covers. */
  withinRange: boolean;
  /** What was not. */
  outside?: OutsideResult[];
  /** Something that the reader should know of this fitting. */
  note?: string;
}

/** Air that a duct inherits from outdoors, rooms and units. */
export interface DuctAir {
  /** [kg/m³] */
  density: number;
  /** [°C]; absent where it is not known. */
  temperature?: number;
}

/** What flows in a duct; flows, velocity and losses carry the sign of the flow, which counts from `from` to `to`. */
export interface DuctResult {
  /** Of all runs [m³/s] */
  flow: number;
  /** Of all runs [kg/s] */
  massFlow: number;
  /** In one run, on its true area [m/s] */
  velocity: number;
  /** ½ρv², not negative [Pa] */
  velocityPressure: number;
  /** That used for friction [-] */
  reynolds: number;
  /** Darcy factor [-]; absent at rest and where the friction is rated. */
  frictionFactor?: number;
  /** [Pa] */
  frictionLoss: number;
  /** Of all fittings, and of a backdraught damper that is shut [Pa] */
  fittingLoss: number;
  /** Where the air enters the duct [Pa] */
  entryLoss: number;
  /** Where the air leaves it [Pa] */
  exitLoss: number;
  /** Friction, fittings, entry and exit [Pa] */
  totalLoss: number;
  /** (ρ_duct − ρ_outdoor)·g·(z_to − z_from) [Pa]: P(from) − P(to) = totalLoss + buoyancy */
  buoyancy: number;
  /** Inside the duct at `from`. */
  inlet: DuctEndPressure;
  /** Inside the duct at `to`. */
  outlet: DuctEndPressure;
  /** Whether the friction law was used inside its range. */
  withinRange: boolean;
  /** In their order; absent where there are none. */
  fittings?: FittingResult[];
  /** That it inherits; absent where it has its own or the network's. */
  air?: DuctAir;
}

/** Pressure drop from one port of a node to another. */
export interface PathLoss {
  from: string;
  to: string;
  /** On `velocityPressure`; negative where the other stream gives energy [-] */
  coefficient: number;
  /** Of total pressure [Pa] */
  loss: number;
}

/** Pressure drop in a node with ports: a transition or a tee. */
export interface NodeLosses {
  /** Which way the air divides or gathers; of a tee. */
  pattern?: string;
  /** The published model. */
  model: string;
  /** Whether the values of this state of a tee are not from a published form as it is, but bridged by us. */
  bridged?: boolean;
  /**
   * In the coefficients of both paths beyond the published forms, because these would give power to the air [-]; 0 where
   * nothing is added; of a tee.
   */
  added?: number;
  /** Whether the model was used inside what its source covers. */
  withinRange: boolean;
  /** What was not. */
  outside?: OutsideResult[];
  /** To which the coefficients refer [Pa] */
  velocityPressure: number;
  /** Each way of the air through the node; none where a tee has no flow. */
  paths: PathLoss[];
}

/** Pressures at a node [Pa]. */
export interface NodeResult {
  /** Of outdoors, room, junction, plenum and terminal [Pa] */
  totalPressure?: number;
  /** Of the nodes that have ports, by port. */
  ports?: Record<string, { totalPressure: number }>;
  /** Of a transition or a tee. */
  losses?: NodeLosses;
}

/** What a terminal does; flows are positive in the direction of its service. */
export interface TerminalResult {
  /** [m³/s] */
  flow: number;
  /** [kg/s] */
  massFlow: number;
  /** [m³/s] */
  designFlow?: number;
  /** Flow over design flow [-] */
  ratio?: number;
  /** Loss of total pressure between duct and still room, with the sign of the flow [Pa] */
  pressureLoss: number;
  /** What of that its constant-flow regulator takes; where it has one. */
  regulator?: FittingResult;
}

/** What flows through an opening, positive from `from` to `to`. */
export interface OpeningResult {
  /** Of the air of the side that it comes from [m³/s] */
  flow: number;
  /** [kg/s] */
  massFlow: number;
  /** Between its two sides at its own height [Pa] */
  pressureDifference: number;
}

/** What a controller reached. */
export interface ControlResult {
  kind: "flow" | "pressure" | "balance";
  /** [m³/s], [Pa]; of a balance the mass flow that the other fan asks for [kg/s] */
  set: number;
  /** As `set` [m³/s], [Pa] or [kg/s] */
  reached: number;
  /** Which limit of the speed binds, where the set value is not reached. */
  limit?: "minSpeed" | "maxSpeed";
  /** Set less reached, where a limit binds [m³/s], [Pa] or [kg/s] */
  missing?: number;
  /**
   * Present and true where the fan does not change what the controller reads, as at an open end: it holds nothing then, even
   * where `reached` is `set`, and its speed is one of many.
   */
  noEffect?: boolean;
}

/** Where a fan runs. */
export interface FanResult {
  /** [m³/s] */
  flow: number;
  /** [kg/s] */
  massFlow: number;
  /** Rise of total pressure by the curve [Pa] */
  totalPressure: number;
  /** Fan static pressure: total less the velocity pressure at the outlet [Pa]; where the curve gives its outlet. */
  staticPressure?: number;
  /** Relative to its curve's [-]; of curves at several speeds, in their unit. */
  speed: number;
  /** Electrical input [W]; where the curve gives power or efficiency. Of a fan at rest its controls power. */
  power?: number;
  /** Present and true where power is scaled over more than 20 % of speed. */
  powerEstimated?: boolean;
  /** Power over the flow at 1.2 kg/m³ [W/(m³/s)]; where the fan runs, its power is known and air flows forward. */
  specificFanPower?: number;
  /**
   * Heat that the air takes from the fan, there and by friction after it, without controls power [W]: input of the motor,
   * or its output with the motor outside; where that is known and the fan runs.
   */
  heatToAir?: number;
  /** flow·totalPressure [W] */
  airPower: number;
  /** Air power over electrical input [-] */
  efficiency?: number;
  /** Whether the flow lies within the points of the curve. */
  withinCurve: boolean;
  /** Of a controlled fan. */
  control?: ControlResult;
}

/** One rated part in a stream. */
export interface ComponentResult {
  name: string;
  /** [m³/s] */
  flow: number;
  /** Its whole loss, also where a unit curve contains part of it [Pa] */
  pressure: number;
}

/** One side of an air handler. */
export interface StreamResult {
  /** [m³/s] */
  flow: number;
  /** [kg/s] */
  massFlow: number;
  /** Total pressure at the outgoing spigot less that at the incoming one [Pa] */
  externalTotalPressure: number;
  /** The same with static pressures [Pa] */
  externalStaticPressure: number;
  /** As the fan's totalPressure [Pa] */
  fanTotalPressure: number;
  components: ComponentResult[];
  /** Electrical input of the fan [W] */
  power?: number;
  /** As the fan's: over the stream's flow at 1.2 kg/m³ [W/(m³/s)] */
  specificFanPower?: number;
}

/** An air handler. */
export interface AirHandlerResult {
  supply?: StreamResult;
  extract?: StreamResult;
  /** (supply − extract)/the larger, by mass [-] */
  massImbalance?: number;
  /** All electrical input [W] */
  power?: number;
  /** Power over the larger flow of its running fans at 1.2 kg/m³ [W/(m³/s)] */
  specificFanPower?: number;
  /** Downstream of the exchanger, dry and without the heat of the fans; if the air of both streams is given by temperature [°C] */
  supplyTemperature?: number;
  /** The same of the air that goes outdoors [°C] */
  exhaustTemperature?: number;
  /** That the exchanger gives to the supply air; negative where outdoors is the warmer side [W] */
  heatRecovered?: number;
  /** That the preheater gives to the intake air; not contained in `power` [W] */
  preheaterHeat?: number;
  /** Share of the supply fan's speed, of a controlled one of its set value, that frost protection leaves [-] */
  frostSpeedFactor?: number;
}

/** Something that a reader of the answer should know. Paths are by id. */
export interface Warning {
  code: string;
  path: string;
  message: string;
}

/** How well the answer meets the equations. */
export interface Convergence {
  /** Newton steps taken [-] */
  iterations: number;
  /** Largest at any free node [kg/s] */
  massResidual: number;
  /** Largest in any branch [Pa] */
  pressureResidual: number;
  /** Whether every fan runs where a disturbance dies out (fan slope below system slope). */
  stable?: boolean;
  /**
   * Present and true where the solve itself has met another state that meets the equations: one with a controller at a limit
   * beside this one that holds more set values, or one in which a disturbance of a fan grows. Absent where it met none,
   * which does not say that there is none.
   */
  otherStates?: boolean;
}

/** A solved network in SI, as plain data: safe to print, to store as JSON and to send to a worker. */
export interface Solution {
  ducts: Record<string, DuctResult>;
  nodes: Record<string, NodeResult>;
  terminals: Record<string, TerminalResult>;
  openings: Record<string, OpeningResult>;
  /** By fan: the node's id, or `unit.supply` and `unit.extract` of an air handler. */
  fans: Record<string, FanResult>;
  airHandlers: Record<string, AirHandlerResult>;
  convergence: Convergence;
  warnings: Warning[];
}
