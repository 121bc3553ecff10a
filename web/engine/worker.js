/* The engine in a worker of its own: Python compiled to WebAssembly, our packs unpacked into it, and one
 * call after the other answered, text in and text out. What it is told and tells is in `messenger.js`.
 * Not for: keeping the files (`packs.js`), or what a call means (the engine itself).
 */

/** @typedef {{id: number, boot: {runtime: string, packs: string[], cache: string}}} Boot */
/** @typedef {{id: number, name: string, request: string}} Call */

const EMPTY_WASM = new Uint8Array([0, 97, 115, 109, 1, 0, 0, 0]);
const LONGEST = 2000; // the runtime can put a megabyte of its own source into a message

/* Zones come from the packed tzdata: the runtime has none of its own, and a machine's might be another year's. */
const START = `
import sys
sys.path.insert(0, '/engine')
import zoneinfo
zoneinfo.reset_tzpath(())
from scout.engine.calls import call_text
call_text
`;

/** @type {((name: string, request: string) => string) | undefined} */
let answer;

self.addEventListener('message', ({ data }) => {
  if ('boot' in data) void boot(data);
  else compute(data);
});

/** @param {Boot} asked */
async function boot({ id, boot: { runtime, packs, cache } }) {
  try {
    // A policy that refuses WebAssembly leaves the runtime hanging for ever; this says so at once.
    new WebAssembly.Module(EMPTY_WASM);
  } catch (fault) {
    self.postMessage({ id, refused: messageOf(fault) });
    return;
  }
  try {
    const zips = packs.map((address) => bytesOf(address, cache));
    const { loadPyodide } = await import(`${runtime}pyodide.mjs`);
    const python = await loadPyodide({ indexURL: runtime, stdout: () => {}, stderr: () => {} });
    for (const zip of zips) python.unpackArchive(await zip, 'zip', { extractDir: '/engine' });
    answer = python.runPython(START);
    self.postMessage({ id, ready: true });
  } catch (fault) {
    self.postMessage({ id, fault: messageOf(fault), dead: true });
  }
}

/** @param {Call} asked */
function compute({ id, name, request }) {
  if (answer === undefined) {
    self.postMessage({ id, fault: 'the engine has not started', dead: true });
    return;
  }
  try {
    self.postMessage({ id, answer: answer(name, request) });
  } catch (fault) {
    // A fault of Python's own leaves it sound; out of memory, or a fault of the runtime, does not.
    const said = messageOf(fault);
    const is_python = /** @type {{name?: string}} */ (fault)?.name === 'PythonError';
    self.postMessage({ id, fault: said, dead: !is_python || said.includes('MemoryError') });
  }
}

/** @param {string} address @param {string} cache */
async function bytesOf(address, cache) {
  const held = 'caches' in self && (await caches.has(cache)) ? await (await caches.open(cache)).match(address) : undefined;
  const found = held ?? (await fetch(address));
  if (!found.ok) throw new Error(`${address}: ${found.status}`);
  return found.arrayBuffer();
}

/** @param {unknown} fault */
function messageOf(fault) {
  const said = fault instanceof Error ? fault.message : String(fault);
  return said.length > LONGEST ? `…${said.slice(-LONGEST)}` : said;
}
