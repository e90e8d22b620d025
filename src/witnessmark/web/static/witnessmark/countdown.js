/**
 * Times that count on: every [data-until] says how long its window is still open, as the server
 * worded it (templatetags/working.py). The server's clock counts, not this machine's.
 */

const MINUTE = 60_000;
const SOON = 60;
const DAY = 24 * 60;
const loaded = Date.now();

/** @param {number} minutes whole minutes, positive */
function worded(minutes) {
  if (minutes < SOON) return `${minutes} min`;
  if (minutes < DAY) return `${Math.floor(minutes / 60)} h ${String(minutes % 60).padStart(2, "0")}`;
  return `${Math.floor(minutes / DAY)} d`;
}

function tell() {
  for (const time of document.querySelectorAll("time[data-until]")) {
    if (!(time instanceof HTMLTimeElement)) continue;
    const now = Date.parse(time.dataset.now ?? "") + (Date.now() - loaded);
    const left = (Date.parse(time.dateTime) - now) / MINUTE;
    if (Number.isNaN(left)) continue;
    const told = worded(Math.round(Math.abs(left)));
    const text = left > 0 ? `closes in ${told}` : `closed ${told} ago`;
    if (time.textContent !== text) time.textContent = text;
    time.parentElement?.classList.toggle("urgent", left < SOON);
  }
}

setInterval(tell, 15_000);
