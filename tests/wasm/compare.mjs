// Runs every example car under every example scenario in WebAssembly and holds each number against the native one, bit by bit.
//
//   node compare.mjs MODULE.wasm NATIVE.tsv
//
// NATIVE.tsv is what `cargo run -p bitepoint-checks --example gate_bits` prints. Exits with 1 at the first difference.
import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { argv, exit } from "node:process";

const ROOM = 1 << 16;
const NONE = 0xffff_ffff_ffff_ffffn;
const root = join(import.meta.dirname, "..", "..");

function fail(message) {
  console.error(message);
  exit(1);
}

/** Stems of the TOML files in a folder of the repository. */
function examples(folder) {
  return readdirSync(join(root, folder)).filter((name) => name.endsWith(".toml")).map((name) => name.slice(0, -5)).sort();
}

/** Text of the slope profile that a scenario names; empty if it names none. */
function profileOf(scenario) {
  const name = /^\s*slope_profile\s*=\s*"([^"]+)"/m.exec(scenario)?.[1];
  return name === undefined ? "" : readFileSync(join(root, "scenarios", name), "utf8");
}

/** The module as a function from the texts of car, scenario and profile to the bits of a run's numbers. */
async function load(path) {
  const { instance } = await WebAssembly.instantiate(readFileSync(path), {});
  const { memory, reserve, run } = instance.exports;
  const textsAt = reserve(ROOM);
  const outAt = reserve(ROOM);
  return (...texts) => {
    const lengths = texts.map((text) => Buffer.byteLength(text));
    const bytes = Buffer.from(texts.join(""));
    if (bytes.length > ROOM) throw new Error(`texts of ${bytes.length} bytes are too long`);
    new Uint8Array(memory.buffer, textsAt, bytes.length).set(bytes);
    const count = run(textsAt, ...lengths, outAt, ROOM);
    // The views are made anew each time: memory that grew has another buffer.
    if (count < 0) throw new Error(Buffer.from(memory.buffer, outAt, -count).toString());
    return Array.from(new BigUint64Array(memory.buffer, outAt, count));
  };
}

/** Native numbers by car and scenario: lists of names and bits. */
function native(path) {
  const cases = new Map();
  for (const line of readFileSync(path, "utf8").split("\n").filter(Boolean)) {
    const [vehicle, scenario, name, bits] = line.split("\t");
    const key = `${vehicle}, ${scenario}`;
    if (!cases.has(key)) cases.set(key, []);
    cases.get(key).push({ name, bits: BigInt(`0x${bits}`) });
  }
  return cases;
}

function shown(bits) {
  const value = new Float64Array(new BigUint64Array([bits]).buffer)[0];
  return `${bits.toString(16).padStart(16, "0")} (${bits === NONE ? "none" : value})`;
}

const [modulePath, nativePath] = argv.slice(2);
const simulate = await load(modulePath);
const expected = native(nativePath);
let runs = 0;
let numbers = 0;
let times = 0;
for (const vehicle of examples("vehicles")) {
  const vehicleText = readFileSync(join(root, "vehicles", `${vehicle}.toml`), "utf8");
  for (const scenario of examples("scenarios")) {
    const key = `${vehicle}, ${scenario}`;
    const scenarioText = readFileSync(join(root, "scenarios", `${scenario}.toml`), "utf8");
    const want = expected.get(key) ?? fail(`${key}: the native program has no such run`);
    const found = simulate(vehicleText, scenarioText, profileOf(scenarioText));
    if (found.length !== want.length) fail(`${key}: ${found.length} numbers, natively ${want.length}`);
    want.forEach(({ name, bits }, n) => {
      if (found[n] !== bits) fail(`${key}: ${name}: ${shown(found[n])}, natively ${shown(bits)}`);
      numbers += 1;
      if (bits !== NONE && name.includes(", time")) times += 1;
    });
    runs += 1;
  }
}
if (runs !== expected.size || times === 0) fail(`${runs} runs with ${times} times, natively ${expected.size} runs`);
console.log(`WebAssembly: ${times} times of ${runs} runs are equal to the last bit, and so are all ${numbers} numbers compared`);
