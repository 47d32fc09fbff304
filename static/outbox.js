// The page of what lies on this phone: every entry with its state in words, sending by hand, and
// the rescue by file or text. The text's format is the one of src/web/phones/pasted.rs.

import { counts } from './bar.js';
import * as box from './box.js';
import { keptPages } from './keep.js';
import { flush, onChange } from './send.js';
import { element, moment } from './words.js';

const STATES = {
  waiting: () => 'Saved on this phone, waiting for the farm computer.',
  sent: row => `On the farm computer since ${moment(row.sent)}.`,
  held: row => `Kept as typed; it needs a look. ${(row.problems ?? []).join(' ')}`,
  conflict: () => 'Two versions are kept; somebody has to pick.',
  stuck: row => `The farm computer can't take it. Show this phone there. ${row.why ?? ''}`,
};

const find = id => document.getElementById(id);
const item = (head, words, link) => element('li', {}, element('h3', {}, head), element('p', {}, words),
  ...link ? [element('p', {}, element('a', link))] : []);

async function draw() {
  const rows = await box.entries();
  const kept = [...await box.drafts()].map(draft =>
    item(draft.what, `Typed ${moment(draft.at)}, not saved yet.`, { href: draft.page, innerText: 'Open the page' }));
  const shown = rows.reverse().map(row => item(`${row.what} ${glance(row)}`,
    `Typed ${moment(row.at)}. ${STATES[row.state](row)}`,
    row.house && { href: `/entries/${row.house}`, innerText: 'See it on the farm computer' }));
  find('lies-here').replaceChildren(...kept, ...shown);
  find('count').textContent = `${counts(rows)}.`;
  find('rescue').hidden = !rows.length;
  const pages = (await keptPages()).filter(page => page.path !== '/outbox');
  find('kept').replaceChildren(...pages.map(({ path, what, at }) => element('li', {},
    element('a', { href: path }, what, element('span', { className: 'soft' }, ` kept ${moment(at)}`)))));
}

/** The first few short texts: enough to know it again. */
const glance = ({ envelope: { fields } }) => Object.entries(fields)
  .filter(([name, text]) => name !== 'units' && text.trim?.() && text.length < 12)
  .slice(0, 4).map(([, text]) => text).join(' · ');

/** As JSON in plain ASCII without blanks, so that what a mail program adds can be told from it. */
const packed = envelope => JSON.stringify(envelope).replace(/[^!-=?-~]/g,
  letter => `\\u${letter.charCodeAt(0).toString(16).padStart(4, '0')}`);

function checksum(text) {
  let crc = ~0;
  for (let at = 0; at < text.length; at += 1) {
    crc ^= text.charCodeAt(at);
    for (let bit = 0; bit < 8; bit += 1) crc = (crc >>> 1) ^ (crc & 1 ? 0xedb88320 : 0);
  }
  return (~crc >>> 0).toString(16).padStart(8, '0');
}

/** All that the farm computer may not have. */
async function asText() {
  const rows = (await box.entries()).filter(row => row.state !== 'sent');
  const lines = rows.map(({ envelope }) => packed(envelope))
    .map(line => `${checksum(line)} ${line}`);
  return ['Endpost entries 1', ...lines, ''].join('\n');
}

find('send-now').onclick = async () => {
  await flush();
  find('not-taken').hidden = !(await box.entries()).some(row => row.state === 'waiting');
};
find('as-file').onclick = async () => {
  const href = URL.createObjectURL(new Blob([await asText()], { type: 'text/plain' }));
  element('a', { href, download: 'endpost-entries.txt' }).click();
  setTimeout(() => URL.revokeObjectURL(href), 60000);
};
find('as-text').onclick = async () => {
  const text = find('text');
  text.value = await asText();
  text.parentElement.hidden = false;
  text.select();
};
find('copy').onclick = () => {
  find('text').select();
  // The newer way to copy is not offered over plain HTTP.
  document.execCommand('copy');
};

onChange(draw);
draw();
