// Boot the vendored pyodide, unpack the engine's packs, answer the requests read from stdin.
// Use: node pyodide_run.mjs <folder of pyodide> <answering.py> <pack.zip>... < cases > answers

import { readFileSync } from "node:fs";
import { pathToFileURL } from "node:url";

const [pyodideFolder, answering, ...packs] = process.argv.slice(2);

/** The end of a message: pyodide's errors can carry a whole megabyte of its own source. */
const cut = (text) => (text.length > 3000 ? `...${text.slice(-3000)}` : text);

/** All of stdin; a pipe may have nothing yet, which reading it at one go takes for an error. */
async function asked() {
  let text = "";
  process.stdin.setEncoding("utf8");
  for await (const part of process.stdin) text += part;
  return text;
}

try {
  const cases = await asked();
  const { loadPyodide } = await import(pathToFileURL(`${pyodideFolder}/pyodide.mjs`));
  // stdout carries the answers, so anything Python prints goes to stderr.
  const python = await loadPyodide({
    indexURL: `${pyodideFolder}/`,
    stdout: (line) => process.stderr.write(`${cut(line)}\n`),
  });
  for (const pack of packs) {
    python.unpackArchive(new Uint8Array(readFileSync(pack)), "zip", { extractDir: "/engine" });
  }
  python.globals.set("cases_text", cases);
  python.runPython("import sys; sys.path.insert(0, '/engine'); __name__ = 'answering'");
  python.runPython(readFileSync(answering, "utf8"));
  process.stdout.write(python.runPython("answers(cases_text)"));
} catch (error) {
  process.stderr.write(`${cut(String(error?.message ?? error))}\n`);
  process.exitCode = 1;
}
