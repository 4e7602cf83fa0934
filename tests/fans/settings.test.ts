import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { type FanFamily, fanCurve, fanFamily, type InputError, settingSpeeds } from "../../src/fans/index.js";

const shape = [
  { flow: 0, pressure: 300, power: 60 },
  { flow: 0.08, pressure: 280, power: 85 },
  { flow: 0.16, pressure: 200, power: 95 },
  { flow: 0.24, pressure: 40, power: 80 },
];
const names = ["low", "middle", "high"];
/** The shape at several speeds, by the fan laws; power by an exponent of its own. */
const family = (speeds: readonly number[], given: boolean, from = 0): FanFamily => ({
  pressureKind: "total",
  speeds: speeds.map((n, i) => ({
    setting: names[i],
    ...(given ? { speed: n } : {}),
    points: shape.slice(from).map(({ flow, pressure, power }) => ({
      flow: n * flow,
      pressure: n * n * pressure,
      power: n ** 2.3 * power,
    })),
  })),
});

describe("settings without speeds", () => {
  test("of curves that obey the fan laws have the speeds of these, with or without a point at no flow", () => {
    const lower = fc.double({ min: 0.2, max: 0.55, noNaN: true });
    const middle = fc.double({ min: 0.6, max: 0.9, noNaN: true });
    fc.assert(
      fc.property(lower, middle, fc.constantFrom(0, 1), (a, b, from) => {
        const found = settingSpeeds(family([a, b, 1], false, from));
        expect(found.map(({ setting }) => setting)).toEqual(names);
        [a, b, 1].forEach((speed, i) => {
          const { least = Number.NaN, most = Number.NaN, speed: mean } = found[i];
          for (const told of [least, mean, most]) expect(Math.abs(told / speed - 1)).toBeLessThan(1e-9);
        });
      }),
    );
  });

  test("at no flow a pressure tells a speed by its root: a quarter of the pressure is half the speed", () => {
    const speeds = [
      {
        setting: "1",
        points: [
          { flow: 0, pressure: 75 },
          { flow: 0.12, pressure: 0 },
        ],
      },
      {
        setting: "2",
        points: [
          { flow: 0, pressure: 300 },
          { flow: 0.24, pressure: 0 },
        ],
      },
    ];
    const [{ speed, least, most }] = settingSpeeds({ pressureKind: "total", speeds });
    expect([speed, least, most].map((one) => (one as number).toFixed(9))).toEqual(Array(3).fill("0.500000000"));
  });

  test("only points count that the last curve passes through between its own points, wherever either curve ends", () => {
    const lower = fc.double({ min: 0.2, max: 0.9, noNaN: true });
    // Which points of the shape each curve has: two or three of them are in both.
    const parts = fc.constantFrom([0, 3, 1, 4], [1, 4, 0, 3], [0, 3, 0, 4], [1, 3, 0, 3], [0, 4, 1, 3]);
    fc.assert(
      fc.property(lower, parts, (n, [a, b, c, d]) => {
        const { speeds, ...basis } = family([n, 1], false);
        const [slow, fast] = speeds;
        const cut = {
          ...basis,
          speeds: [
            { ...slow, points: slow.points.slice(a, b) },
            { ...fast, points: fast.points.slice(c, d) },
          ],
        };
        const [{ speed, least, most }] = settingSpeeds(cut);
        for (const told of [speed, least, most]) expect(Math.abs((told as number) / n - 1)).toBeLessThan(1e-9);
      }),
    );
  });

  test("of a curve that does not obey the laws points tell different speeds, and the mean lies between them", () => {
    const speeds = [
      {
        setting: "1",
        points: [
          { flow: 0, pressure: 90 },
          { flow: 0.1, pressure: 20 },
        ],
      },
      {
        setting: "2",
        points: [
          { flow: 0, pressure: 300 },
          { flow: 0.24, pressure: 20 },
        ],
      },
    ];
    const [{ speed, least = 0, most = 0 }] = settingSpeeds({ pressureKind: "total", speeds });
    expect(most - least).toBeGreaterThan(0.02);
    expect(speed).toBeGreaterThan(least);
    expect(speed).toBeLessThan(most);
  });

  test("a family runs at each setting on its own curve, and between two as one with known speeds does", () => {
    const [named, known] = [fanFamily(family([0.5, 0.75, 1], false)), fanFamily(family([0.5, 0.75, 1], true))];
    const { speeds } = family([0.5, 0.75, 1], false);
    const [, { speed }] = settingSpeeds(family([0.5, 0.75, 1], false));
    const own = fanCurve({ pressureKind: "total", points: speeds[1].points });
    for (const flow of [0.02, 0.08, 0.15]) {
      expect(named.at(speed).pressure(flow)).toBe(own.pressure(flow));
      const [a, b] = [named.at(0.62), known.at(0.62)];
      expect(Math.abs(a.pressure(flow) - b.pressure(flow))).toBeLessThan(1e-6);
      expect(Math.abs((a.power?.(flow) as number) - (b.power?.(flow) as number))).toBeLessThan(1e-6);
    }
  });

  test("speeds that are given stay as they are", () => {
    expect(settingSpeeds(family([0.5, 0.75, 1], true))).toEqual(
      names.map((setting, i) => ({ setting, speed: [0.5, 0.75, 1][i] })),
    );
  });
});

describe("wrong settings", () => {
  const codes = (wrong: FanFamily): unknown[] => {
    try {
      settingSpeeds(wrong);
      return [];
    } catch (error) {
      return (error as InputError).problems.map(({ code, path }) => [code, path]);
    }
  };

  test("a curve without a point that the last curve passes through between its own", () => {
    const { speeds, ...basis } = family([0.5, 0.75, 1], false);
    const [low, middle, high] = speeds;
    const ends = {
      ...basis,
      speeds: [{ ...low, points: low.points.slice(0, 2) }, middle, { ...high, points: high.points.slice(2) }],
    };
    expect(codes(ends)).toEqual([["curve.family-apart", "speeds.0.points"]]);
    const none = low.points.map((point) => ({ ...point, pressure: point.pressure - 100 }));
    expect(codes({ ...basis, speeds: [{ ...low, points: none }, middle, high] })).toEqual([
      ["curve.family-apart", "speeds.0.points"],
    ]);
  });

  test("from the fastest to the slowest, one name twice, a speed in some only, no names at all", () => {
    const { speeds, ...basis } = family([0.5, 0.75, 1], false);
    expect(codes({ ...basis, speeds: [...speeds].reverse() })[0]).toEqual([
      "curve.speed-not-rising",
      "speeds.1.points",
    ]);
    const twice = speeds.map((one) => ({ ...one, setting: one.setting === "high" ? "low" : one.setting }));
    expect(codes({ ...basis, speeds: twice as FanFamily["speeds"] })).toEqual([
      ["curve.setting-again", "speeds.2.setting"],
    ]);
    const some = speeds.map((one, i) => (i === 1 ? { ...one, speed: 0.7 } : one));
    expect(codes({ ...basis, speeds: some })).toEqual([
      ["key.missing", "speeds.0.speed"],
      ["key.missing", "speeds.2.speed"],
    ]);
    const bare = speeds.map(({ points }) => ({ points }));
    expect(codes({ ...basis, speeds: bare })).toHaveLength(3);
  });
});
