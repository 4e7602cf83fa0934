/**
 * Holds the docstring of every public function to one form: each argument with its unit in square brackets, the result
 * with its unit, what is thrown, the source. Public numbers in types carry their units too.
 */
import ts from "typescript";
import { describe, expect, test } from "vitest";
import * as fans from "../../src/fans/index.js";
import * as fittings from "../../src/fittings/index.js";
import * as main from "../../src/index.js";

const entries = ["src/index.ts", "src/fans/index.ts", "src/fittings/index.ts"];
const program = ts.createProgram(entries, {
  module: ts.ModuleKind.NodeNext,
  moduleResolution: ts.ModuleResolutionKind.NodeNext,
  target: ts.ScriptTarget.ES2022,
  strict: true,
  noEmit: true,
  skipLibCheck: true,
  types: [],
});
const checker = program.getTypeChecker();

/** The exports of all entries, each once, with where they are declared. */
const exported = [
  ...new Set(
    entries.flatMap((entry) => {
      const file = checker.getSymbolAtLocation(program.getSourceFile(entry) as ts.Node) as ts.Symbol;
      return checker
        .getExportsOfModule(file)
        .map((symbol) => (symbol.flags & ts.SymbolFlags.Alias ? checker.getAliasedSymbol(symbol) : symbol));
    }),
  ),
];

const unit = /\[[^\]]+\]/;
const plain = /\bplain\b/;

interface PublicFunction {
  readonly name: string;
  readonly signature: ts.Signature;
  /** The whole comment. */
  readonly comment: string;
  readonly tags: ReadonlyMap<string, readonly string[]>;
}

const functions = exported.flatMap((symbol): PublicFunction[] => {
  const declaration = symbol.valueDeclaration;
  if (declaration === undefined) return [];
  const [signature] = checker.getTypeOfSymbolAtLocation(symbol, declaration).getCallSignatures();
  if (signature === undefined) return [];
  const tags = new Map<string, string[]>();
  for (const { name, text } of symbol.getJsDocTags(checker)) {
    tags.set(name, [...(tags.get(name) ?? []), ts.displayPartsToString(text)]);
  }
  const statement = ts.isVariableDeclaration(declaration) ? declaration.parent.parent : declaration;
  const comment = ts
    .getJSDocCommentsAndTags(statement)
    .filter(ts.isJSDoc)
    .map((one) => one.getText());
  return [{ name: symbol.name, signature, comment: comment.join("\n"), tags }];
});

const isNumeric = (type: ts.Type): boolean =>
  type.isUnion() ? type.types.some(isNumeric) : (type.flags & ts.TypeFlags.NumberLike) !== 0;
/** A number, or an object that may hold some. Texts, flags and choices have no unit. */
const mayHoldNumbers = (type: ts.Type): boolean =>
  type.isUnion()
    ? type.types.some(mayHoldNumbers)
    : (type.flags & (ts.TypeFlags.NumberLike | ts.TypeFlags.Object | ts.TypeFlags.Unknown)) !== 0;

/** What a docstring lacks. */
const lacking = ({ signature, comment, tags }: PublicFunction): string[] => {
  const lacks: string[] = [];
  const [first = ""] = tags.get("returns") ?? [];
  for (const parameter of signature.getParameters()) {
    const written = tags.get("param")?.find((text) => text.split(" ")[0] === parameter.name);
    const type = checker.getTypeOfSymbolAtLocation(parameter, parameter.valueDeclaration as ts.Declaration);
    if (written === undefined) lacks.push(`@param ${parameter.name}`);
    else if (isNumeric(type) && !unit.test(written)) lacks.push(`the unit of ${parameter.name}`);
    else if (mayHoldNumbers(type) && !unit.test(written) && !plain.test(written))
      lacks.push(`units in ${parameter.name}, or the word plain`);
  }
  if (first === "") lacks.push("@returns");
  else if (mayHoldNumbers(signature.getReturnType()) && !unit.test(first) && !plain.test(first))
    lacks.push("the unit of the result, or the word plain");
  if (!tags.has("throws")) lacks.push("@throws");
  if (!/^\s*\* Sources?: \S/m.test(comment)) lacks.push("Source:");
  if (!tags.has("example")) lacks.push("@example");
  return lacks;
};

describe("every public function's docstring", () => {
  test.each(functions)("$name: arguments and result with units, errors, source, example", (one) => {
    expect(lacking(one)).toEqual([]);
  });

  test("is found: the entries export as many functions at run time", () => {
    const values = Object.entries({ ...main, ...fans, ...fittings }).filter(
      ([, value]) => typeof value === "function" && !/^class\b/.test(String(value)),
    );
    expect(functions.map(({ name }) => name).sort()).toEqual(values.map(([name]) => name).sort());
  });
});

/** Examples of one line whose result stands after them, and that need nothing but the entries. */
const examples = functions.flatMap(({ name, tags }) =>
  (tags.get("example") ?? []).flatMap((text) => {
    const [, call, value] = /^(\w+\(.*\)[.\w]*); \/\/ (-?[\d.]+|".*"|\[\])$/.exec(text) ?? [];
    return call === undefined || /\((fan|network|solution|document)\b/.test(call) ? [] : [{ name, call, value }];
  }),
);

describe("examples in docstrings", () => {
  test.each(examples)("$call gives $value", ({ call, value }) => {
    const scope = { ...main, ...fans, ...fittings };
    const result: unknown = new Function(...Object.keys(scope), `return ${call}`)(...Object.values(scope));
    if (typeof result !== "number") return expect(result).toEqual(JSON.parse(value));
    const decimals = value.split(".")[1]?.length ?? 0;
    expect(Math.abs(result - Number(value))).toBeLessThanOrEqual(0.5 * 10 ** -decimals);
  });
});

/** The numeric properties of an exported type that name no unit. */
const unitless = (symbol: ts.Symbol): string[] =>
  checker
    .getDeclaredTypeOfSymbol(symbol)
    .getProperties()
    .flatMap((property) => {
      const [declaration] = property.getDeclarations() ?? [];
      if (declaration === undefined || declaration.getSourceFile().isDeclarationFile) return [];
      if (!isNumeric(checker.getTypeOfSymbolAtLocation(property, declaration))) return [];
      const text = ts.displayPartsToString(property.getDocumentationComment(checker));
      return unit.test(text) ? [] : [`${symbol.name}.${property.name}`];
    });

test("every number in a public type names its unit", () => {
  const types = exported.filter(({ flags }) => flags & (ts.SymbolFlags.Interface | ts.SymbolFlags.TypeAlias));
  expect(types.flatMap(unitless)).toEqual([]);
});
