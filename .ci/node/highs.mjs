// Solves a problem in LP text with HiGHS and prints {"status", "cost"}.
import { createRequire } from "node:module";
import { readFileSync } from "node:fs";
const require = createRequire(process.env.EMBERQUILT_NODE + "/");
const highs = await require("highs")();
const solution = highs.solve(readFileSync(process.argv[2], "utf8"), { mip_rel_gap: 0, mip_abs_gap: 1e-9, output_flag: false });
console.log(JSON.stringify({ status: solution.Status, cost: solution.ObjectiveValue }));
