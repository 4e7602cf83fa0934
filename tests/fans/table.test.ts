import fc from "fast-check";
import { describe, expect, test } from "vitest";
import type { InputError } from "../../src/core/errors.js";
import { fanFamily, settingSpeeds } from "../../src/fans/family-model.js";
import { fanCurve } from "../../src/fans/model.js";
import { type FanTable, type FanTableUnits, readFanTable } from "../../src/fans/table.js";
import tables from "../references/fan-tables.json" with { type: "json" };
import { amount } from "./arbitraries.js";
import { cubicFootPerMinute, inchOfWater } from "./units.js";

const pointsOf = (table: FanTable) => ("points" in table ? table.points : []);

describe("a table as spreadsheets write it", () => {
  test("semicolons with decimal commas, a byte order mark, both kinds of line ends, empty lines", () => {
    const table = readFanTable("\uFEFFflow [l/s];pressure [Pa];power [W]\r\n0;300;40\r\n\n112,5;180,25;55\r\n");
    expect(table).toEqual({
      points: [
        { flow: 0, pressure: 300, power: 40 },
        { flow: 0.1125, pressure: 180.25, power: 55 },
      ],
    });
    expect(fanCurve({ pressureKind: "total", points: pointsOf(table) }).pressure(0)).toBe(300);
  });

  test("commas with decimal points, tabs, columns in any order and letter case", () => {
    const expected = [
      { flow: 0, pressure: 300, efficiency: 0.1 },
      { flow: 0.5, pressure: 120.5, efficiency: 0.55 },
    ];
    for (const text of [
      "Pressure [Pa],Efficiency [%],Flow [m3/h]\n300,10,0\n120.5,55,1800",
      "Pressure [Pa]\tEfficiency [%]\tFlow [m³/h]\n300\t10\t0\n120,5\t55\t1.8e3",
    ]) {
      pointsOf(readFanTable(text)).forEach((point, i) => {
        for (const key of ["flow", "pressure", "efficiency"] as const)
          expect(point[key]).toBeCloseTo(expected[i][key], 12);
      });
    }
  });

  test("a unit in round brackets is the unit that it is in square ones", () => {
    const rows = "0;300;40\n360;120,5;55";
    const square = readFanTable(`Flow [m³/h];Pressure [Pa];Power [W]\n${rows}`);
    expect(pointsOf(square)[1]).toEqual({ flow: expect.closeTo(0.1, 12), pressure: 120.5, power: 55 });
    expect(readFanTable(`Flow (m³/h);Pressure(Pa);Power ( W )\n${rows}`)).toEqual(square);
  });

  test("a column without a unit is SI, or what the second argument says", () => {
    const text = "flow,pressure\n0,3\n1,1";
    expect(pointsOf(readFanTable(text))[1]).toEqual({ flow: 1, pressure: 1 });
    expect(pointsOf(readFanTable(text, { flow: "l/s", pressure: "kPa" }))[1]).toEqual({ flow: 0.001, pressure: 1000 });
  });

  test(`${tables.cengel.source}: customary units are converted (${tables.cengel.status})`, () => {
    const rows = tables.cengel.points.map((row) => row.join(",")).join("\n");
    const points = pointsOf(readFanTable(`flow [cfm],pressure [inH2O]\n${rows}`));
    points.forEach(({ flow, pressure }, i) => {
      expect(flow / cubicFootPerMinute).toBeCloseTo(tables.cengel.points[i][0], 9);
      expect(pressure / inchOfWater).toBeCloseTo(tables.cengel.points[i][1], 12);
    });
  });

  test("a column of speeds makes a family, in rising order of speed", () => {
    const table = readFanTable("speed [rpm];flow;pressure\n2000;0;400\n2000;0,2;80\n1000;0;100\n1000;0,1;20");
    expect("speeds" in table && table.speeds.map(({ speed, points }) => [speed, points.length])).toEqual([
      [1000, 2],
      [2000, 2],
    ]);
    if ("speeds" in table)
      expect(
        fanFamily({ pressureKind: "total", ...table })
          .at(1500)
          .pressure(0),
      ).toBe(225);
  });

  test("a column of settings in place of speeds makes a family in the order of its lines, whose curves tell the speeds", () => {
    const table = readFanTable("setting;flow;pressure\nlow;0;100\nlow;0,1;20\nBoost 2;0;400\nBoost 2;0,2;80");
    expect(table).toEqual({
      speeds: [
        {
          setting: "low",
          points: [
            { flow: 0, pressure: 100 },
            { flow: 0.1, pressure: 20 },
          ],
        },
        {
          setting: "Boost 2",
          points: [
            { flow: 0, pressure: 400 },
            { flow: 0.2, pressure: 80 },
          ],
        },
      ],
    });
    if (!("speeds" in table)) return;
    const [low, boost] = settingSpeeds({ pressureKind: "total", ...table });
    expect(low.speed).toBeCloseTo(0.5, 9);
    expect(boost).toMatchObject({ setting: "Boost 2", speed: 1 });
  });

  test("settings beside speeds name the curves of these", () => {
    const table = readFanTable("flow,setting,pressure,speed\n0,2,400,2000\n0.2,2,80,2000\n0,1,100,1000\n0.1,1,20,1000");
    expect("speeds" in table && table.speeds.map(({ setting, speed, points }) => [setting, speed, points[1]])).toEqual([
      ["1", 1000, { flow: 0.1, pressure: 20 }],
      ["2", 2000, { flow: 0.2, pressure: 80 }],
    ]);
  });

  test("what is written is read back", () => {
    const row = fc.tuple(amount(0, 1e3), amount(-500, 500));
    fc.assert(
      fc.property(fc.array(row, { minLength: 2, maxLength: 9 }), fc.boolean(), (rows, comma) => {
        const written = rows.map((cells) =>
          cells.map((x) => (comma ? String(x).replace(".", ",") : String(x))).join(";"),
        );
        const points = pointsOf(readFanTable(["flow;pressure", ...written].join("\n")));
        points.forEach(({ flow, pressure }, i) => {
          expect([flow + 0, pressure + 0]).toEqual([rows[i][0] + 0, rows[i][1] + 0]);
        });
      }),
    );
  });
});

test("an inch of water is 25.4 mm of 1000 kg/m³ under 9.80665 m/s², a millimetre a part of it", () => {
  const of = (unit: string) => pointsOf(readFanTable(`flow [m³/s],pressure [${unit}]\n0,1\n1,0`))[0].pressure;
  expect(of("inH2O")).toBeCloseTo(0.0254 * 1000 * 9.80665, 11);
  expect(of("inH2O")).toBe(inchOfWater);
  expect(of("mmH2O") * 25.4).toBeCloseTo(inchOfWater, 11);
});

describe("every fault is named with its line, all at once", () => {
  const rows = "0;1\n1;2";
  test.each<[string, unknown, unknown, [string, string][]]>([
    ["nothing", undefined, {}, [["table.empty", "text"]]],
    ["one line of numbers", "flow;pressure\n0;1", {}, [["table.empty", "text"]]],
    ["no pressure", `flow;power\n${rows}`, {}, [["table.columns", "lines.1"]]],
    ["a column twice", `flow;pressure;flow\n0;1;2\n1;2;3`, {}, [["table.columns", "lines.1"]]],
    ["a column that is not known", `flow;presure\n${rows}`, {}, [["unknown-column", "lines.1"]]],
    ["a unit that is not known", `flow [gal/h];pressure\n${rows}`, {}, [["unknown-unit", "lines.1.flow"]]],
    ["one in round brackets", `flow (gal/h);pressure\n${rows}`, {}, [["unknown-unit", "lines.1.flow"]]],
    ["brackets that do not match", `flow [l/s);pressure\n${rows}`, {}, [["unknown-column", "lines.1"]]],
    ["a unit for names", `flow;pressure;setting (1)\n0;1;a\n1;2;a`, {}, [["table.columns", "lines.1"]]],
    ["a unit of another quantity", `flow [Pa];pressure\n${rows}`, {}, [["unknown-unit", "lines.1.flow"]]],
    ["a unit in the argument", `flow;pressure\n${rows}`, { flow: "l/sec" }, [["unknown-unit", "lines.1.flow"]]],
    ["a misspelt argument", `flow;pressure\n${rows}`, { flows: "l/s" }, [["unknown-key", "flows"]]],
    [
      "words, empty cells and thousands among numbers",
      "flow;pressure\n0;abc\n\n;5\n1 000;2\n1.000,5;3",
      {},
      [
        ["table.number", "lines.2.pressure"],
        ["table.number", "lines.4.flow"],
        ["table.number", "lines.5.flow"],
        ["table.number", "lines.6.flow"],
      ],
    ],
    [
      "Infinity and NaN as words",
      "flow;pressure\nNaN;1\n1;Infinity",
      {},
      [
        ["table.number", "lines.2.flow"],
        ["table.number", "lines.3.pressure"],
      ],
    ],
    [
      "a comma before three digits, thousands or decimals",
      "flow [m³/h];pressure [Pa]\n0;1\n1,000;300",
      {},
      [["table.number", "lines.3.flow"]],
    ],
    [
      "a point before three digits beside decimal commas",
      "flow [m³/h];pressure [Pa]\n0;12,5\n1.000;3",
      {},
      [["table.number", "lines.3.flow"]],
    ],
    [
      "a point before three digits that no other cell shows to part decimals",
      "flow [m³/h]\tpressure [Pa]\n0\t300\n1.000\t250\n2.000\t50",
      {},
      [
        ["table.number", "lines.3.flow"],
        ["table.number", "lines.4.flow"],
      ],
    ],
    [
      "both marks before three digits beside decimals of both",
      "flow [m³/h];pressure [Pa]\n0;300.5\n1.000;250,5\n2,000;50",
      {},
      [
        ["table.number", "lines.3.flow"],
        ["table.number", "lines.4.flow"],
      ],
    ],
    [
      "a flow without a unit beside a pressure with one",
      `flow;pressure [Pa]\n${rows}`,
      {},
      [["table.unit", "lines.1.flow"]],
    ],
    [
      "a pressure and a power without a unit beside a flow with one",
      "flow (m³/h);pressure;power\n0;3;1\n1;2;1",
      { power: "kW" },
      [["table.unit", "lines.1.pressure"]],
    ],
    [
      "an efficiency in percent without a unit",
      "flow;pressure;efficiency\n0;3;0\n1;2;55\n2;1;560",
      {},
      [
        ["out-of-range", "lines.3.efficiency"],
        ["out-of-range", "lines.4.efficiency"],
      ],
    ],
    ["a setting without a name", "setting;flow;pressure\nlow;0;1\n;1;2", {}, [["table.setting", "lines.3.setting"]]],
    ["a setting with a unit", `setting [1/min];flow;pressure\n1;0;1\n2;1;2`, {}, [["table.columns", "lines.1"]]],
    [
      "one setting at two speeds, and two settings at one",
      "setting;speed;flow;pressure\nlow;1;0;9\nlow;2;1;8\nhigh;2;0;9\nlow;1;1;2",
      {},
      [
        ["table.setting", "lines.3.setting"],
        ["table.setting", "lines.4.setting"],
      ],
    ],
    ["decimal commas between commas", "flow,pressure\n0,1\n0,5,2", {}, [["table.cells", "lines.3"]]],
    ["a short line", "flow;pressure\n0\n1;2", {}, [["table.cells", "lines.2"]]],
  ])("%s", (_, text, units, expected) => {
    expect(() => readFanTable(text as string, units as FanTableUnits)).toThrow(
      expect.objectContaining({
        name: "InputError",
        problems: expected.map(([code, path]) => expect.objectContaining({ code, path })),
      }),
    );
  });

  test("three digits after a mark are told with both readings, each of which is then read as it says", () => {
    const said = (text: string): string => {
      try {
        return JSON.stringify(pointsOf(readFanTable(text))[1].flow);
      } catch (error) {
        return (error as InputError).problems[0].expected ?? "";
      }
    };
    const either = "since three digits after ',' may be thousands or decimals";
    expect(said("flow;pressure\n0;300\n1,000;0")).toBe(`1000 or 1.0000, ${either}`);
    expect(said("flow;pressure\n0;300\n1000;0")).toBe("1000");
    expect(said("flow;pressure\n0;300\n1.0000;0")).toBe("1");
    expect(said("flow;pressure\n0;300\n1.250;0")).toBe(`1250 or 1.2500, ${either.replace("','", "'.'")}`);
    expect(said("flow;pressure\n0;300.5\n1.250;0")).toBe("1.25");
    expect(said("flow;pressure\n0;300.5\n1,250;0")).toBe(`1250 or 1.250, ${either}`);
    expect(said("flow;pressure\n0;300,5\n1.250;0")).toBe(`1250 or 1,250, ${either.replace("','", "'.'")}`);
    expect(said("flow;pressure\n0;300,5\n1250;0")).toBe("1250");
    expect(said("flow;pressure\n0;300,5\n1,250;0")).toBe("1.25");
    // After a 0 no thousands stand, and between commas no comma does.
    expect(said("flow;pressure\n0;300\n0,125;0")).toBe("0.125");
    expect(said("flow,pressure\n0,300\n1.250,0")).toBe("1.25");
  });

  test("the name of a setting tells nothing of decimals", () => {
    const text = "setting;flow;pressure\n1,5;0;300\n1,5;1,000;0";
    expect(() => readFanTable(text)).toThrow("lines.3.flow: expected 1000 or 1.000");
  });

  test("an efficiency of 55 without a unit is told to be 0.55 or 55 %; under % and up to 1 it is taken", () => {
    const text = (unit: string, value: string) => `flow;pressure;efficiency${unit}\n0;3;0\n1;2;${value}`;
    expect(() => readFanTable(text("", "55"))).toThrow(
      "lines.3.efficiency: expected an efficiency of 0 to 1, such as 0.55, or 55 % by a column 'efficiency [%]', got 55",
    );
    expect(() => readFanTable(text(" [-]", "55"))).toThrow("55 %");
    for (const [unit, value] of [
      [" [%]", "55"],
      ["", "0,55"],
    ])
      expect(pointsOf(readFanTable(text(unit, value)))[1].efficiency).toBeCloseTo(0.55, 12);
    expect(pointsOf(readFanTable(text("", "55"), { efficiency: "%" }))[1].efficiency).toBeCloseTo(0.55, 12);
  });

  test("any text is read or refused, and no number that is none passes", () => {
    const cell = fc.oneof(
      fc.string({ maxLength: 5 }),
      amount(-10, 10).map(String),
      fc.constantFrom("flow", "pressure", "x [l/s]"),
    );
    const text = fc.array(
      fc.array(cell, { maxLength: 3 }).map((cells) => cells.join(";")),
      { maxLength: 5 },
    );
    fc.assert(
      fc.property(text, (lines) => {
        try {
          const points = pointsOf(readFanTable(["flow;pressure", ...lines].join("\n")));
          for (const point of points)
            for (const value of Object.values(point)) expect(value).toSatisfy(Number.isFinite);
        } catch (error) {
          expect(error).toHaveProperty("name", "InputError");
        }
      }),
    );
  });
});
