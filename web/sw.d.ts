/** What the server puts before the service worker, for the type checker alone. */

/** Names this set of files. */
declare const VERSION: string;
/** Every file of the shell by its path, with its hash. */
declare const FILES: Record<string, string>;
