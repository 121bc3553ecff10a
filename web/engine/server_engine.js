/**
 * The server's engine asked for an answer: the same text in and out as the one on this phone.
 * Not for: choosing between them (`engine.js`).
 */

const PATIENCE_MS = 20_000;

/**
 * Answer a call as the server does, null where it is not in reach.
 * @param {string} name
 * @param {string} text
 * @param {typeof fetch} fetcher
 * @returns {Promise<{text: string, from: 'server'} | null>}
 */
export async function askServer(name, text, fetcher) {
  try {
    const answer = await fetcher(new URL(`../api/v1/engine/${name}`, import.meta.url), {
      method: 'POST',
      body: text,
      headers: { 'Content-Type': 'application/json', 'X-Scout': '1' },
      cache: 'no-store',
      credentials: 'same-origin',
      redirect: 'error',
      signal: AbortSignal.timeout(PATIENCE_MS),
    });
    const said = await answer.text();
    // A refusal is an answer too; a portal's page or another server's error is none.
    return isOurs(said) ? { text: said, from: 'server' } : null;
  } catch {
    return null;
  }
}

/** @param {string} text */
function isOurs(text) {
  try {
    return typeof JSON.parse(text)?.engine === 'string';
  } catch {
    return false;
  }
}
