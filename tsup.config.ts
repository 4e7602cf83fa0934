import { readFileSync, writeFileSync } from "node:fs";
import { basename, resolve } from "node:path";
import { defineConfig } from "tsup";

export default defineConfig({
  entry: { index: "src/index.ts", "fans/index": "src/fans/index.ts", "fittings/index": "src/fittings/index.ts" },
  format: ["esm", "cjs"],
  target: "es2022",
  dts: true,
  // One copy of each class within a format, so that `instanceof` holds across the entries.
  splitting: true,
  sourcemap: true,
  // scripts/check-bundle.mjs reads it; it stays out of the package.
  metafile: true,
  clean: true,
  silent: true,
  // Of mathjs only the units are used: bundled they start in a tenth of the time of the whole.
  noExternal: ["mathjs"],
  plugins: [
    {
      // The step to CommonJS names its own file in its source maps by an absolute path of this machine.
      name: "relative-sources",
      buildEnd({ writtenFiles }) {
        for (const { name } of writtenFiles.filter((file) => file.name.endsWith(".cjs.map"))) {
          const file = resolve(name.replace(/\.map$/, ""));
          const map = readFileSync(name, "utf8");
          writeFileSync(name, map.replaceAll(JSON.stringify(file), JSON.stringify(basename(file))));
        }
      },
    },
  ],
});
