// Compares two files of posteriors to 1e-9: node compare.js STORED NOW.
'use strict';
const fs = require('fs');
const [stored, now] = process.argv.slice(2).map((f) => JSON.parse(fs.readFileSync(f)).Posteriors);
let compared = 0;
let differ = stored.length === now.length ? 0 : 1;
stored.forEach((a, i) => {
  const b = now[i];
  const old = [...a.Faults, ...a.States.flat()];
  const fresh = b ? [...b.Faults, ...b.States.flat()] : [];
  if (!b || a.Name !== b.Name || old.length !== fresh.length) {
    console.error(`network ${i}, ${a.Name}: not the same network`);
    differ++;
    return;
  }
  old.forEach((x, k) => {
    compared++;
    if (!(Math.abs(x - fresh[k]) <= 1e-9)) {
      console.error(`network ${i}, ${a.Name}, number ${k}: stored ${x}, now ${fresh[k]}`);
      differ++;
    }
  });
});
console.log(`${compared} posteriors compared, ${differ} differences`);
process.exit(differ === 0 && compared > 0 ? 0 : 1);
