// node validate.mjs FILE... : the Khronos validator on each file; ends with 1 unless it has nothing to say at all.
import { readFileSync } from "node:fs";
import validator from "gltf-validator";

let clean = process.argv.length > 2;
for (const file of process.argv.slice(2)) {
    const report = await validator.validateBytes(new Uint8Array(readFileSync(file)), { maxIssues: 50 });
    const { numErrors, numWarnings, numInfos, numHints, messages } = report.issues;
    console.log(`${file}: ${numErrors} errors, ${numWarnings} warnings, ${numInfos} infos, ${numHints} hints`);
    for (const m of messages) console.log(`  ${m.code} ${m.pointer ?? m.offset}: ${m.message}`);
    clean &&= numErrors + numWarnings + numInfos === 0;
}
process.exit(clean ? 0 : 1);
