/**
 * Ids of version 7 (RFC 9562, 5.7), made on the phone. Never used for order, never a secret.
 * Not for: stamps (`stamp`).
 */

/** @param {number} size */
const noiseOf = (size) => crypto.getRandomValues(new Uint8Array(size));

/**
 * Write an id from the ms since 1970 and ten bytes, some bits of which give way to version and variant.
 * @param {number} ms
 * @param {Uint8Array} ten
 * @returns {string}
 */
export function idOf(ms, ten) {
  const bytes = new Uint8Array(16);
  let rest = Math.max(Math.floor(ms), 0);
  for (let place = 5; place >= 0; place -= 1) {
    bytes[place] = rest % 256;
    rest = Math.floor(rest / 256);
  }
  bytes.set(ten, 6);
  bytes[6] = (bytes[6] & 0x0f) | 0x70;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  const hex = Array.from(bytes, (byte) => byte.toString(16).padStart(2, '0')).join('');
  return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join('-');
}

/**
 * Make a source of ids that rise within one page, also in one ms and when the clock steps back: the
 * first twelve random bits are a counter seeded anew each ms (RFC 9562, 6.2, method 1).
 * @param {(size: number) => Uint8Array} [noise]
 * @returns {(now_ms: number) => string}
 */
export function idSource(noise = noiseOf) {
  let last_ms = -1;
  let count = 0;
  return (now_ms) => {
    const ten = Uint8Array.from(noise(10));
    if (now_ms > last_ms) {
      last_ms = now_ms;
      count = ((ten[0] & 0x07) << 8) | ten[1]; // its top bit is 0, so that there is room to count
    } else {
      count += 1;
      if (count > 0x0fff) {
        last_ms += 1;
        count = 0;
      }
    }
    ten[0] = count >> 8;
    ten[1] = count & 0xff;
    return idOf(last_ms, ten);
  };
}

/** Make an id; they rise within one page. */
export const newId = idSource();
