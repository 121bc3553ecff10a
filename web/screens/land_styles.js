/** The land's own style sheet, loaded with its first screen: the others do without. */

const link = document.createElement('link');
link.rel = 'stylesheet';
link.href = new URL('land.css', import.meta.url).href;
document.head.append(link);
