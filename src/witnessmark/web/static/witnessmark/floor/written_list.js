/**
 * What was written on this phone, each with its state; what was refused stays until it is corrected.
 *
 * @typedef {import("./notebook.js").Notebook} Notebook
 * @typedef {import("./event.js").Told} Told
 */

import { dayAndClock, long, written } from "./zone.js";

const SHOWN = 40;
const STATES = /** @type {Record<string, [string, string]>} */ ({
  waiting: ["not yet sent", "half"],
  kept: ["kept by the server", "full"],
  refused: ["refused", "crossed urgent"],
});

/** @param {Notebook} notebook */
export async function gather(notebook) {
  const items = (await notebook.outbox.items(notebook.audit)).filter(
    (/** @type {any} */ item) => item.state !== "replaced",
  );
  const photos = (await notebook.photos?.list(notebook.audit)) ?? [];
  const unsent = items.filter((/** @type {any} */ item) => item.state === "waiting");
  const pictures = photos.filter((photo) => photo.state === "waiting");
  const refused = items.filter((/** @type {any} */ item) => item.state === "refused");
  const oldest = Math.min(...unsent.map((/** @type {any} */ i) => i.writtenAt), ...pictures.map((p) => p.at));
  return { items, photos, unsent, pictures, refused, oldest };
}

/** @param {Awaited<ReturnType<typeof gather>>} all */
export function unsentWords({ unsent, pictures, refused, oldest }) {
  const parts = [];
  if (unsent.length) parts.push(`${unsent.length} not yet sent`);
  if (pictures.length) parts.push(`${pictures.length} picture${pictures.length > 1 ? "s" : ""} not yet sent`);
  if (parts.length) parts.push(`the oldest ${long(Date.now() - oldest)} ago`);
  if (refused.length) parts.push(`${refused.length} refused`);
  return parts.length ? `${parts.join(", ")}.` : "Nothing waits here.";
}

/**
 * @param {HTMLElement} list @param {Notebook} notebook @param {Awaited<ReturnType<typeof gather>>} all
 * @param {(told: Told, item: any) => void} correct
 */
export async function drawWritten(list, notebook, all, correct) {
  const newest = [...all.items].reverse().slice(0, SHOWN);
  const entries = await Promise.all(newest.map(async (item) => {
    const { told } = await notebook.outbox.content(item);
    return entry(told, item, all, notebook, correct);
  }));
  list.replaceChildren(...entries);
}

/** @param {Told} told @param {any} item @param {Awaited<ReturnType<typeof gather>>} all
 * @param {Notebook} notebook @param {(told: Told, item: any) => void} correct */
function entry(told, item, all, notebook, correct) {
  const li = document.createElement("li");
  li.dataset.state = item.state;
  li.dataset.id = item.id;
  const words = document.createElement("p");
  words.className = "entry-words";
  words.textContent = summary(told);
  const under = document.createElement("p");
  under.className = "entry-under";
  const [said, pattern] = STATES[item.state];
  under.append(span(`state ${pattern}`, said), ...facts(told, notebook).map((fact) => span("", fact)));
  const photo = all.photos.find((one) => one.sha256 === told.body.sha256);
  if (photo && photo.state !== "kept") under.append(span("", `picture ${STATES[photo.state]?.[0] ?? ""}`));
  li.append(words, under);
  if (item.message || photo?.message) {
    const why = document.createElement("p");
    why.className = "entry-why";
    why.textContent = item.message || photo?.message;
    li.append(why);
  }
  if (canCorrect(told, item, notebook)) {
    const button = document.createElement("button");
    button.type = "button";
    button.className = "button quiet";
    const unread = told.kind === "statement-heard" && (told.body.read_back ?? "not-read-back") === "not-read-back";
    button.textContent = unread ? "Read back, or correct" : "Correct";
    button.setAttribute("aria-label", `${button.textContent}: ${words.textContent}`);
    button.addEventListener("click", () => correct(told, item));
    const actions = document.createElement("div");
    actions.className = "actions";
    actions.append(button);
    li.append(actions);
  }
  return li;
}

/** @param {Told} told @param {any} item @param {Notebook} notebook */
function canCorrect(told, item, notebook) {
  if (told.kind === "promise-settled" || told.kind === "photo-taken") return item.state === "refused";
  return item.author === notebook.author && !told.body.photos;
}

/** The one line that tells it. @param {Told} told */
export function summary({ kind, body, texts }) {
  const about = texts.words ?? texts.note ?? texts.what ?? body.what ?? body.title ?? body.caption;
  const grid = body.values?.grid;
  const lead = /** @type {Record<string, string>} */ ({
    "statement-heard": body.role,
    "step-promised": "Promised",
    "photo-taken": "Photo",
    "document-transcribed": "Document",
    "danger-reported": `Danger, told to ${body.told_role}`,
    "promise-settled": `Promise ${body.outcome}`,
  })[kind] ?? (body.form === "free" ? "Seen" : String(body.form).replaceAll("-", " "));
  const values = grid ? `${Object.keys(grid).length} machines` : Object.values(body.values ?? {}).flat().join(", ");
  return [lead, about ?? body.note, values].filter(Boolean).join(": ");
}

/** @param {Told} told @param {Notebook} notebook */
function facts({ at, body, supersedes }, notebook) {
  const when = dayAndClock(new Date(Date.parse(at) + notebook.offset()), notebook.zone, notebook.now());
  return [
    when, body.machine, body.place, body.protected && "protected source", supersedes && "correction",
    body.read_back && body.read_back !== "not-read-back" && `read back, ${body.read_back}`,
  ].filter(Boolean);
}

/** @param {string} name @param {string} text */
function span(name, text) {
  const made = document.createElement("span");
  if (name) made.className = name;
  made.textContent = text;
  return made;
}

/** What a correction starts from: the capture, its answers, and what it stands for.
 * @param {Told} told @param {any} item @param {Notebook} notebook */
export function correction(told, item, notebook) {
  const capture = {
    "statement-heard": "heard", "step-promised": "promised", "document-transcribed": "document",
    "danger-reported": "danger", "photo-taken": "photo", "promise-settled": "settled",
  }[told.kind] ?? (told.body.form === "free" ? "saw" : told.body.form);
  const { values = {}, ...body } = told.body;
  const says = "Corrects what was written before; both stay in the journal.";
  /** @type {Record<string, string>} */
  const context = item.state === "refused"
    ? { replaces: item.id, says: `It was refused: ${item.message}`, supersedes: told.supersedes }
    : { supersedes: told.supersedes || told.id, says };
  if (told.body.promise) context.promise = told.body.promise;
  if (told.kind === "observation-made") {
    context.seenAt = body.seen_at ?? written(new Date(Date.parse(told.at) + notebook.offset()));
  }
  return { capture, context, values: { ...body, ...values, ...told.texts } };
}

/** Everything that is not acknowledged, as a file in the user's own hands. @param {Notebook} notebook */
export async function exportUnsent(notebook) {
  const items = (await notebook.outbox.items(notebook.audit)).filter(
    (/** @type {any} */ item) => item.state === "waiting" || item.state === "refused",
  );
  const told = await Promise.all(items.map(async (/** @type {any} */ item) => {
    const { told, event, signature } = await notebook.outbox.content(item);
    return { state: item.state, message: item.message, event, signature, payloads: told.payloads, told };
  }));
  const file = new Blob([JSON.stringify(told, null, 1)], { type: "application/json" });
  const link = document.createElement("a");
  link.href = URL.createObjectURL(file);
  link.download = `notebook-${notebook.audit.slice(0, 8)}-not-sent.json`;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 60_000);
  return told.length;
}
