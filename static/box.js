// The box on this phone: entries that were saved, pages that are being typed, and what the phone
// knows of the farm computer. IndexedDB; what is put in is on the disk before it is said to be.
// Not here: sending (send.js) and what a form holds (form.js).

import { newId } from './words.js';

const LONGEST = 10000;

/** Deals out the stores of one transaction. A phone may close the database behind a page's back,
    so it is opened afresh for every deal, and a deal that fails is tried once more
    a moment later. */
export async function deal(names, work, mode = 'readwrite') {
  try {
    return await inTime(once(names, work, mode));
  } catch {
    await new Promise(done => { setTimeout(done, 300); });
    return inTime(once(names, work, mode));
  }
}

function inTime(promise) {
  return Promise.race([promise, new Promise((_, fail) => {
    setTimeout(fail, LONGEST, new Error('the box does not answer'));
  })]);
}

async function once(names, work, mode) {
  const box = await open();
  try {
    return await new Promise((done, fail) => {
      const transaction = box.transaction(names, mode, { durability: 'strict' });
      let result;
      transaction.oncomplete = () => done(result);
      transaction.onabort = () => fail(transaction.error);
      work(...names.map(name => transaction.objectStore(name)))
        .then(value => { result = value; }, fault => { fail(fault); transaction.abort(); });
    });
  } finally {
    box.close();
  }
}

function open() {
  return new Promise((done, fail) => {
    const asked = indexedDB.open('endpost', 1);
    // Only ever adds: whatever lies in the box stays there.
    asked.onupgradeneeded = () => {
      for (const [name, keyPath] of [['entries', 'key'], ['drafts', 'id'], ['meta', 'key']]) {
        if (!asked.result.objectStoreNames.contains(name)) {
          asked.result.createObjectStore(name, { keyPath });
        }
      }
    };
    asked.onsuccess = () => done(asked.result);
    asked.onerror = () => fail(asked.error);
  });
}

/** What a request of a store gives. */
export function got(request) {
  return new Promise((done, fail) => {
    request.onsuccess = () => done(request.result);
    request.onerror = () => fail(request.error);
  });
}

const inOrder = rows => rows.sort((one, other) => one.envelope.seq - other.envelope.seq);

/** All entries, the oldest first. */
export const entries = () =>
  deal(['entries'], async store => inOrder(await got(store.getAll())), 'readonly');

/** What the phone knows under a name. */
export const known = async key =>
  (await deal(['meta'], store => got(store.get(key)), 'readonly')) ?? { key };

/** Writes down more of what the phone knows under a name. */
export const learn = (key, more) => deal(['meta'], async store => {
  const before = await got(store.get(key));
  await got(store.put({ ...before, ...more, key }));
});

/** Changes an entry that is still there, and gives it back. */
export const change = (key, more) => deal(['entries'], async store => {
  const row = await got(store.get(key));
  if (!row) return undefined;
  Object.assign(row, more);
  await got(store.put(row));
  return row;
});

export const remove = key => deal(['entries'], store => got(store.delete(key)));

/** Puts a saved page into the box and takes its draft out. The same page again is the entry that
    is there already; the same id with other texts lies beside it, since the house keeps both. */
export async function keep(page, what, front) {
  const row = await deal(['entries', 'drafts', 'meta'], async (rows, drafts, meta) => {
    const all = await got(rows.getAll());
    const twins = all.filter(one => one.envelope.id === page.id);
    const same = twins.find(one => sameTexts(one.envelope.fields, page.fields));
    // An entry that was asked about has its number already.
    const draft = await got(drafts.get(page.id));
    await got(drafts.delete(page.id));
    if (same) return same;
    const phone = await got(meta.get('phone')) ?? { key: 'phone', device: newId(), seq: 0 };
    const seq = draft?.seq ?? phone.seq + 1;
    await got(meta.put({ ...phone, seq: Math.max(seq, phone.seq) }));
    const made = {
      key: twins.length ? `${page.id} ${twins.length + 1}` : page.id,
      state: 'waiting', what, at: Date.now(), attempt: 0, front,
      envelope: { v: 1, device: phone.device, seq, ...page },
    };
    await got(rows.put(made));
    return made;
  });
  const again = await deal(['entries'], rows => got(rows.get(row.key)), 'readonly');
  if (!again || !sameTexts(again.envelope.fields, page.fields)) throw new Error('not kept');
  return again;
}

/** Takes an entry that the house asks about back into a draft. */
export const backToDraft = (key, draft) => deal(['entries', 'drafts'], async (rows, drafts) => {
  await got(drafts.put(draft));
  await got(rows.delete(key));
});

const spread = fields => JSON.stringify(
  Object.entries(fields).map(([name, texts]) => [name, [texts].flat()]).sort());
export const sameTexts = (one, other) => spread(one) === spread(other);

export const putDraft = draft => deal(['drafts'], async store => {
  const before = await got(store.get(draft.id));
  await got(store.put({ ...before, ...draft }));
});
export const dropDraft = id => deal(['drafts'], store => got(store.delete(id)));

/** What was being typed, the newest first. */
export const drafts = () => deal(['drafts'], async store =>
  (await got(store.getAll())).sort((one, other) => other.at - one.at), 'readonly');

/** One tab at a time sends. The lease runs out by itself, should its tab be closed; one that lies
    too far ahead was taken before the clock was set back. */
export const lease = tab => deal(['meta'], async meta => {
  const held = await got(meta.get('lease'));
  const ahead = held ? held.until - Date.now() : 0;
  if (held && held.tab !== tab && ahead > 0 && ahead < 60000) return false;
  await got(meta.put({ key: 'lease', tab, until: Date.now() + 12000 }));
  return true;
});

export const endLease = tab => deal(['meta'], async meta => {
  const held = await got(meta.get('lease'));
  if (held?.tab === tab) await got(meta.delete('lease'));
});
