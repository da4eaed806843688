// Times a screen in the WebAssembly module and compares its report with the command line's.
//   node tests/benches/wasm.mjs MODULE.wasm VISIT.toml [REPORT.json of the command line]
import { readFileSync } from "node:fs";
const [modulePath, visitPath, reportPath] = process.argv.slice(2);
const started = performance.now();
const { instance } = await WebAssembly.instantiate(readFileSync(modulePath), {});
const { memory, take_room, respond, give_room } = instance.exports;
function ask(request) {
  const bytes = new TextEncoder().encode(JSON.stringify(request));
  const room = take_room(bytes.length);
  new Uint8Array(memory.buffer, room, bytes.length).set(bytes);
  const packed = BigInt.asUintN(64, respond(room, bytes.length));
  const at = Number(packed >> 32n), length = Number(packed & 0xffffffffn);
  const answer = JSON.parse(new TextDecoder().decode(new Uint8Array(memory.buffer, at, length)));
  give_room(at, length);
  return answer;
}
const visit = readFileSync(visitPath, "utf8");
const loaded = performance.now();
ask({ ask: "screen", visit, quick: true });
const first = performance.now();
let best = Infinity;
for (let count = 0; count < 10; count += 1) {
  const from = performance.now();
  ask({ ask: "screen", visit, quick: true });
  best = Math.min(best, performance.now() - from);
}
const from = performance.now();
const whole = ask({ ask: "screen", visit });
const all = performance.now() - from;
console.log(`module ready ${(loaded - started).toFixed(0)} ms, first screen ${(first - loaded).toFixed(0)} ms,`
  + ` then ${best.toFixed(0)} ms, with every answer's worth and all ways ${all.toFixed(0)} ms`);
if (whole.error) throw new Error(whole.error);
if (reportPath) {
  const same = JSON.stringify(JSON.parse(readFileSync(reportPath, "utf8"))) === JSON.stringify(whole.report);
  console.log(same ? "the same report as the command line" : "NOT the same report as the command line");
  if (!same) process.exit(1);
}
