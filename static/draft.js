// What is being typed lies in the box a moment later, and comes back after a reload or a kill.
// Not here: how fields are filled (fields.js), what is saved (form.js).

import * as box from './box.js';
import { fresh, isUntouched, note, renew, titled, typeAgain, typedOn } from './fields.js';
import { moment } from './words.js';

/** After the last key. */
const PAUSE = 300;
const UNDO = 10000;

const waits = new Map();
let writing = Promise.resolve();

/** A draft of what stands on a page. */
export const of = form => ({
  id: form.elements.entry_id.value,
  base: form.elements.base?.value,
  form: form.dataset.draft,
  what: titled(),
  page: location.pathname + location.search,
  at: Date.now(),
  texts: typedOn(form),
});

/** Keeps a draft of a page once nobody types for a moment. */
export function soon(form) {
  clearTimeout(waits.get(form));
  waits.set(form, setTimeout(write, PAUSE, form));
}

/** Keeps at once what waits to be kept. */
export function now() {
  for (const form of waits.keys()) write(form);
  return writing;
}

function write(form) {
  clearTimeout(waits.get(form));
  waits.delete(form);
  const draft = of(form);
  const act = fresh(form) && isUntouched(form) ? () => box.dropDraft(draft.id) : () => box.putDraft(draft);
  writing = writing.then(act).catch(() => {});
}

/** Nothing is written any more of what a save takes in. */
export function settled() {
  for (const wait of waits.values()) clearTimeout(wait);
  waits.clear();
  return writing;
}

/** Types a draft of this page in again, and says so. */
export async function putBack(form) {
  const [draft] = (await box.drafts()).filter(one => one.form === form.dataset.draft);
  if (draft && isUntouched(form)) show(form, draft);
  return draft;
}

function show(form, draft) {
  const left = typeAgain(form, draft.texts);
  form.elements.entry_id.value = draft.id;
  if (form.elements.base && draft.base) form.elements.base.value = draft.base;
  const more = left.length ? ` This page is shorter than that one was; kept with it: ${left.join(', ')}.` : '';
  const said = `Put back from this phone, typed ${moment(draft.at)}.${more}`;
  // Rain taps too: the second tap is in another place, and what it does can be undone.
  const offer = () => note(form, said, ['Discard', () => note(form, 'Discard what was typed?',
    ['No, keep it', offer], ['Yes, discard it', () => discard(form, draft)])]);
  offer();
}

async function discard(form, draft) {
  form.reset();
  for (const one of form.querySelectorAll('[data-left]')) one.remove();
  renew(form);
  await settled();
  await box.dropDraft(draft.id);
  const end = setTimeout(() => note(form, ''), UNDO);
  note(form, 'Discarded.', ['Undo', async () => {
    clearTimeout(end);
    await box.putDraft(draft);
    show(form, draft);
  }]);
}
