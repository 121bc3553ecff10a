/**
 * The one written form of a JSON value (RFC 8785). It decides whether two values are equal, and it is
 * the form in which changes are sent. Not for: reading JSON, or deciding what a value may be.
 */

import { canonicalize } from '../doors/canonicalize.js';

/**
 * Write a JSON value in its canonical form.
 *
 * Throws an Error for what has none: NaN, infinities, halves of characters, anything that is not JSON.
 * @param {unknown} value
 * @returns {string}
 */
export function canonical(value) {
  const text = canonicalize(value);
  if (text === undefined) throw new TypeError('this is no JSON value; leave it out or use null');
  return text;
}

/**
 * Tell whether two JSON values are equal, by their canonical form.
 * @param {unknown} one
 * @param {unknown} other
 */
export function same(one, other) {
  return canonical(one) === canonical(other);
}

const UTF8 = new TextEncoder();

/**
 * Answer the SHA-256 of bytes or of a text's UTF-8, in lower-case hex.
 * @param {ArrayBuffer | string} content
 * @returns {Promise<string>}
 */
export async function sha256Of(content) {
  const bytes = typeof content === 'string' ? UTF8.encode(content) : content;
  const hash = new Uint8Array(await crypto.subtle.digest('SHA-256', bytes));
  return Array.from(hash, (byte) => byte.toString(16).padStart(2, '0')).join('');
}

/**
 * Answer how many bytes a text takes as UTF-8.
 * @param {string} text
 */
export function bytesOf(text) {
  return UTF8.encode(text).length;
}
