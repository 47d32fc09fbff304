// Brings what lies in the box to the farm computer, one entry at a time, the oldest first, and
// takes for "sent" only what this house itself echoes. Not here: the box (box.js), words (bar.js).

import * as box from './box.js';
import { DAY, newId, stamp } from './words.js';

const MINUTE = 60000;
const PATIENCE = 8000;
const MOST_A_ROUND = 20;
const PAUSES = [2, 5, 15, 30, 60];
/** So long the house's answers stay on the phone, should an older copy be put back there. */
const KEPT_FOR = 30 * DAY;
/** Answers after which the next entry would fare no better. */
const ENDS_A_ROUND = [401, 403, 409, 421, 429, 503, 507];

/** One after the other, the pages of a tab share its lease. */
const thisTab = tab();

function tab() {
  try {
    return sessionStorage.tab ??= newId();
  } catch {
    return newId();
  }
}

/** Asks the house; nothing when no answer came whole and in time. */
async function ask(path, order, patience = PATIENCE) {
  const stop = new AbortController();
  const alarm = setTimeout(() => stop.abort(), patience);
  try {
    const answer = await fetch(path, {
      cache: 'no-store', redirect: 'error', signal: stop.signal, ...order,
    });
    const text = await answer.text();
    return {
      status: answer.status,
      server: answer.headers.get('Endpost-Server'),
      retryAfter: Number(answer.headers.get('Retry-After')) || 0,
      said: read(text),
    };
  } catch {
    return undefined;
  } finally {
    clearTimeout(alarm);
  }
}

function read(text) {
  try {
    return JSON.parse(text) ?? {};
  } catch {
    return {};
  }
}

const json = (method, body) => ({
  method, headers: { 'Content-Type': 'application/json' }, body: JSON.stringify(body),
});

// Every page shows what has changed, whichever page it was that sent.
let channel;
const listeners = [];
export const onChange = act => listeners.push(act);
const told = () => listeners.forEach(act => act());
const hear = () => {
  channel ??= new BroadcastChannel('endpost');
  channel.onmessage = told;
};
const hang = () => {
  channel?.close();
  channel = undefined;
};
export function tell() {
  channel?.postMessage('changed');
  told();
}

/** Whether the house answers; unless it is asked anew, also whether it did within the last minute
    and nothing has failed since. Learns
    its epoch, and offers again what an older copy of the data lacks. */
export async function contact(patience, anew) {
  const before = await box.known('house');
  const isOurs = before.server === document.body.dataset.server;
  if (!anew && !doubtful && isOurs && Math.abs(Date.now() - (before.reached ?? 0)) < MINUTE) return before;
  doubtful = true;
  const answer = await ask('/api/ping', {}, patience);
  const { server_id: server, db_epoch: epoch, app } = answer?.said ?? {};
  if (!server || answer.server !== server) {
    await box.learn('house', { trouble: answer && 'stranger' });
    return undefined;
  }
  if (before.app !== app) await unstick();
  const house = { server, app, reached: Date.now(), trouble: undefined };
  await box.learn('house', house);
  doubtful = false;
  await compare(server, epoch);
  return house;
}

let doubtful = false;

/** What another version of the program could not take, this one may. */
async function unstick() {
  for (const row of await box.entries()) {
    if (row.state === 'stuck') await box.change(row.key, { state: 'waiting' });
  }
}

const mayBeOf = (row, server) => (row.envelope.server_id ?? server) === server;

/** Asks what became of what was sent: all of it when the database is another, else only what may
    have moved. Tells on the way how much still waits. */
async function compare(server, epoch) {
  const { [server]: before } = await box.known('epochs');
  const rows = (await box.entries()).filter(row => mayBeOf(row, server));
  const { device, seq } = await box.known('phone');
  if (device) {
    const waiting = rows.filter(row => row.state === 'waiting').length;
    const old = row => row.state === 'sent' && Date.now() - row.sent > KEPT_FOR;
    const asked = rows.filter(row => row.house
      && (before !== epoch || row.state !== 'sent' || old(row)));
    for (let at = 0; at === 0 || at < asked.length; at += 200) {
      const some = asked.slice(at, at + 200);
      const ids = some.map(row => row.house);
      const answer = await ask('/api/receipts', json('POST', { device, seq, waiting, ids }));
      if (answer?.server !== server || !answer.said.receipts) return;
      for (const row of some) await receive(row, answer.said.receipts[row.house], old(row));
    }
  }
  if (before !== epoch) await box.learn('epochs', { [server]: epoch });
}

async function receive(row, receipt, old) {
  const state = { unknown: 'waiting', stored: 'sent', void: 'sent' }[receipt] ?? receipt;
  if (state === 'sent' && old) await box.remove(row.key);
  else if (state && state !== row.state) await box.change(row.key, { state, front: 0 });
}

/** Whether an answer shows that this house holds this entry: the id, every text. */
function proves(envelope, { server, said }) {
  if (server !== said.server_id) return false;
  const echoed = said.fields ?? {};
  return said.id === envelope.id && Object.entries(envelope.fields).every(([name, texts]) => {
    const back = [echoed[name] ?? []].flat();
    return [texts].flat().every(text => text === '' || back.includes(text));
  });
}

const BECAME = { stored: 'sent', held: 'held', kept_both: 'conflict', conflict: 'conflict' };

/** Offers one entry; gives back how it went: "away", "asks", or how it stands now. */
export async function deliver(row, { mayAsk = false, patience } = {}) {
  const envelope = {
    ...row.envelope, sent_at: stamp(Date.now()), attempt: row.attempt + 1, may_ask: mayAsk,
  };
  const order = json('PUT', envelope);
  const answer = await ask(`/api/entries/${envelope.id}`, order, patience);
  await box.change(row.key, { attempt: envelope.attempt });
  if (!answer) return away();
  const { status, server, said, retryAfter } = answer;
  if (!server || server !== (envelope.server_id ?? server)) {
    if (!server) await box.learn('house', { trouble: 'stranger' });
    return away();
  }
  if (said.state === 'asks' && mayAsk) return { went: 'asks' };
  if (BECAME[said.state] && status < 300 && proves(envelope, answer)) {
    const more = {
      state: BECAME[said.state], house: said.id2 ?? said.id, sent: Date.now(), front: 0,
      problems: said.problems,
    };
    await box.learn('house', { server, reached: Date.now(), trouble: undefined });
    await box.change(row.key, more);
    const { [server]: epoch } = await box.known('epochs');
    if (epoch !== said.db_epoch) await compare(server, said.db_epoch);
    return { went: more.state, ...more, replayed: said.replayed };
  }
  if (said.state === 'unreadable') {
    await box.change(row.key, { state: 'stuck', why: said.why, front: 0 });
    return { went: 'stuck' };
  }
  if (status === 507) await box.learn('house', { trouble: 'full' });
  if (retryAfter) pauseUntil = Date.now() + Math.min(retryAfter * 1000, 5 * MINUTE);
  return ENDS_A_ROUND.includes(status) ? away(status) : { went: 'later', status };
}

/** What comes next asks first whether the house is there. */
function away(status) {
  doubtful = true;
  return { went: 'away', status };
}

let pauseUntil = 0;
let running;
let failures = 0;
let timer;

/** Sends what waits, if the house answers. */
export function flush() {
  running ??= round()
    .catch(() => false)
    .then(went => {
      failures = went ? 0 : failures + 1;
      running = undefined;
      tell();
      return schedule();
    });
  return running;
}

async function round() {
  if (Date.now() < pauseUntil) return false;
  // Another tab sends, or was killed while it did.
  if (!await box.lease(thisTab)) return true;
  try {
    const house = await contact();
    if (!house) return false;
    const ready = row => row.state === 'waiting' && mayBeOf(row, house.server) && !isInFront(row);
    const rows = await box.entries();
    let moves = rows.some(isInFront);
    let left = MOST_A_ROUND;
    for (const row of rows.filter(ready)) {
      if (left === 0) break;
      await box.lease(thisTab);
      const { went } = await deliver(row);
      tell();
      if (went === 'away') return false;
      // One that the house can't take now keeps no other from its turn.
      if (went === 'later') continue;
      left -= 1;
      moves = true;
    }
    return moves;
  } finally {
    await box.endLease(thisTab);
  }
}

/** A page is still showing this entry to somebody who may be asked about it. */
const isInFront = ({ front }) => front > Date.now() && front < Date.now() + MINUTE;

async function schedule() {
  clearTimeout(timer);
  const waits = (await box.entries()).some(row => row.state === 'waiting');
  if (!waits) failures = 0;
  if (!waits || document.hidden) return;
  const pause = PAUSES[Math.min(failures, PAUSES.length - 1)] * (0.8 + Math.random() * 0.4);
  timer = setTimeout(flush, pause * 1000);
}

/** Sends when something hints that the house may be in reach again. None of it is relied on. */
export function listen() {
  const again = () => {
    if (document.hidden) return;
    failures = 0;
    flush();
  };
  addEventListener('pageshow', () => {
    hear();
    again();
  });
  addEventListener('pagehide', hang);
  document.addEventListener('visibilitychange', again);
  addEventListener('focus', again);
  addEventListener('online', again);
}
