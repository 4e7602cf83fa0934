import fc from "fast-check";

// The same cases on every machine and in every run; other seeds are for the hand: DUCTGRAPH_SEED=7 npx vitest run.
fc.configureGlobal({ seed: Number(process.env.DUCTGRAPH_SEED ?? 20_261_125) });
