/** A file given to the phone's downloads, made here and without any network. */

const KEPT_MS = 60_000;

/** @param {Blob} blob @param {string} name */
export function giveFile(blob, name) {
  const url = URL.createObjectURL(blob);
  const link = document.createElement('a');
  link.href = url;
  link.download = name;
  link.click();
  // The download may begin later than the click.
  setTimeout(() => URL.revokeObjectURL(url), KEPT_MS);
}
