// On pages with a form: saving into the box first and then to the farm computer, keeping what is
// being typed, and putting it back. Not here: the box (box.js), sending (send.js).

import { CAN_NOT_KEEP, counts } from './bar.js';
import * as box from './box.js';
import * as drafts from './draft.js';
import { clear, controls, fresh, isUntouched, note, pageOf, renew, titled } from './fields.js';
import { keptSince, newerCopy } from './keep.js';
import { contact, deliver, flush, tell } from './send.js';
import { DAY, element, moment } from './words.js';

/** So long somebody who has tapped Save waits for the farm computer. */
const PATIENCE = 4000;
/** So long another page leaves the entry to this one. */
const IN_FRONT = 8000;

/** Forms that now go the plain way. */
const letThrough = new Set();
/** Forms cleared after a save: until something is typed, another tap is the same one. */
const cleared = new WeakSet();

document.addEventListener('submit', event => {
  const form = event.target;
  if (!form.matches('form[data-form]') || letThrough.delete(form)) return;
  event.preventDefault();
  if (form.inert) return;
  if (['more', 'mistake'].includes(event.submitter?.name)) there(form, event.submitter);
  else save(form, event.submitter);
});

for (const kind of ['input', 'change']) {
  document.addEventListener(kind, ({ target: { form } }) => {
    if (!form?.matches('form[data-form]')) return;
    cleared.delete(form);
    total(form);
    drafts.soon(form);
  });
}
document.addEventListener('visibilitychange', drafts.now);
addEventListener('pageshow', () => {
  for (const form of document.querySelectorAll('form[data-form]')) begin(form);
});

/** The sums of what is typed, beside those pencilled on a paper card. */
function total(form) {
  for (const sum of form.querySelectorAll('[data-total]')) {
    const typed = [...form.querySelectorAll(`[data-adds=${sum.dataset.total}]`)];
    const number = one => parseFloat(one.value.replace(',', '.')) || 0;
    sum.value = +typed.reduce((all, one) => all + number(one), 0).toFixed(3);
  }
}

/** A page begins: with what was typed on it before, or as an entry of its own. */
async function begin(form) {
  form.inert = false;
  for (const one of form.querySelectorAll('[data-number]')) one.remove();
  if (!fresh(form) || !isUntouched(form)) return;
  renew(form);
  try {
    if (!await drafts.putBack(form)) await openKept(form);
  } catch {
    note(form, CAN_NOT_KEEP);
  }
}

/** A page out of the browser's cache: swapped for a newer one, or told how old it is. */
async function openKept(form) {
  const at = await keptSince();
  if (!at) return;
  const copy = await newerCopy().catch(() => undefined);
  if (form.inert || !isUntouched(form) || form.contains(document.activeElement)) return;
  if (copy) {
    document.querySelector('main').replaceWith(copy.querySelector('main'));
    return;
  }
  moveDay(form, at);
  note(form, `This page was kept ${moment(at)}: ask whether anyone has sprayed since; `
    + "don't reload this page out here.");
}

/** A day that the page began with, such as the day it was drawn, moves on with the days since. */
function moveDay(form, at) {
  const { day } = document.body.dataset;
  const days = Math.round((new Date().setHours(12) - new Date(at).setHours(12)) / DAY);
  const today = new Date(Date.parse(day) + days * DAY).toISOString().slice(0, 10);
  for (const one of controls(form)) {
    if (one.type === 'date' && one.defaultValue === day) one.value = one.defaultValue = today;
  }
}

/** The page as the browser alone would send it. */
function plain(form, button) {
  form.inert = false;
  letThrough.add(form);
  form.requestSubmit(button);
}

/** What only the farm computer does: drawing more lines, taking a mistake back at once. */
async function there(form, button) {
  await drafts.now(form).catch(() => {});
  if (await contact(PATIENCE, true).catch(() => true)) return plain(form, button);
  note(form, `"${button.innerText}" needs the farm computer, and it is not in reach. `
    + 'What stands here is kept on this phone.');
}

async function save(form, button) {
  if (cleared.has(form)) return note(form, 'Saved; nothing new.');
  form.inert = true;
  const page = pageOf(form, button);
  const draft = drafts.of(form);
  let row;
  try {
    await drafts.settled();
    row = await box.keep(page, titled(), Date.now() + IN_FRONT);
  } catch {
    note(form, CAN_NOT_KEEP);
    return plain(form, button);
  }
  tell();
  note(form, 'Saved on this phone. Looking for the farm computer.');
  const mayAsk = button?.name !== 'keep';
  const answer = await deliver(row, { mayAsk, patience: PATIENCE }).catch(() => ({ went: 'away' }));
  if (answer.house) return location.assign(`/entries/${answer.house}?now=${news(answer)}`);
  if (['asks', 'stuck'].includes(answer.went)) {
    // The farm computer's own page asks or says what is wrong, under the same id.
    const { device, seq } = row.envelope;
    const back = await box.backToDraft(row.key, { ...draft, seq }).then(() => true, () => false);
    if (back) {
      number(form, { device, seq });
      return plain(form, button);
    }
  }
  await stays(form, row, answer).catch(() => {});
}

/** The plain post counts under this phone's own number. */
function number(form, numbers) {
  for (const [name, value] of Object.entries(numbers)) {
    const hidden = element('input', { type: 'hidden', name, value });
    hidden.dataset.number = '';
    form.append(hidden);
  }
}

function news({ went, replayed }) {
  if (replayed) return 'again';
  return went === 'conflict' ? 'both' : 'new';
}

/** The entry waits on the phone; the page is ready for the next one. */
async function stays(form, row, { status }) {
  await box.change(row.key, { front: 0 });
  navigator.storage?.persist?.();
  if (navigator.userActivation?.hasBeenActive) navigator.vibrate?.(60);
  const [said] = counts(await box.entries()).split(' · ');
  form.dispatchEvent(new Event('kept', { bubbles: true }));
  clear(form);
  const why = { undefined: 'away', 401: 'out', 403: 'out' }[status] ?? 'later';
  note(form, `Saved on this phone. ${said.replace('↑ ', '')}. ${form.dataset[why]}`);
  cleared.add(form);
  form.inert = false;
  tell();
  flush();
}
