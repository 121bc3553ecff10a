/** The map's own style sheets, loaded with the first map: the other screens do without. */

const SHEETS = ['../vendor/leaflet/leaflet.css', '../map.css'];
/** @type {Promise<unknown> | undefined} */
let loaded;

/** Load them once; resolves when they count, and also where one cannot be had. */
export function mapStyles() {
  loaded ??= Promise.all(SHEETS.map((sheet) => loadedSheet(new URL(sheet, import.meta.url).href)));
  return loaded;
}

/** @param {string} address */
function loadedSheet(address) {
  return new Promise((resolve) => {
    const link = document.createElement('link');
    link.rel = 'stylesheet';
    link.href = address;
    link.onload = link.onerror = resolve;
    document.head.append(link);
  });
}
