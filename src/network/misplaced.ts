import type { Problem } from "../core/errors.js";

/** Where things belong that are looked for elsewhere. */
const places: Readonly<Record<string, string>> = {
  regulator: "a terminal takes a `regulator`; a duct takes one among its `fittings`, as { kind: 'regulator', … }",
};

/** The word that a document does not know at a problem's place: a key, or a kind. */
const strangerOf = ({ code, path, found = "" }: Problem): string | undefined => {
  if (code === "key.unknown") return path.slice(path.lastIndexOf(".") + 1);
  return code === "kind.unknown" ? found.replaceAll("'", "") : undefined;
};

/** The problem itself, which says where a thing belongs that stands in the wrong place. */
export const withItsPlace = (problem: Problem): Problem => {
  const stranger = strangerOf(problem);
  if (stranger === undefined || !Object.hasOwn(places, stranger)) return problem;
  return { ...problem, message: `${problem.message}: ${places[stranger]}` };
};
