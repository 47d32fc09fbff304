// On the page of a walk: the value so far, the spare vines, and whether the block is still open.
// Not here: keeping what is typed (form.js), the same sum at the farm computer
// (src/science/ripeness/walk/running.rs, to which a test holds this one).

import { contact, onChange } from './send.js';

const MINUTE = 60000;
const WORDS = ['no', 'one', 'two', 'three', 'four', 'five', 'six', 'seven', 'eight', 'nine'];

const walk = () => document.querySelector('form.walk');
const stops = form => [...form.querySelectorAll('.stop')];
const numbers = list => (list ? list.trim().split(' ').map(Number) : []);
const field = (stop, part) => stop.querySelector(`[name="${part}_${stop.dataset.at}"]`);
const reason = stop => stop.querySelector('[name^=why_]:checked')?.value;
const isTyped = stop => field(stop, 'read')?.value || field(stop, 'done')?.checked || reason(stop);
const mean = values => values.reduce((sum, value) => sum + value, 0) / values.length;
const shown = value => (Math.round(value * 10 + 1e-9) / 10).toFixed(1);

let closed = false;
let current;

const text = stop => field(stop, 'read')?.value.trim().replace(',', '.') ?? '';
/** What juice usually reads; the farm computer asks about the rest. */
const isUsual = typed => /^\d\d?(\.\d+)?$/.test(typed) && typed >= 4 && typed <= 32;
const isDoubtful = stop => text(stop) !== '' && !isUsual(text(stop));

/** One value for each vine that was read, here or by somebody else. */
function values(form) {
  const used = new FormData(form).get('instrument');
  const zeros = form.dataset.zeros.split(' ');
  const zero = used ? Number(zeros[zeros.indexOf(used) + 1]) : 0;
  return stops(form).map(stop => {
    const own = isUsual(text(stop)) ? [text(stop) - zero] : [];
    return [...numbers(stop.dataset.kept), ...own];
  }).filter(read => read.length).map(mean);
}

/** Mean, half-width of the 95 % interval, and the stops still wanted. */
function sum(read, { vines, wanted, between, within, ownFrom, most, normal, student }) {
  const count = read.length;
  const middle = mean(read);
  const own = count >= ownFrom
    && Math.sqrt(read.reduce((all, one) => all + (one - middle) ** 2, 0) / (count - 1));
  const block = vines >= count ? Number(vines) : Infinity;
  const halfWidth = all => {
    if (all > block) return NaN;
    const rest = 1 - all / block;
    return own === false
      ? normal * Math.sqrt(between ** 2 / all * rest + within ** 2 / all)
      : numbers(student)[all - ownFrom] * Math.sqrt(own * own / all * rest);
  };
  let all = count;
  while (all <= Math.max(most, count) && !(halfWidth(all) <= wanted)) all += 1;
  return { count, middle, halfWidth: halfWidth(count), more: all > most ? undefined : all - count };
}

function farther(more, wanted) {
  if (more === 0) return ` That is within the wanted ± ${shown(wanted)}.`;
  if (!more) return ` ± ${shown(wanted)} is out of reach of a walk here.`;
  const word = WORDS[more] ?? String(more);
  return ` ${word[0].toUpperCase()}${word.slice(1)} more should bring it to ± ${shown(wanted)}.`;
}

function say(place, text) {
  if (place && place.textContent !== text) place.textContent = text;
}

function tellValue(form) {
  const { stops: all, wanted } = form.dataset;
  const soFar = form.querySelector('#so-far');
  if (!('read' in form.dataset)) {
    const ticked = stops(form).filter(stop => field(stop, 'done').checked);
    return say(soFar, `${ticked.length} of ${all} stops.`);
  }
  const read = values(form);
  const { count, middle, halfWidth, more } = sum(read, form.dataset);
  say(form.querySelector('#value'),
    count ? `${shown(middle)} °Brix ± ${shown(halfWidth)}` : 'No reading yet');
  const doubts = stops(form).filter(isDoubtful).length;
  say(soFar, `${count} of ${all} stops${doubts ? `, ${doubts} to look at` : ''}.`
    + (count && wanted ? farther(more, wanted) : ''));
}

/** Stops to go to: spare vines only for those passed over, none in a block that is closed. */
function showStops(form) {
  const passed = stops(form).filter(reason).length;
  const spares = [...form.querySelectorAll('.spares .stop')];
  for (const stop of stops(form)) {
    const waits = closed || spares.indexOf(stop) >= passed;
    stop.hidden = waits && !isTyped(stop);
    stop.querySelector('.doubt').hidden = !isDoubtful(stop);
  }
  const none = spares.every(stop => stop.hidden);
  for (const one of form.querySelectorAll('#spares, #spares + p')) one.hidden = none;
}

function draw() {
  const form = walk();
  if (!form) return;
  form.classList.add('scripted');
  form.querySelector('#pass').hidden = closed;
  tellValue(form);
  showStops(form);
}

/** Opens the reasons of the vine that is being looked at, or of the next one. */
function pass(form) {
  const next = current?.isConnected && !current.hidden ? current
    : stops(form).find(stop => !stop.hidden && !isTyped(stop));
  if (!next) return;
  next.querySelector('details').open = true;
  next.querySelector('[name^=why_]').focus();
}

/** What the farm computer knows by now. */
async function look() {
  const form = walk();
  if (!form || document.hidden || !await contact()) return;
  const answer = await fetch(form.dataset.state, { signal: AbortSignal.timeout(8000) });
  if (answer.headers.get('Endpost-Server') !== document.body.dataset.server) return;
  const { is_closed: isClosed, entry, kept } = await answer.json();
  closed = isClosed;
  say(document.querySelector('#entry'), entry);
  say(document.querySelector('#closed strong'), closed ? entry : '');
  document.querySelector('#closed').hidden = !closed;
  for (const { at, brix, words } of kept) {
    for (const stop of stops(form).filter(one => one.dataset.at === at)) {
      stop.dataset.kept = brix.join(' ');
      say(stop.querySelector('.kept'), words.join('; '));
    }
  }
  draw();
}

/** What was kept on this phone stays in sight, and in the sum, when the page is cleared for the
    rest of the walk. */
function keep({ target: form }) {
  if (!form.matches('.walk')) return;
  for (const stop of stops(form).filter(one => text(one) || reason(one))) {
    const said = text(stop) || 'passed over';
    if (isUsual(text(stop))) stop.dataset.kept += ` ${text(stop)}`;
    say(stop.querySelector('.kept'), `${said}, kept on this phone`);
  }
}

const lookQuietly = () => look().catch(() => {});

for (const kind of ['input', 'change']) document.addEventListener(kind, draw);
document.addEventListener('kept', keep);
document.addEventListener('focusin', ({ target }) => { current = target.closest('.stop') ?? current; });
document.addEventListener('click', ({ target }) => { if (target.id === 'pass') pass(walk()); });
// Drafts come back, and a newer copy of the page takes the place of this one.
new MutationObserver(draw).observe(document.body, { childList: true, subtree: true });
addEventListener('pageshow', draw);
onChange(lookQuietly);
setInterval(lookQuietly, MINUTE);
