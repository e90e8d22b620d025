/**
 * One capture: opened with one tap, kept with every keystroke, saved as one or two events.
 *
 * @typedef {import("./notebook.js").Notebook} Notebook
 * @typedef {{changed: () => void, saved: (words: string) => void, trouble: (words: string) => void}} Page
 */

import { fault, fill, input, raw, told } from "./fields.js";
import { drawGrid, watchGrid } from "./grid.js";
import { isFull } from "./notebook.js";
import { showPicture, watchPicture } from "./picture.js";
import { promptsFor, vagueWords } from "./vague.js";
import { clockOf, dayAndClock, nearest, written } from "./zone.js";

const FULL =
  "The phone's storage is full, so this is not saved yet. It stays on this page: leave it open, " +
  "send what waits or make room, then press Save again.";

export class Capture {
  /** @param {HTMLFormElement} form @param {Notebook} notebook @param {Page} page */
  constructor(form, notebook, page) {
    this.form = form;
    this.name = form.dataset.capturePage ?? "";
    this.notebook = notebook;
    this.page = page;
    this.busy = false;
    this.changes = 0;
    /** @type {Record<string, string>} */
    this.context = {};
    this.asks = /** @type {HTMLElement[]} */ ([...form.querySelectorAll("[data-ask]")]);
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      this.save();
    });
    for (const kind of ["input", "change"]) form.addEventListener(kind, () => this.changed());
    form.addEventListener("click", (event) => this.clicked(event));
    for (const ask of this.asks) {
      if (ask.dataset.ask === "grid") watchGrid(ask, (machine) => this.notebook.learn({ machine: [machine] }));
      if (ask.dataset.ask === "photo") {
        watchPicture(ask, notebook, { changed: () => this.changed(), trouble: page.trouble });
      }
    }
  }

  /** Shows the page with what was begun, the focus where the writing starts. Nothing is waited for:
   * a phone opens its keyboard only while the tap still counts.
   * @param {Record<string, string>} context @param {Record<string, any> | null} values */
  open(context = {}, values = null) {
    const draft = this.notebook.drafts.get(this.name);
    const begun = values ?? draft?.values ?? this.preset();
    this.context = values || !draft ? context : draft.context;
    this.draw();
    for (const ask of this.asks) fill(ask, begun[ask.dataset.name ?? ""]);
    this.form.hidden = false;
    this.showMeaning();
    for (const ask of this.asks) if (ask.dataset.ask === "photo") showPicture(ask, this.notebook);
    const first = /** @type {HTMLElement | null} */ (this.form.querySelector("[data-first]"));
    (first ?? this.form.querySelector("input"))?.focus();
  }

  /** @returns {Record<string, any>} */
  preset() {
    const language = this.notebook.known?.language ?? "en";
    const permission = { allowed: "not-needed" }[this.notebook.known?.rules?.photos ?? ""];
    const told_role = this.notebook.known?.rules?.danger_role || undefined;
    return { language, read_back: "not-read-back", permission, told_role };
  }

  draw() {
    const noPhotos = !this.notebook.photos || this.notebook.known?.rules?.photos === "not-allowed";
    for (const ask of this.asks) {
      if (ask.dataset.ask === "grid") drawGrid(ask, this.notebook.words("machine"));
      if (ask.dataset.ask === "photo") ask.hidden = noPhotos;
      if (ask.dataset.ask === "chips") this.drawChips(ask);
    }
    const handover = this.form.querySelector("[data-next-handover]");
    if (handover instanceof HTMLElement) handover.hidden = !this.nextHandover();
    const context = /** @type {HTMLElement} */ (this.form.querySelector("[data-context]"));
    context.hidden = !this.context.says;
    context.textContent = this.context.says ?? "";
  }

  /** @param {HTMLElement} ask */
  drawChips(ask) {
    const chips = /** @type {HTMLElement} */ (ask.querySelector("[data-chips]"));
    const words = this.notebook.words(input(ask).dataset.remembered ?? "").slice(0, 10);
    chips.replaceChildren(...words.map((word) => {
      const chip = document.createElement("button");
      chip.type = "button";
      chip.className = "chip";
      chip.textContent = word;
      chip.dataset.word = word;
      return chip;
    }));
  }

  /** @param {MouseEvent} event */
  clicked(event) {
    const chip = /** @type {HTMLElement} */ (event.target).closest(".chip");
    const ask = chip?.closest("[data-ask]");
    if (!(chip instanceof HTMLElement) || !(ask instanceof HTMLElement)) return;
    const { word, inMin } = chip.dataset;
    const zone = this.notebook.zone;
    if (word) input(ask).value = input(ask).value === word ? "" : word;
    if (inMin) {
      const then = new Date(this.notebook.now().getTime() + Number(inMin) * 60_000);
      input(ask).value = clockOf(then, zone);
    }
    if ("nextHandover" in chip.dataset) {
      const next = this.nextHandover();
      if (next) input(ask).value = clockOf(next, zone);
      const window = this.ask("window");
      if (window && !raw(window)) fill(window, "next handover");
    }
    this.changed();
  }

  nextHandover() {
    const now = this.notebook.now().getTime();
    const all = (this.notebook.known?.handovers ?? []).map((/** @type {any} */ one) => Date.parse(one.at));
    const next = all.filter((/** @type {number} */ at) => at > now).sort()[0];
    return next ? new Date(next) : null;
  }

  /** @param {string} name */
  ask(name) {
    return this.asks.find((ask) => ask.dataset.name === name);
  }

  /** @returns {Record<string, any>} */
  values() {
    const pairs = this.asks.map((ask) => [ask.dataset.name, raw(ask)]);
    return Object.fromEntries(pairs.filter(([, answer]) => answer !== undefined));
  }

  /** Something was written: it is kept at once, and "kept" is said of the last letter only. */
  changed() {
    this.showMeaning();
    const draft = { values: this.values(), context: this.context };
    const said = /** @type {HTMLElement} */ (this.form.querySelector("[data-draft]"));
    const change = (this.changes += 1);
    said.textContent = "Keeping …";
    this.notebook.keepDraft(this.name, draft).then(
      () => {
        if (change !== this.changes) return;
        said.textContent = this.notebook.vault ? "Kept as you write." : "Not kept until sent.";
      },
      (error) => {
        said.textContent = "Not kept: leave this page open.";
        this.page.trouble(isFull(error) ? FULL : String(error));
      },
    );
  }

  showMeaning() {
    for (const chip of this.form.querySelectorAll("[data-word]")) {
      const field = /** @type {HTMLElement} */ (chip.closest("[data-ask]"));
      chip.setAttribute("aria-pressed", String(raw(field) === /** @type {HTMLElement} */ (chip).dataset.word));
    }
    for (const ask of this.asks) if (ask.dataset.ask === "time") this.showTime(ask);
    this.showVague();
  }

  /** @param {HTMLElement} ask */
  showTime(ask) {
    const means = /** @type {HTMLElement} */ (ask.querySelector("[data-means]"));
    const clock = raw(ask);
    const toward = input(ask).dataset.toward === "past" ? "past" : "future";
    const now = this.notebook.now();
    means.textContent = clock
      ? `That is ${dayAndClock(nearest(clock, this.notebook.zone, toward, now), this.notebook.zone, now)}, plant time.`
      : "";
  }

  showVague() {
    const box = this.form.querySelector("[data-vague]");
    if (!box) return;
    const language = this.values().language ?? "en";
    const found = this.vague();
    const asks = promptsFor(language, this.notebook.known?.vague ?? {});
    const lines = found.length ? [`Cannot be tested as said: ${found.map((word) => `“${word}”`).join(", ")}.`, asks.join(" ")] : [];
    box.replaceChildren(...lines.map((line) => {
      const p = document.createElement("p");
      p.textContent = line;
      return p;
    }));
  }

  vague() {
    const { words = "", language = "en" } = this.values();
    return vagueWords(words, language, this.notebook.known?.vague ?? {});
  }

  async save() {
    if (this.busy || !this.fits()) return;
    this.busy = true;
    try {
      const events = this.events();
      const photos = events.filter((one) => one.kind === "photo-taken").map((one) => one.body.sha256);
      const { replaces } = this.context;
      await this.notebook.write(events, this.name, { photos, replaces });
      await this.learn();
      this.clear();
      this.page.saved(this.notebook.vault ? "Kept on this phone." : "Kept while this page is open.");
    } catch (error) {
      this.page.trouble(isFull(error) ? FULL : `Not saved, and still on this page: ${error}`);
    } finally {
      this.busy = false;
    }
  }

  clear() {
    this.context = {};
    for (const ask of this.asks) fill(ask, undefined);
  }

  /** Whether everything needed is there; says what is not, beside it. */
  fits() {
    for (const old of this.form.querySelectorAll(".wrong-word")) old.remove();
    const values = this.values();
    const wrong = this.asks.filter((ask) => {
      const words = this.fault(ask, values);
      ask.classList.toggle("wrong", Boolean(words));
      if (words) {
        const said = document.createElement("p");
        said.className = "wrong-word";
        said.setAttribute("role", "alert");
        said.textContent = words;
        ask.append(said);
      }
      return words;
    });
    if (wrong.length) {
      wrong[0].closest("details")?.setAttribute("open", "");
      /** @type {HTMLElement | null} */ (wrong[0].querySelector("input, textarea"))?.focus();
    }
    return !wrong.length;
  }

  /** @param {HTMLElement} ask @param {Record<string, any>} values */
  fault(ask, values) {
    const name = ask.dataset.name ?? "";
    if (this.name === "saw" && name === "note" && values.photos) return "";
    if (this.name === "settled" && name === "note" && values.outcome !== "done" && !values.note) {
      return "Say why it was not done.";
    }
    if (this.name === "document" && name === "text" && !values.text && !values.receipt) {
      return "Copy the words, or write the receipt.";
    }
    return fault(ask, values[name]);
  }

  /** @returns {import("./event.js").Told[]} */
  events() {
    const kind = this.form.dataset.kind ?? "";
    /** @type {Record<string, any>} */
    const body = this.form.dataset.form ? { form: this.form.dataset.form } : {};
    /** @type {Record<string, string>} */
    const texts = {};
    const values = this.values();
    for (const ask of this.asks) {
      const name = ask.dataset.name ?? "";
      if (values[name] === undefined || ask.dataset.ask === "photo") continue;
      const answer = told(ask, values[name], this.notebook);
      if (ask.dataset.into === "text") texts[name] = answer;
      else if (ask.dataset.into === "values") (body.values ??= {})[name] = answer;
      else body[name] = answer;
    }
    const photo = values.photo ?? values.photos;
    const taken = photo && { sha256: photo.sha256, size: photo.size, media_type: photo.mediaType };
    if (kind === "photo-taken") Object.assign(body, taken);
    if (kind === "statement-heard") body.vague = this.vague();
    if (kind === "danger-reported") body.told_at = written(this.notebook.now());
    if (kind === "promise-settled") body.promise = this.context.promise;
    if (this.context.seenAt) body.seen_at = this.context.seenAt;
    const { supersedes = "" } = this.context;
    if (!values.photos) return [this.notebook.tell(kind, body, texts, supersedes)];
    const first = this.notebook.tell("photo-taken", taken, {});
    return [first, this.notebook.tell(kind, { ...body, photos: [first.id] }, texts, supersedes)];
  }

  async learn() {
    /** @type {Record<string, string[]>} */
    const words = {};
    for (const ask of this.asks) {
      const name = ask.dataset.ask === "chips" ? input(ask).dataset.remembered ?? "" : "";
      const word = name && raw(ask);
      if (word) (words[name] ??= []).push(word);
    }
    try {
      await this.notebook.learn(words);
    } catch (error) {
      console.warn(error); // only the chips; the event itself is kept
    }
  }
}
