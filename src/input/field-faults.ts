/** What a field says of a value that it cannot take. */
export interface Fault {
  readonly code: string;
  readonly expected: string;
  /** The sentence, where it says more than "expected …, got …". */
  readonly message?: string;
  readonly nearest?: string;
  /** The keys of an object, where one was not known. */
  readonly known?: readonly string[];
  /** The place of the form whose faults are reported, in place of all else. */
  readonly form?: number;
  /** Where no key tells the form: the key that is told as missing, and all by which forms differ. */
  readonly formless?: { readonly missing: string; readonly distinct: readonly string[] };
}

/** zod carries one text for each fault, so that a Fault travels in it as JSON; `faults.ts` takes it out again. */
export const fault = (code: string, expected: string, more: Omit<Fault, "code" | "expected"> = {}): string =>
  JSON.stringify({ code, expected, ...more } satisfies Fault);

/** The fault of a value that is missing or of a wrong kind. */
export const wrong = (expected: string, code = "value.wrong") => ({
  error: (issue: { readonly input?: unknown }): string =>
    issue.input === undefined ? fault("key.missing", expected) : fault(code, expected),
});
