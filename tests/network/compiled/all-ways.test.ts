import { describe, expect, test } from "vitest";
import { documentsOfPrograms, filedDocuments } from "../../helpers/all-documents.js";
import { nothingYet, tryAllWays } from "../../helpers/all-ways.js";
import { randomOf } from "../../helpers/control-networks.js";
import { everyKind } from "../../helpers/every-kind.js";

const programs = await documentsOfPrograms();

/** How many changes of each document are tried here; the long campaign tries many more. */
const most = 8;
const pairs = 6;

describe("one number or two changed by editing, withChanges, solve, and update from either start gives one answer or is refused alike", () => {
  test("in documents of every kind of fitting, node, fan and controller, in filed ones and in those of programs", () => {
    expect(everyKind().length).toBeGreaterThan(80);
    expect(filedDocuments().length).toBeGreaterThan(90);
    expect(programs.length).toBeGreaterThan(5);
  });

  test.each([...everyKind(), ...filedDocuments(), ...programs])("%s", (name, document) => {
    const found = nothingYet();
    tryAllWays(name, document, found, randomOf(1), most, pairs);
    expect(found.faults).toEqual([]);
  });
});
