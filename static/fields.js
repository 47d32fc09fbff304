// What stands in the fields of a form: read for the farm computer as a plain post would send it,
// filled in again, cleared for the next entry. Not here: when (form.js).

import { element, newId, stamp } from './words.js';

/** What belongs to the page and not to what is typed. */
const OF_THE_PAGE = ['entry_id', 'form_version', 'subject', 'base', 'person', 'card_code',
  'device', 'seq', 'keep', 'more', 'tap', 'asking'];
/** The mark of a page copied from paper. Some forms have a day under the same name. */
const isPaper = (name, text) => name === 'from' && text === 'paper';

/** Fields as a person fills them. */
export const controls = form => [...form.elements].filter(one => one.name
  && !['hidden', 'submit', 'button', 'fieldset'].includes(one.type));

/** Whether the farm computer drew this page for a new start, with nothing typed on it. */
export const fresh = form => 'fresh' in form.dataset;

export const isUntouched = form => controls(form).every(one => {
  if ('defaultChecked' in one && ['radio', 'checkbox'].includes(one.type)) {
    return one.checked === one.defaultChecked;
  }
  if (!one.options) return one.value === one.defaultValue;
  const first = [...one.options].findIndex(option => option.defaultSelected);
  return one.selectedIndex === Math.max(first, 0);
});

/** The page becomes an entry of its own. */
export function renew(form) {
  form.elements.entry_id.value = newId();
}

/** The page as the farm computer takes it: the same texts that a plain post would store. */
export function pageOf(form, button) {
  const data = new FormData(form);
  const own = name => data.get(name) || null;
  const fields = {};
  const add = (name, text) => {
    const line = text.replace(/\r\n?|\n/g, '\r\n');
    fields[name] = name in fields ? [fields[name], line].flat() : line;
  };
  for (const [name, text] of data) {
    if (!OF_THE_PAGE.includes(name) && !isPaper(name, text)) add(name, text);
  }
  // A plain save settles what the page asks; a tapped answer, or keeping as typed, leaves it open.
  if (button?.name === 'tap') add('answer', button.value);
  else if (button?.name !== 'keep') for (const key of data.getAll('asking')) add('asked', key);
  return {
    id: own('entry_id') ?? newId(),
    form: form.dataset.form,
    form_version: Number(own('form_version')) || 1,
    subject: own('subject'), base: own('base'), person: own('person'),
    card_code: own('card_code'), from_paper: [...data].some(([name, text]) => isPaper(name, text)),
    fields, entered_at: stamp(Date.now()),
    server_id: document.body.dataset.server || null,
  };
}

/** What a person typed, as pairs of name and text. */
export function typedOn(form) {
  const names = new Set(controls(form).map(one => one.name));
  const left = [...form.querySelectorAll('[data-left]')].map(one => one.name);
  return [...new FormData(form)].filter(([name]) => names.has(name) || left.includes(name));
}

/** Types it again. What this page has no field for goes along unseen, and is given back. */
export function typeAgain(form, pairs) {
  const texts = {};
  for (const [name, text] of pairs) (texts[name] ??= []).push(text);
  const there = controls(form);
  for (const one of there) {
    const some = texts[one.name] ?? [];
    if (['radio', 'checkbox'].includes(one.type)) one.checked = some.includes(one.value);
    else one.value = some.shift() ?? '';
  }
  for (const fold of form.querySelectorAll('details')) {
    fold.open ||= there.some(one => fold.contains(one) && (one.checked ?? one.value) && texts[one.name]);
  }
  const names = new Set(there.map(one => one.name));
  const left = pairs.filter(([name, text]) => text && !names.has(name));
  for (const [name, value] of left) {
    const hidden = element('input', { type: 'hidden', name, value });
    hidden.dataset.left = '';
    form.append(hidden);
  }
  return left.map(([, text]) => text);
}

/** What a page is about: "New sample, C Vidal". */
export const titled = (page = document) => [...page.querySelectorAll('h1, [name=block]:checked + span')]
  .map(one => one.textContent).join(', ');

/** Ready for the next entry of the same kind: what is alike in a row of them stays. */
export function clear(form) {
  if (form.elements.subject) {
    form.hidden = true;
    return;
  }
  const carried = controls(form).filter(one => one.closest('[data-carry]'))
    .map(one => [one, one.value, one.checked]);
  form.reset();
  if (!fresh(form)) empty(form);
  for (const one of form.querySelectorAll('[data-left]')) one.remove();
  for (const [one, value, checked] of carried) Object.assign(one, { value, checked });
  renew(form);
  form.querySelector('[inputmode=decimal], [inputmode=numeric]')?.focus();
}

/** A page drawn with what was typed holds that as its start: here it goes, with all that was
    asked about it. */
function empty(form) {
  for (const one of controls(form)) {
    if (['radio', 'checkbox'].includes(one.type)) one.checked = false;
    else if (one.options) one.selectedIndex = 0;
    else one.value = '';
    one.removeAttribute('aria-invalid');
  }
  for (const one of form.querySelectorAll('.asks')) one.classList.remove('asks');
  const asked = '.summary, .problem, [name=answer], [name^=ask], [name=seq]';
  for (const one of form.querySelectorAll(asked)) one.remove();
}

/** Says something above the form, with buttons that do something about it. */
export function note(form, text, ...buttons) {
  const before = form.previousElementSibling;
  const place = before?.matches('.told') ? before
    : element('p', { className: 'told stored', role: 'status' });
  if (place !== before) form.before(place);
  place.replaceChildren(text, ...buttons.map(([label, act]) =>
    element('button', { type: 'button', className: 'second', onclick: act }, label)));
  place.hidden = !text;
  // Whoever has tapped Save stands at the foot of the page.
  place.scrollIntoView({ block: 'nearest' });
}
