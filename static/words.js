// Words and small things that the other scripts share: times as people say them, counts, ids.

const DAYS = ['Sun', 'Mon', 'Tue', 'Wed', 'Thu', 'Fri', 'Sat'];
const LONG_DAYS = ['SUNDAY', 'MONDAY', 'TUESDAY', 'WEDNESDAY', 'THURSDAY', 'FRIDAY', 'SATURDAY'];
const MONTHS = ['Jan', 'Feb', 'Mar', 'Apr', 'May', 'June', 'July', 'Aug', 'Sept', 'Oct', 'Nov', 'Dec'];
export const DAY = 24 * 3600 * 1000;

const two = number => String(number).padStart(2, '0');

/** "09:52" today, "Fri 10 Sept 09:52" on another day. */
export function moment(at) {
  const then = new Date(at);
  const clock = `${two(then.getHours())}:${two(then.getMinutes())}`;
  if (then.toDateString() === new Date().toDateString()) return clock;
  return `${DAYS[then.getDay()]} ${then.getDate()} ${MONTHS[then.getMonth()]} ${clock}`;
}

/** "SATURDAY" */
export const longDay = at => LONG_DAYS[new Date(at).getDay()];

/** "1 needs a look", "2 need a look" */
export const needALook = count => `${count} need${count === 1 ? 's' : ''} a look`;

/** "2027-09-10T07:41:03.250-04:00": a moment by this phone's clock, with its offset. */
export function stamp(at) {
  const ahead = -new Date(at).getTimezoneOffset();
  const wall = new Date(at + ahead * 60000).toISOString().slice(0, -1);
  const offset = Math.abs(ahead);
  return `${wall}${ahead < 0 ? '-' : '+'}${two(Math.floor(offset / 60))}:${two(offset % 60)}`;
}

/** A UUIDv7. Not crypto.randomUUID: over plain HTTP a browser does not offer it. */
export function newId() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  let time = Date.now();
  for (let at = 5; at >= 0; at -= 1) {
    bytes[at] = time % 256;
    time = Math.floor(time / 256);
  }
  bytes[6] = 0x70 | (bytes[6] & 0x0f);
  bytes[8] = 0x80 | (bytes[8] & 0x3f);
  const hex = [...bytes].map(byte => byte.toString(16).padStart(2, '0')).join('');
  return hex.replace(/^(.{8})(.{4})(.{4})(.{4})/, '$1-$2-$3-$4-');
}

/** A new element with some properties and what stands in it. */
export function element(name, properties, ...inside) {
  const made = Object.assign(document.createElement(name), properties);
  made.append(...inside);
  return made;
}
