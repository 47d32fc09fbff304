// On every page: the bar, and sending whenever something hints that the farm computer is in reach.

import { drawBar } from './bar.js';
import * as box from './box.js';
import { keepForLater } from './keep.js';
import { flush, listen, onChange } from './send.js';

/** The page of an entry was stored, whichever way: its draft has done its work. */
async function forgetDraft() {
  const [, id] = location.href.match(/\/entries\/([0-9a-f-]{36})\?now=/) ?? [];
  if (id) await box.dropDraft(id);
}

onChange(drawBar);
listen();
drawBar()
  .then(forgetDraft)
  .then(flush)
  .then(keepForLater)
  .catch(() => {});
