import { expect } from "vitest";

/** What an InputError says of one fault. */
export interface Found {
  readonly code: string;
  readonly path: string;
  readonly message: string;
  readonly found?: string;
  readonly nearest?: string;
}

/** What an InputError says; anything else that is thrown fails. */
export const problemsOf = (act: () => unknown): readonly Found[] => {
  try {
    act();
  } catch (error) {
    expect((error as Error).name).toBe("InputError");
    return (error as { problems: Found[] }).problems;
  }
  throw new Error("nothing was thrown");
};
