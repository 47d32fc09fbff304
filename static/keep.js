// Pages that open out of range, as far as the browser allows it: a fresh copy is put into its
// cache whenever the farm computer is in reach. Not here: which pages (the server says so).

import * as box from './box.js';
import { titled } from './fields.js';
import { contact } from './send.js';

const MINUTE = 60000;
/** Asked for first out in the rows; kept although nobody has opened them yet. */
const OFTEN = ['/outbox', '/ripeness/new'];

const here = () => location.pathname + location.search;

/** Puts a fresh copy of a page and its scripts into the browser's cache. */
async function keepCopy(path) {
  // Not 'reload': should the line break, that would lose the copy which is there.
  const answer = await fetch(path, { cache: 'no-cache', headers: { 'Endpost-Keep': '1' } });
  if (!answer.ok || answer.headers.get('Endpost-Server') !== document.body.dataset.server) return;
  const copy = new DOMParser().parseFromString(await answer.text(), 'text/html');
  if (!('keep' in copy.body.dataset)) return;
  for (const { src } of copy.querySelectorAll('script[src]')) await fetch(src);
  const what = titled(copy);
  await box.learn(`kept ${path}`, { path, what, drawn: copy.body.dataset.drawn, at: Date.now() });
  return copy;
}

/** The pages kept on this phone, by name. */
export async function keptPages() {
  const all = await box.deal(['meta'], store => box.got(store.getAll()), 'readonly');
  return all.filter(row => row.key.startsWith('kept '));
}

/** Keeps this page if it may be kept, and those that are wanted most. */
export async function keepForLater() {
  const isHere = 'keep' in document.body.dataset ? [here()] : [];
  if (!document.body.dataset.server || !await contact()) return;
  for (const path of new Set([...isHere, ...OFTEN])) {
    const { at = 0 } = await box.known(`kept ${path}`);
    if (Math.abs(Date.now() - at) > 10 * MINUTE) await keepCopy(path);
  }
}

/** When this page was kept, if it came out of the browser's cache. */
export async function keptSince() {
  const { drawn, at } = await box.known(`kept ${here()}`);
  return drawn && drawn === document.body.dataset.drawn ? at : undefined;
}

/** A newer copy of this page, if the farm computer is in reach. */
export const newerCopy = async () => (await contact() ? keepCopy(here()) : undefined);
