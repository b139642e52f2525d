// The second witness of shifts.csv: the Temporal polyfill answers every probe
// again with its "compatible" disambiguation, which RFC 5545 section 3.3.5
// (doi 10.17487/RFC5545) and ECMAScript Temporal share. It prints what differs.
//
//   npm i temporal-polyfill@1.0.8
//   node make.mjs shifts.csv
//
// The zone data are those of Node's ICU (process.versions.tz); run it with a Node
// of the table's release.
import {readFileSync} from 'node:fs';
import {Temporal} from 'temporal-polyfill';

const [head, , ...rows] = readFileSync(process.argv[2], 'utf8').trim().split('\n');
let probes = 0, unknown = new Set(), differ = 0;
for (const row of rows) {
  const [zone, ...numbers] = row.split(',');
  const [shift, before, after, ...answers] = numbers.map(Number);
  const low = shift + Math.min(before, after) / 60, high = shift + Math.max(before, after) / 60;
  const local = [low - 1, low, (low + high) / 2, high - 1, high];
  local.forEach((m, i) => {
    const plain = Temporal.PlainDateTime.from('1970-01-01T00:00').add({minutes: m});
    let got;
    try {
      got = plain.toZonedDateTime(zone, {disambiguation: 'compatible'}).epochMilliseconds / 60000 - shift;
    } catch {
      unknown.add(zone);
      return;
    }
    probes++;
    if (got !== answers[i]) {
      differ++;
      console.log(`${zone} ${plain}: zoneinfo ${answers[i]}, Temporal ${got}`);
    }
  });
}
console.log(`${head}\nNode ${process.versions.node}, data ${process.versions.tz}: ${probes} probes, ${differ} differ, ` +
  `zones it does not know: ${[...unknown].join(' ') || 'none'}`);
