// The bar on every page: what still waits on this phone, what needs a look, and when the farm
// computer was reached last. In words with a sign, never by colour alone.

import * as box from './box.js';
import { DAY, element, longDay, moment, needALook } from './words.js';

export const CAN_NOT_KEEP =
  "This phone can't keep entries; save only where the farm computer is in reach.";

/** Draws the bar from what lies in the box. */
export async function drawBar() {
  const bar = document.getElementById('sent');
  if (!bar) return;
  try {
    const rows = await box.entries();
    show(bar, counts(rows), below(rows, await box.known('house')), urgency(rows));
  } catch {
    show(bar, '! Not kept here', CAN_NOT_KEEP, 'late');
  }
}

function show(bar, said, more, className) {
  bar.replaceChildren(element('a', { href: '/outbox' },
    element('strong', {}, said), ' ', element('span', { className: 'soft' }, more)));
  bar.className = className;
}

const waiting = rows => rows.filter(row => row.state === 'waiting');

export function counts(rows) {
  const waits = waiting(rows).length;
  const look = rows.filter(row => !['waiting', 'sent'].includes(row.state)).length;
  const said = [waits && `↑ ${waits} waiting`, look && `! ${needALook(look)}`].filter(Boolean);
  return said.join(' · ') || '✓ All sent';
}

function below(rows, { server, reached, trouble }) {
  const [oldest] = waiting(rows);
  if (oldest && age(oldest) > 4 * DAY) {
    return `Bring this phone into range before ${longDay(oldest.at + 7 * DAY)}`;
  }
  const isForeign = row => server && row.envelope.server_id && row.envelope.server_id !== server;
  if (waiting(rows).some(isForeign)) {
    return "Another farm's computer answers at this address; it got nothing.";
  }
  if (trouble === 'stranger') return 'Something else answers at this address; it got nothing.';
  if (trouble === 'full') return "The farm computer's disk is full; what you typed is kept on this phone.";
  if (oldest && age(oldest) > DAY) return `Waiting since ${moment(oldest.at)}; bring this phone into range`;
  return reached ? `Last reached the farm computer ${moment(reached)}` : 'Farm computer not reached yet';
}

const age = row => Date.now() - row.at;

function urgency(rows) {
  const [oldest] = waiting(rows);
  if (!oldest) return '';
  return age(oldest) > 4 * DAY ? 'last' : age(oldest) > DAY ? 'late' : 'waits';
}
