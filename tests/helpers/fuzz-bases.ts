/** A house with a unit whose exchanger gives its ducts their air, one fan on a named setting, one with a chain, a regulator, a damper. */
export const recoveringHouse: object = {
  format: "ductgraph/1",
  air: { temperature: 21, relativeHumidity: "40 %" },
  outdoorAir: { temperature: -7, relativeHumidity: 0.8 },
  nodes: [
    { id: "in", kind: "outdoors", coefficient: 1, elevation: 6 },
    { id: "roof", kind: "outdoors", coefficient: 1, elevation: 8 },
    { id: "bath", kind: "room", air: { temperature: 24, relativeHumidity: 0.6 } },
    { id: "kitchen", kind: "room", air: { temperature: 20 } },
    { id: "living", kind: "room" },
    {
      id: "bath-valve",
      kind: "terminal",
      service: "extract",
      room: "bath",
      designFlow: "15 l/s",
      loss: { pressure: 30, flow: 0.015 },
    },
    {
      id: "kitchen-valve",
      kind: "terminal",
      service: "extract",
      room: "kitchen",
      designFlow: 0.03,
      loss: { pressure: 30, flow: 0.03 },
      regulator: { flow: "30 l/s", minPressure: 30, maxPressure: "200 Pa", accuracy: "8 %" },
    },
    {
      id: "living-valve",
      kind: "terminal",
      service: "supply",
      room: "living",
      designFlow: 0.045,
      loss: { pressure: 30, flow: 0.045 },
    },
    { id: "box", kind: "plenum", elevation: 5 },
    {
      id: "unit",
      kind: "airHandler",
      elevation: 5,
      exchanger: { efficiency: "80 %" },
      frost: { below: -3, preheater: "600 W" },
      supply: {
        fanAt: "inlet",
        fan: {
          setting: "day",
          curve: {
            pressureKind: "total",
            speeds: [
              {
                setting: "night",
                points: [
                  { flow: 0, pressure: 60 },
                  { flow: 0.08, pressure: 5 },
                ],
              },
              {
                setting: "day",
                points: [
                  { flow: 0, pressure: 140 },
                  { flow: 0.12, pressure: 11 },
                ],
              },
              {
                setting: "boost",
                points: [
                  { flow: 0, pressure: 250 },
                  { flow: 0.16, pressure: 20 },
                ],
              },
            ],
          },
        },
        components: [{ name: "filter", pressure: 30, flow: 0.06, exponent: 1.4 }],
      },
      extract: {
        fanAt: "inlet",
        fan: {
          speed: 0.8,
          control: { kind: "balance", to: "unit.supply" },
          chain: {
            motor: {
              ratedOutput: 40,
              points: [
                { load: 0.1, efficiency: 0.4 },
                { load: 1, efficiency: 0.8 },
              ],
            },
            controller: "95 %",
          },
          curve: {
            pressureKind: "total",
            points: [
              { flow: 0.01, pressure: 240, efficiency: 0.2 },
              { flow: 0.08, pressure: 190, efficiency: 0.6 },
              { flow: 0.16, pressure: 20, efficiency: 0.3 },
            ],
          },
        },
      },
    },
  ],
  ducts: [
    { id: "intake", from: "in", to: "unit.intake", length: 3, section: { diameter: "160 mm" } },
    {
      id: "supply",
      from: "unit.supply",
      to: "living-valve",
      length: 8,
      section: { diameter: 0.16 },
      roughness: "plastic pipe",
      fittings: [{ kind: "singleBladeDamper", angle: "45 deg", leakage: "1 l/s" }],
    },
    { id: "from-bath", from: "bath-valve", to: "box", length: 5, section: { diameter: 0.125 } },
    { id: "from-kitchen", from: "kitchen-valve", to: "box", length: 6, section: { width: 0.2, height: 0.1 } },
    { id: "extract", from: "box", to: "unit.extract", length: 2, section: { diameter: 0.16 } },
    { id: "exhaust", from: "unit.exhaust", to: "roof", length: 4, section: { diameter: 0.16 } },
  ],
  openings: [
    { id: "bath-door", from: "bath", to: "living", area: "100 cm2" },
    { id: "kitchen-door", from: "kitchen", to: "living", area: 0.012 },
    { id: "leak", from: "living", to: "roof", coefficient: 0.002, exponent: 0.65 },
  ],
};
