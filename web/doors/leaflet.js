/** The door to Leaflet. Its compressed build is a script that puts itself on the global object; the map's
 * page must also carry its style sheet (vendor/leaflet/leaflet.css). */

import '../vendor/leaflet/leaflet.js';

export const L = /** @type {typeof import('leaflet')} */ (/** @type {{L?: unknown}} */ (/** @type {unknown} */ (globalThis)).L);
