import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { atmosphereSource } from "../../src/air/atmosphere.js";
import { viscositySource } from "../../src/air/state.js";
import type { Source, SourceStatus } from "../../src/core/sources.js";
import { compressionSources } from "../../src/ducts/flexible.js";
import { circularSources } from "../../src/ducts/geometry.js";
import { fanLawsSource } from "../../src/fans/laws.js";
import { bend } from "../../src/fittings/bends.js";
import { multiBladeDamper, singleBladeDamper } from "../../src/fittings/dampers.js";
import { mitredBend } from "../../src/fittings/mitred-bends.js";
import { thinPlateSource } from "../../src/fittings/plate.js";
import { teeConeSource } from "../../src/fittings/tees/law.js";
import { teeModels } from "../../src/fittings/tees/models.js";
import { conicalTransition } from "../../src/fittings/transitions.js";
import viscosity from "../references/air-viscosity.json" with { type: "json" };
import dampers from "../references/dampers.json" with { type: "json" };
import diameters from "../references/equivalent-diameters.json" with { type: "json" };
import fans from "../references/fan-tables.json" with { type: "json" };
import bends from "../references/fittings-bends.json" with { type: "json" };
import transitions from "../references/fittings-transitions.json" with { type: "json" };
import atmosphere from "../references/standard-atmosphere.json" with { type: "json" };
import tees from "../references/tees.json" with { type: "json" };

const root = new URL("../../", import.meta.url).pathname;
/** A file in one line, so that a sentence can be looked for across line ends. */
const flat = (file: string): string => readFileSync(join(root, file), "utf8").replace(/\s+(\* )?/g, " ");
const readme = readFileSync(join(root, "README.md"), "utf8");
/** The status column of README's row on something. */
const rowOf = (start: string): string => {
  const [row] = readme.split("\n").filter((line) => line.startsWith(`| ${start}`));
  return row?.split("|")[3].trim() ?? "";
};
/** The source among some whose author, title or place holds a text. */
const among = (sources: readonly Source[], text: string): SourceStatus | undefined =>
  sources.find(({ author, title, where }) => `${author} ${title} ${where}`.includes(text))?.status;
const gridsOf = (model: string): string => tees.grids.find((grid) => grid.model === model)?.status ?? "";

interface Value {
  readonly what: string;
  readonly status: SourceStatus;
  readonly code: SourceStatus | undefined;
  /** Of what the tests compare with. */
  readonly json?: string;
  /** Start of a row. */
  readonly readme?: string;
  /** A file and what it says. */
  readonly said?: readonly (readonly [file: string, words: RegExp])[];
}

const values: readonly Value[] = [
  {
    what: "equivalent diameters of flat ovals",
    status: "read",
    code: circularSources.flatOval.status,
    json: diameters.flatOval.status,
    readme: "Equivalent diameters, flat oval",
    said: [["docs/physics.md", /Heyt and Diaz, ASHRAE Transactions 81\(2\), 1975 \(read/]],
  },
  {
    what: "fan laws",
    status: "read",
    code: fanLawsSource.status,
    json: fans.abulencia.status,
    readme: "Fan laws",
    said: [
      ["docs/physics.md", /similarity without effects of Re \(textbooks, read/],
      ["src/fans/laws.ts", /as in textbooks \(read\)\. @example atSpeed/],
      ["src/fans/laws.ts", /as in textbooks \(read\)\. @example atDensity/],
      ["src/fans/family-model.ts", /fan laws, as in textbooks \(read\)/],
    ],
  },
  {
    what: "viscosity of air",
    status: "computed",
    code: viscositySource.status,
    json: viscosity.status,
    readme: "Viscosity of air",
    said: [["docs/physics.md", /viscosity by Sutherland's law with the constants of ISO 2533:1975 \(computed\)/]],
  },
  {
    what: "standard atmosphere",
    status: "library",
    code: atmosphereSource.status,
    json: atmosphere.library.status,
    readme: "Standard atmosphere",
    said: [["docs/physics.md", /altitude by the same standard \(library/]],
  },
  {
    what: "compression of flexible duct",
    status: "memory",
    code: compressionSources[0].status,
    said: [["docs/physics.md", /ASHRAE Fundamentals, from memory/]],
  },
  {
    what: "smooth round bends",
    status: "read",
    code: among(bend.sources, "smooth round bend"),
    json: bends.smoothRound.status,
    readme: "Bends, 98 rows",
  },
  {
    what: "smooth rectangular bends",
    status: "read",
    code: among(bend.sources, "smooth rectangular bend without vanes"),
    json: bends.smoothRectangular.status,
    readme: "Bends, 98 rows",
  },
  {
    what: "Reynolds factors of smooth bends",
    status: "memory",
    code: among(bend.sources, "Reynolds correction of smooth rectangular bends"),
    json: bends.roundedReynolds.status,
    readme: "Bends, 98 rows",
    said: [
      ["docs/physics.md", /memory for smooth rectangular ones, whose factor smooth round ones use too/],
      ["README.md", /Reynolds corrections of smooth bends and vanes memory/],
    ],
  },
  {
    what: "Reynolds factors of mitred bends",
    status: "read",
    code: among(mitredBend.sources, "Reynolds correction of both"),
    json: bends.sharpReynolds.status,
    readme: "Bends, 98 rows",
    said: [["docs/physics.md", /read for mitred bends/]],
  },
  {
    what: "vanes",
    status: "memory",
    code: among(mitredBend.sources, "vanes"),
    json: bends.vanes.status,
    readme: "Bends, 98 rows",
  },
  {
    what: "a single round blade at five angles",
    status: "memory",
    code: among(singleBladeDamper.sources, "round at 5°"),
    json: dampers.singleBladeRound.status,
    readme: "Dampers by blade angle",
  },
  {
    what: "a single blade at other angles",
    status: "memory",
    code: among(singleBladeDamper.sources, "all other angles"),
    json: dampers.singleBlade.status,
    readme: "Dampers by blade angle",
  },
  {
    what: "several blades",
    status: "memory",
    code: multiBladeDamper.sources[0].status,
    json: dampers.multiBlade.status,
    readme: "Dampers by blade angle",
  },
  {
    what: "thin plates",
    status: "memory",
    code: thinPlateSource.status,
    json: /thin plate: [^;]*/.exec(dampers.plates.status)?.[0] ?? "",
    readme: "Plates",
  },
  {
    what: "expanders",
    status: "read",
    code: among(conicalTransition.sources, "diagram 5-4"),
    json: transitions.widening.status,
  },
  {
    what: "cones of a tee's smaller legs",
    status: "library",
    code: teeConeSource.status,
    json: transitions.narrowing.status,
    said: [
      ["docs/junctions.md", /Crane's form, library/],
      ["src/fittings/transitions.ts", /contraction below 45° \(library\)/],
      ["src/fittings/tees/law.ts", /of Crane \(library\)/],
    ],
  },
  {
    what: "Gardel's tees",
    status: "memory",
    code: teeModels.gardel.sources[0].status,
    json: gridsOf("gardel"),
    readme: "Tees, 240",
    said: [["docs/physics.md", /`gardel` \(Gardel 1957, memory\)/]],
  },
  {
    what: "Idelchik's tees",
    status: "read",
    code: among(teeModels.idelchik.sources, "tables 7-1"),
    json: gridsOf("idelchik"),
    readme: "Tees, 240",
    said: [["docs/physics.md", /`idelchik` \(Idelchik 2006, read\)/]],
  },
  {
    what: "tees by momentum",
    status: "memory",
    code: among(teeModels.momentum.sources, "Bassett"),
    json: gridsOf("momentum"),
    readme: "Tees, 240",
    said: [["docs/physics.md", /`momentum` \(Hager 1984 and Bassett 2001, memory/]],
  },
];

describe("one value has one status", () => {
  test.each(values)("$what: $status, in code, references, README and pages", ({ status, code, json, readme, said }) => {
    expect(code).toBe(status);
    if (json !== undefined) expect(json).toContain(status);
    if (readme !== undefined) expect(rowOf(readme)).toContain(status);
    for (const [file, words] of said ?? []) expect(flat(file), file).toMatch(words);
  });
});

test("a table typed twice from one memory is no check, says the README, and claims no difference of none for it", () => {
  expect(readme.replace(/\s+/g, " ")).toContain("A table typed twice from one memory is no check");
  const rows = readme.split("\n").filter((line) => /^\| .*\|.*\|.*memory.*\|/.test(line));
  expect(rows.length).toBeGreaterThan(4);
  for (const row of rows) {
    const [, , , status, difference] = row.split("|");
    if (/\bmemory\b/.test(status) && /^\s*none\b/.test(difference)) expect(difference).toMatch(/no check/);
  }
});

test("Idelchik is cited as the edition that was quoted: the third is of 2006", () => {
  const files = ["src", "docs", "tests"].flatMap((folder) =>
    readdirSync(join(root, folder), { recursive: true, encoding: "utf8" }).map((file) => `${folder}/${file}`),
  );
  const texts = [...files, "README.md"].filter(
    (file) => /\.(ts|md|json|py|mjs)$/.test(file) && !file.endsWith("statuses.test.ts"),
  );
  const wrong = /3rd ed(ition|\.)[^.;]{0,30}1986|equations? 7-15|equations? 7-16|tables 7-1 to/;
  expect(texts.filter((file) => flat(file).includes("Idelchik") && wrong.test(flat(file)))).toEqual([]);
});
