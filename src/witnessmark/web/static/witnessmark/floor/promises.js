/**
 * What was promised and is still open, the window that closes first on top.
 *
 * @typedef {import("./notebook.js").Notebook} Notebook
 * @typedef {{id: string, what: string, with_role: string, place: string, latest: string, window: string}} Promised
 */

import { dayAndClock, long } from "./zone.js";

const SOON_MS = 15 * 60_000;
const OVER_MS = 20 * 60_000;

/** Those of the audit, and those written here since; without those settled here.
 * @param {Notebook} notebook @returns {Promise<Promised[]>} */
export async function openPromises(notebook) {
  const known = /** @type {Promised[]} */ (notebook.known?.promises ?? []);
  const found = new Map(known.map((one) => [one.id, one]));
  const asked = notebook.known?.fetched_at ?? 0;
  for (const item of await notebook.outbox.items(notebook.audit)) {
    if (!["step-promised", "promise-settled"].includes(item.kind)) continue;
    if (item.state !== "waiting" && !(item.state === "kept" && item.keptAt > asked)) continue;
    const { told } = await notebook.outbox.content(item);
    if (item.kind === "promise-settled") found.delete(told.body.promise);
    else {
      const { what, with_role = "", place = "", latest = "", window = "" } = told.body;
      const id = told.supersedes || told.id;
      found.set(id, { id, what, with_role, place, latest, window });
    }
  }
  return [...found.values()].sort((a, b) => (a.latest || "9").localeCompare(b.latest || "9"));
}

/** @param {HTMLElement} list @param {Promised[]} promises @param {Notebook} notebook
 * @param {(promise: Promised) => void} settle */
export function drawPromises(list, promises, notebook, settle) {
  list.replaceChildren(...promises.map((promise) => {
    const li = document.createElement("li");
    const words = document.createElement("p");
    words.className = "entry-words";
    words.textContent = promise.what;
    const under = document.createElement("p");
    under.className = "entry-under";
    const facts = [promise.with_role && `with ${promise.with_role}`, promise.place, promise.window];
    under.append(closing(promise, notebook), ...facts.filter(Boolean).map((fact) => {
      const span = document.createElement("span");
      span.textContent = fact;
      return span;
    }));
    const button = document.createElement("button");
    button.type = "button";
    button.className = "button quiet";
    button.textContent = "Done, or not";
    button.setAttribute("aria-label", `Done, or not: ${promise.what}`);
    button.addEventListener("click", () => settle(promise));
    const actions = document.createElement("div");
    actions.className = "actions";
    actions.append(button);
    li.append(words, under, actions);
    return li;
  }));
}

/** @param {Promised} promise @param {Notebook} notebook */
function closing({ latest }, notebook) {
  const span = document.createElement("span");
  span.className = "closing";
  if (!latest) {
    span.textContent = "no time given";
    return span;
  }
  const now = notebook.now();
  const left = Date.parse(latest) - now.getTime();
  const clock = dayAndClock(new Date(latest), notebook.zone, now);
  span.textContent = left > 0 ? `closes in ${long(left)}, ${clock}` : `closed ${long(left)} ago, ${clock}`;
  span.classList.toggle("urgent", left < SOON_MS);
  return span;
}

/** @param {HTMLElement} line @param {Notebook} notebook */
export function drawHandover(line, notebook) {
  const now = notebook.now();
  const next = (notebook.known?.handovers ?? [])
    .filter((/** @type {any} */ one) => Date.parse(one.at) > now.getTime() - OVER_MS)
    .sort((/** @type {any} */ a, /** @type {any} */ b) => a.at.localeCompare(b.at))[0];
  line.hidden = !next;
  if (!next) return;
  const left = Date.parse(next.at) - now.getTime();
  const clock = dayAndClock(new Date(next.at), notebook.zone, now);
  const when = left > 0 ? `in ${long(left)}` : `began ${long(left)} ago`;
  line.textContent = `Next handover ${when}, ${clock}${next.place ? `, ${next.place}` : ""}.`;
}
