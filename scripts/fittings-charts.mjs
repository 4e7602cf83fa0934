/**
 * What the chart of each kind of fitting shows: one thing across, and one to four curves, each with the parameters and the
 * state for a value across. A curve of equipment needs its parameters only.
 */
const rad = (degrees) => (degrees * Math.PI) / 180;
const round = { diameter: 0.16 };
const rectangular = { width: 0.3, height: 0.15 };

const radiusRatio = { label: "radius of the centre line over the diameter or side [-]", range: [0.5, 2.5] };
const turn = { label: "angle [°]", range: [1, 90] };
/** Curves of a bend that goes by its diameter alone. */
const byDiameter = (most) => ({
  x: { label: "diameter [m]", range: [0.063, most] },
  curves: [90, 45].map((degrees) => ({
    name: `${degrees}°`,
    at: (diameter) => ({ parameters: { angle: rad(degrees) }, section: { diameter } }),
  })),
});

const angle = (most) => ({ label: "angle from open [°]", range: [0, most] });
const areaRatio = { label: "smaller over larger area [-]", range: [0.05, 1] };
/** A round section of a share of the area of the large one. */
const share = (ratio) => ({ diameter: round.diameter * Math.sqrt(ratio) });
/** Curves of a change of section to a larger one and back. */
const bothWays = (x, at) => ({
  x,
  curves: [false, true].map((backward) => ({
    name: backward ? "narrowing" : "widening",
    at: (across) => ({ ...at(across), backward }),
  })),
});
/** Curves of air that enters at a face as wide as the duct, and of air that leaves there. */
const inAndOut = (x, at) => ({
  x,
  curves: [false, true].map((backward) => ({
    name: backward ? "exit" : "entry",
    at: (across) => ({ parameters: at(across), section: round, backward }),
  })),
});
const freeArea = { label: "free area [-]", range: [0.3, 1] };
const flow = { label: "flow [l/s]", range: [0, 60] };
/** Curves of the law at a rating of so many Pa at 50 l/s. */
const rated = (...pressures) => ({
  x: flow,
  curves: pressures.map((pressure) => ({
    name: `${pressure} Pa at 50 l/s`,
    at: () => ({ parameters: { pressure, flow: 0.05 } }),
  })),
});

export const charts = {
  bend: {
    x: radiusRatio,
    curves: [
      { name: "round, Re 20,000", at: (x) => ({ parameters: { radiusRatio: x }, section: round, reynolds: 2e4 }) },
      { name: "round, Re 200,000", at: (x) => ({ parameters: { radiusRatio: x }, section: round, reynolds: 2e5 }) },
      {
        name: "300 × 150 mm, Re 200,000",
        at: (x) => ({ parameters: { radiusRatio: x }, section: rectangular, reynolds: 2e5 }),
      },
    ],
  },
  pressedBend: byDiameter(0.315),
  pleatedBend: byDiameter(0.4),
  segmentedBend: {
    x: { label: "diameter [m]", range: [0.08, 0.6] },
    curves: [3, 4, 5].map((pieces) => ({
      name: `${pieces} pieces`,
      at: (diameter) => ({ parameters: { pieces }, section: { diameter } }),
    })),
  },
  mitredBend: {
    x: turn,
    curves: [
      { name: "round", at: (x) => ({ parameters: { angle: rad(x) }, section: round, reynolds: 2e5 }) },
      { name: "round, Re 20,000", at: (x) => ({ parameters: { angle: rad(x) }, section: round, reynolds: 2e4 }) },
      {
        name: "300 × 150 mm",
        at: (x) => ({ parameters: { angle: rad(x) }, section: rectangular, reynolds: 2e5 }),
      },
    ],
  },
  abrupt: bothWays(areaRatio, (ratio) => ({ parameters: {}, section: share(ratio), other: round })),
  conical: bothWays({ label: "included angle [°], areas 1 to 2", range: [5, 120] }, (degrees) => ({
    parameters: { angle: rad(degrees) },
    section: share(0.5),
    other: round,
  })),
  tapered: bothWays({ label: "length [m], 300 × 150 mm to 300 × 300 mm", range: [0.1, 1] }, (length) => ({
    parameters: { length },
    section: rectangular,
    other: { width: 0.3, height: 0.3 },
  })),
  roundToRectangular: bothWays({ label: "length [m], 160 mm to 300 × 150 mm", range: [0.1, 1] }, (length) => ({
    parameters: { length },
    section: round,
    other: rectangular,
  })),
  flush: inAndOut({ label: "diameter [m]", range: [0.1, 0.4] }, () => ({})),
  projecting: {
    x: { label: "projection over the hydraulic diameter [-]", range: [0, 0.6] },
    curves: [0, 0.01, 0.02, 0.05].map((wallThickness) => ({
      name: `wall ${wallThickness}`,
      at: (projection) => ({ parameters: { wallThickness, projection }, section: round }),
    })),
  },
  bellmouth: inAndOut({ label: "radius over the hydraulic diameter [-]", range: [0, 0.25] }, (x) => ({
    radiusRatio: x,
  })),
  louvre: inAndOut(freeArea, (x) => ({ area: 0.0201, freeArea: x })),
  grille: inAndOut(freeArea, (x) => ({ freeArea: x })),
  perforatedPlate: inAndOut(freeArea, (x) => ({ freeArea: x })),
  wireMesh: inAndOut(freeArea, (x) => ({ freeArea: x })),
  singleBladeDamper: {
    x: angle(70),
    curves: [
      { name: "round", at: (x) => ({ parameters: { angle: rad(x) }, section: round }) },
      { name: "rectangular", at: (x) => ({ parameters: { angle: rad(x) }, section: rectangular }) },
    ],
  },
  multiBladeDamper: {
    x: angle(80),
    curves: ["parallel", "opposed"].flatMap((blades) =>
      [0.5, 1].map((bladeRatio) => ({
        name: `${blades}, ${bladeRatio}`,
        at: (x) => ({ parameters: { angle: rad(x), blades, bladeRatio }, section: rectangular }),
      })),
    ),
  },
  irisDamper: {
    x: { label: "setting, of a table made up for this chart [-]", range: [1, 5] },
    curves: [
      {
        name: "1: 1.2, 2: 4, 3: 12, 4: 40, 5: 200",
        at: (setting) => {
          const table = [1.2, 4, 12, 40, 200].map((coefficient, i) => ({ setting: i + 1, coefficient }));
          return { parameters: { setting, table }, section: round };
        },
      },
    ],
  },
  fireDamper: { x: freeArea, curves: [{ name: "open", at: (x) => ({ parameters: { freeArea: x }, section: round }) }] },
  shutOffDamper: {
    x: freeArea,
    curves: [{ name: "open", at: (x) => ({ parameters: { freeArea: x }, section: round }) }],
  },
  filter: {
    x: flow,
    curves: [0, 0.5, 1].map((loading) => ({
      name: `loading ${loading}`,
      at: () => ({ parameters: { clean: 40, loaded: 120, flow: 0.05, loading } }),
    })),
  },
  coil: rated(20, 40),
  attenuator: rated(5, 20),
  exchanger: rated(60, 100),
  cowl: rated(10, 25),
};
