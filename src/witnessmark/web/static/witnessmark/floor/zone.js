/** Time as people say it, in the plant's zone; instants stay UTC. The clock is put right by what the
 * last sync measured. */

const MINUTE_MS = 60_000;

/** @param {Date} date @param {string} zone @returns {Record<string, number>} */
function parts(date, zone) {
  const format = new Intl.DateTimeFormat("en-GB", {
    timeZone: zone, hourCycle: "h23", year: "numeric", month: "numeric", day: "numeric",
    hour: "numeric", minute: "numeric", second: "numeric",
  });
  return Object.fromEntries(format.formatToParts(date).map((p) => [p.type, Number(p.value)]));
}

/** What the zone's wall clock is ahead of UTC at an instant. @param {Date} date @param {string} zone */
function aheadMs(date, zone) {
  const p = parts(date, zone);
  const wall = Date.UTC(p.year, p.month - 1, p.day, p.hour, p.minute, p.second);
  return wall - Math.floor(date.getTime() / 1000) * 1000;
}

/**
 * A time of day nearest to now in one direction: "05:10" said at 23:00 is tomorrow's when it is
 * something to come, today's when it is something that was.
 * @param {string} clock as 05:10 @param {string} zone @param {"past" | "future"} toward
 * @param {Date} now @returns {Date}
 */
export function nearest(clock, zone, toward, now) {
  const [hour, minute] = clock.split(":").map(Number);
  const today = parts(now, zone);
  const days = toward === "past" ? [0, -1] : [0, 1];
  const found = days.map((day) => {
    const wall = Date.UTC(today.year, today.month - 1, today.day + day, hour, minute);
    const guess = new Date(wall - aheadMs(new Date(wall), zone));
    return new Date(wall - aheadMs(guess, zone));
  });
  const slack = toward === "past" ? MINUTE_MS : -MINUTE_MS;
  const fits = (/** @type {Date} */ at) =>
    toward === "past" ? at.getTime() <= now.getTime() + slack : at.getTime() >= now.getTime() + slack;
  return found.find(fits) ?? found[1];
}

/** @param {Date} date @param {string} zone @returns {string} as 05:10 */
export function clockOf(date, zone) {
  const p = parts(date, zone);
  return `${String(p.hour).padStart(2, "0")}:${String(p.minute).padStart(2, "0")}`;
}

/** @param {Date} date @param {string} zone @param {Date} now */
export function dayAndClock(date, zone, now) {
  const clock = clockOf(date, zone);
  const day = new Intl.DateTimeFormat("en-GB", { timeZone: zone, weekday: "short", day: "numeric", month: "short" });
  return day.format(date) === day.format(now) ? clock : `${day.format(date)} ${clock}`;
}

/** An instant as events write it. @param {Date} date */
export function written(date) {
  return `${date.toISOString().slice(0, 19)}Z`;
}

/** How long, in words: "4 min", "2 h 10 min". @param {number} ms */
export function long(ms) {
  const minutes = Math.floor(Math.abs(ms) / MINUTE_MS);
  if (minutes < 1) return "under a minute";
  if (minutes < 60) return `${minutes} min`;
  const hours = Math.floor(minutes / 60);
  if (hours < 48) return `${hours} h ${minutes % 60} min`;
  return `${Math.floor(hours / 24)} days`;
}
