import { expect, test } from "vitest";
import { documentsOfPrograms, filedDocuments } from "../helpers/all-documents.js";
import { nothingYet, tryAllWays } from "../helpers/all-ways.js";
import { controlledBuilding } from "../helpers/control-buildings.js";
import { controlledDocument, randomOf } from "../helpers/control-networks.js";
import { everyKind } from "../helpers/every-kind.js";
import { regulatedDocument } from "../helpers/regulated-networks.js";

test("every number of every document and pairs of them, changed in every way, give one answer or are refused alike", async () => {
  const found = nothingYet();
  const random = randomOf(1);
  const written = [...everyKind(), ...filedDocuments(), ...(await documentsOfPrograms())];
  for (const [name, document] of written) tryAllWays(name, document, found, random, 2000, 100);
  // Many alike, in which a solve takes long: all their changes would take an hour and more.
  for (let seed = 1; seed <= 40; seed++)
    for (const make of [controlledDocument, controlledBuilding, regulatedDocument])
      tryAllWays(`${make.name} ${seed}`, make(seed), found, random, 400, 20);
  const { answered, checked, otherStates } = found;
  console.log(
    `${checked} changes of ${written.length + 120} documents: ${answered} answered, ${otherStates} in another state`,
  );
  expect(found.faults).toEqual([]);
});
