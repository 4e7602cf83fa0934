import { InputError, type Problem } from "./errors.js";

/**
 * The problems that a check throws, with their paths below the path of the value that it checks.
 *
 * @param parent - Path of the value; the empty text leaves paths as they are.
 * @param own - Path by which the check names the value itself.
 */
export const thrownBelow = (parent: string, own: string, check: () => void): Problem[] => {
  try {
    check();
    return [];
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    return error.problems.map((problem) => placedBelow(parent, own, problem));
  }
};

/** The problems that a check throws. */
export const thrownBy = (check: () => void): Problem[] => thrownBelow("", "", check);

/** Throws the problems of all checks at once. */
export const requireAll = (...checks: readonly (() => void)[]): void => {
  const problems = checks.flatMap(thrownBy);
  if (problems.length > 0) throw new InputError(problems);
};

/** A problem with its path, and the path at the head of its message, below another. */
export const placedBelow = (parent: string, own: string, problem: Problem): Problem => {
  if (parent === "") return problem;
  // A key that is not known may be called as the value is.
  const isOwn = problem.path === own && problem.code !== "unknown-key";
  const path = isOwn ? parent : `${parent}.${problem.path}`;
  return { ...problem, path, message: `${path}${problem.message.slice(problem.path.length)}` };
};
