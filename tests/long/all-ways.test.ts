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
  const seeds = Array.from({ length: 40 }, (_, i) => i + 1);
  const documents = [
    ...everyKind(),
    ...filedDocuments(),
    ...(await documentsOfPrograms()),
    ...[controlledDocument, controlledBuilding, regulatedDocument].flatMap((make) =>
      seeds.map((seed) => [`${make.name} ${seed}`, make(seed)] as const),
    ),
  ];
  for (const [name, document] of documents) tryAllWays(name, document, found, random, 2000, 100);
  const { answered, checked, otherStates } = found;
  console.log(
    `${checked} changes of ${documents.length} documents: ${answered} answered, ${otherStates} in another state`,
  );
  expect(found.faults).toEqual([]);
});
