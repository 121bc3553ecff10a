/** Numbers as the map shows them: rounded to what they are good for. Not for: other units than metric. */

/** @param {number} m */
export function metres(m) {
  if (m >= 10_000) return `${Math.round(m / 1000)} km`;
  if (m >= 1000) return `${(m / 1000).toFixed(1)} km`;
  return m < 9.95 ? `${trimmed(m)} m` : `${Math.round(m)} m`;
}

/** @param {number} m */
function trimmed(m) {
  return m.toFixed(1).replace(/\.0$/, '');
}

/** @param {number} deg */
export function degrees(deg) {
  return `${Math.round(deg) % 360}°`;
}

/** @param {number} bytes */
export function size(bytes) {
  if (bytes < 950) return `${bytes} B`;
  if (bytes < 950_000) return `${Math.max(1, Math.round(bytes / 1000))} kB`;
  return `${(bytes / 1e6).toFixed(bytes < 9.95e6 ? 1 : 0)} MB`;
}
