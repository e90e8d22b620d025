/**
 * Sends what waits, and takes in what the server says. Safe to break off anywhere: an event is
 * known by its id, a photo by its hash, and both are asked for again until they are acknowledged.
 *
 * @typedef {import("./outbox.js").Outbox} Outbox
 * @typedef {"done" | "offline" | "signed-out" | "not-open" | "failed" | "busy" | "other-account"} Result
 * @typedef {{result: Result, message: string}} Outcome
 * @typedef {object} Post what a sync needs from its page
 * @property {string} audit
 * @property {any} outbox an Outbox, or that of an open page
 * @property {import("./photos.js").Photos | null} photos
 * @property {string} signer public key of this device, or nothing
 */

import { get, post, putPhoto, wordsFor } from "./server.js";

const BATCH = 40;
const BATCH_BYTES = 1_500_000;
const ROUNDS_WITHOUT_PROGRESS = 3;
const REFUSED_FOR_GOOD = new Set([410, 413, 415]);

/**
 * One round at a time: over all tabs where the browser has locks, in this tab everywhere.
 * @param {Post} with_ @returns {Promise<Outcome>}
 */
export async function synchronise(with_) {
  const go = () => once(with_);
  if (!navigator.locks) return go();
  const busy = /** @type {Outcome} */ ({ result: "busy", message: "" });
  return navigator.locks.request(`floor-sync-${with_.audit}`, { ifAvailable: true }, (lock) =>
    lock ? go() : busy,
  );
}

/** @param {Post} with_ @returns {Promise<Outcome>} */
async function once(with_) {
  try {
    const asked = Date.now();
    const door = await get(`/floor/${with_.audit}/token`);
    const trip = Date.now() - asked;
    await sendEvents(with_, door, trip);
    if (with_.photos) await sendPhotos(with_, door.token);
    const others = (await with_.outbox.items(with_.audit)).filter(
      (item) => item.state === "waiting" && item.author !== door.user,
    );
    if (others.length) return { result: "other-account", message: wordsFor("other-account") };
    return { result: "done", message: "" };
  } catch (error) {
    const result = /** @type {any} */ (error).result ?? "failed";
    if (result === "failed" && !(/** @type {any} */ (error).status)) console.warn(error);
    return { result, message: /** @type {any} */ (error).words ?? String(error) };
  }
}

/** @param {Post} with_ @param {{token: string, user: string}} door @param {number} trip */
async function sendEvents(with_, door, trip) {
  const { audit, outbox } = with_;
  let stuck = 0;
  for (;;) {
    const waiting = await outbox.waiting(audit, door.user);
    if (!waiting.length) return;
    const items = await batch(outbox, waiting);
    const said = await send(with_, door.token, trip, items);
    said.forEach((one, place) => { one.id ||= waiting[place].id; }); // an event nobody could read
    await outbox.settle(audit, door.user, said);
    const settled = said.filter((one) => one.status !== "fork").length;
    stuck = settled ? 0 : stuck + 1;
    if (stuck >= ROUNDS_WITHOUT_PROGRESS) {
      throw Object.assign(new Error("fork"), { result: "failed", words: wordsFor("fork") });
    }
    const broken = said.find((one) => one.status === "refused" || one.status === "fork");
    if (broken) await outbox.rechain(audit, door.user, broken.status === "fork");
    else if (outbox.lasting && moved(said, waiting)) await outbox.rechain(audit, door.user, false);
  }
}

/** Whether something was known already under another place in a chain.
 * @param {import("./outbox.js").Answer[]} said @param {import("./outbox.js").Item[]} sent */
function moved(said, sent) {
  const places = new Map(sent.map((item) => [item.id, item.place.hash]));
  return said.some((one) => one.hash !== undefined && one.hash !== places.get(one.id));
}

/** @param {Outbox} outbox @param {import("./outbox.js").Item[]} waiting */
async function batch(outbox, waiting) {
  const items = [];
  let bytes = 0;
  for (const item of waiting.slice(0, BATCH)) {
    const sent = outgoing(outbox.lasting, await outbox.content(item));
    bytes += JSON.stringify(sent).length;
    if (items.length && bytes > BATCH_BYTES) break;
    items.push(sent);
  }
  return items;
}

/** One item as it travels: chained by this phone, or told for the installation to chain.
 * @param {boolean} chained @param {import("./outbox.js").Content} content */
function outgoing(chained, { told, event, signature }) {
  if (chained) return { event, signature, payloads: told.payloads };
  const { id, at, kind, body, texts, supersedes } = told;
  return { id, at, kind, body, texts, supersedes };
}

/** @param {Post} with_ @param {string} token @param {number} trip @param {object[]} items
 * @returns {Promise<import("./outbox.js").Answer[]>} */
async function send({ audit, outbox, signer }, token, trip, items) {
  const said = { sent_at: new Date().toISOString(), round_trip_ms: trip, items };
  const answered = outbox.lasting
    ? await post(`/floor/${audit}/sync`, token, { ...said, key: signer })
    : await post(`/floor/${audit}/plain/`, token, said);
  return answered.items;
}

/** @param {Post} with_ @param {string} token */
async function sendPhotos({ audit, photos }, token) {
  if (!photos) return;
  for (const photo of await photos.list(audit)) {
    if (photo.state !== "waiting") continue;
    const address = `/floor/${audit}/photo/${photo.sha256}`;
    const asked = await get(address);
    if (!asked.named) continue; // its event was refused, or is another account's
    const file = asked.kept ? null : await photos.open(photo.sha256);
    try {
      if (file) await putPhoto(address, token, file);
      await photos.mark(photo.sha256, "kept");
    } catch (error) {
      if (!REFUSED_FOR_GOOD.has(/** @type {any} */ (error).status)) throw error;
      await photos.mark(photo.sha256, "refused", /** @type {any} */ (error).words);
    }
  }
}
