/** The page of the notebook: shows, opens captures, sends. What is kept and how stands elsewhere. */

import { drawAbout } from "./about.js";
import { Capture } from "./capture.js";
import { Notebook } from "./notebook.js";
import { drawHandover, drawPromises, openPromises } from "./promises.js";
import { wordsFor } from "./server.js";
import { correction, drawWritten, exportUnsent, gather, unsentWords } from "./written_list.js";

const TICK_MS = 15_000;
const FIRST_RETRY_MS = 10_000;
const LONGEST_RETRY_MS = 120_000;

/** @param {string} name @returns {HTMLElement} */
const part = (name) => /** @type {HTMLElement} */ (document.querySelector(`[data-${name}]`));

class Page {
  /** @param {Notebook} notebook */
  constructor(notebook) {
    this.notebook = notebook;
    this.platform = { offline: false, lasting: /** @type {boolean | null} */ (null) };
    this.retry = FIRST_RETRY_MS;
    this.timer = 0;
    /** @type {Promise<void> | null} */
    this.sending = null;
    this.again = false;
    this.silent = false;
    this.waits = 0;
    /** @type {Map<string, Capture>} */
    this.captures = new Map();
    for (const form of document.querySelectorAll("form[data-capture-page]")) {
      const capture = new Capture(/** @type {HTMLFormElement} */ (form), notebook, {
        changed: () => {},
        saved: (words) => this.saved(words),
        trouble: (words) => this.trouble(words),
      });
      this.captures.set(capture.name, capture);
    }
  }

  start() {
    document.addEventListener("click", (event) => this.clicked(event));
    addEventListener("popstate", () => this.show());
    addEventListener("online", () => this.send());
    document.addEventListener("visibilitychange", () => {
      if (document.visibilityState === "visible") this.send();
    });
    addEventListener("beforeunload", (event) => {
      if (!this.notebook.vault && this.waits) event.preventDefault();
    });
    this.notebook.channel?.addEventListener("message", () => this.draw());
    setInterval(() => this.draw(), TICK_MS);
    part("send").addEventListener("click", () => this.send());
    part("sync").addEventListener("click", () => this.send());
    part("export").addEventListener("click", async () => {
      const count = await exportUnsent(this.notebook);
      this.say(`${count} entries saved in a file that is not encrypted. Keep it safe.`);
    });
    /** @type {HTMLAnchorElement} */ (part("sign-in")).href = `/audit/${this.notebook.audit}/`;
    this.show();
    this.learnPlatform();
  }

  /** @param {MouseEvent} event */
  clicked(event) {
    const link = /** @type {Element} */ (event.target).closest("a[data-capture], a[data-back]");
    if (!(link instanceof HTMLAnchorElement)) return;
    event.preventDefault();
    const name = link.dataset.capture;
    if (!name) return this.home();
    this.openCapture(name);
  }

  /** @param {string} name @param {Record<string, string>} context @param {Record<string, any> | null} values */
  openCapture(name, context = {}, values = null) {
    history.pushState({}, "", `#${name}`);
    this.show(context, values);
  }

  home() {
    history.pushState({}, "", location.pathname);
    this.show();
    part("home").scrollIntoView();
  }

  /** Shows what the address says. @param {Record<string, string>} context
   * @param {Record<string, any> | null} values */
  show(context = {}, values = null) {
    const known = Boolean(this.notebook.known);
    const capture = known ? this.captures.get(location.hash.slice(1)) : undefined;
    this.trouble("");
    for (const other of this.captures.values()) if (other !== capture) other.form.hidden = true;
    part("home").hidden = Boolean(capture) || !known;
    if (capture) {
      this.say("");
      scrollTo(0, 0);
      capture.open(context, values);
    }
    this.draw();
  }

  /** @param {string} words */
  say(words) {
    part("said").textContent = words;
  }

  /** @param {string} words */
  trouble(words) {
    part("trouble").textContent = words;
  }

  /** @param {string} words */
  saved(words) {
    this.home();
    this.say(words);
    this.askToKeep();
    this.send();
  }

  async draw() {
    const { notebook } = this;
    part("title").textContent = notebook.known?.title || "Notebook";
    part("site-safety").textContent = notebook.known?.rules?.safety ?? "";
    const noPhotos = !notebook.photos || notebook.known?.rules?.photos === "not-allowed";
    for (const link of document.querySelectorAll("a[data-capture]")) {
      const name = /** @type {HTMLElement} */ (link).dataset.capture ?? "";
      const note = link.querySelector("[data-unfinished]");
      if (note instanceof HTMLElement) note.hidden = !notebook.drafts.has(name);
      if (name === "photo") /** @type {HTMLElement} */ (link).hidden = noPhotos;
    }
    const all = await gather(notebook);
    this.waits = all.unsent.length + all.pictures.length;
    this.drawState(all);
    part("unsent").textContent = unsentWords(all);
    part("export").hidden = !all.unsent.length && !all.refused.length;
    await drawWritten(part("written"), notebook, all, (told, item) => {
      const { capture, context, values } = correction(told, item, notebook);
      this.openCapture(capture, context, values);
    });
    drawPromises(part("promises"), await openPromises(notebook), notebook, (promise) =>
      this.openCapture("settled", { promise: promise.id, says: promise.what }, { outcome: "done" }),
    );
    drawHandover(part("handover"), notebook);
    drawAbout(part("about"), notebook, this.platform);
    document.body.dataset.entries = String(all.items.length);
    document.body.dataset.waits = String(this.waits);
  }

  /** @param {Awaited<ReturnType<typeof gather>>} all */
  drawState(all) {
    const state = part("sync-state");
    const waits = all.unsent.length + all.pictures.length;
    state.className = `state ${all.refused.length ? "crossed urgent" : waits ? "half" : "full"}`;
    state.textContent = all.refused.length
      ? `${all.refused.length} refused`
      : waits
        ? `${waits} not yet sent`
        : this.silent ? "No server" : "All sent";
  }

  /** Sends, once at a time; what is written meanwhile goes with the next round. */
  send() {
    this.again = true;
    this.sending ??= this.round().finally(() => { this.sending = null; });
    return this.sending;
  }

  async round() {
    clearTimeout(this.timer);
    let outcome = /** @type {import("./sync.js").Outcome} */ ({ result: "done", message: "" });
    while (this.again) {
      this.again = false;
      outcome = await this.notebook.sync();
      this.silent = outcome.result === "offline";
      const opened = this.notebook.known && [...this.captures.values()].some((c) => !c.form.hidden);
      if (this.notebook.known && part("home").hidden && !opened) this.show();
      else await this.draw();
    }
    this.report(outcome);
    const done = outcome.result === "done";
    this.retry = done ? FIRST_RETRY_MS : Math.min(this.retry * 2, LONGEST_RETRY_MS);
    if (!done) this.timer = setTimeout(() => this.send(), this.retry);
  }

  /** @param {import("./sync.js").Outcome} outcome */
  report({ result, message }) {
    if (!this.notebook.known) {
      this.trouble(result === "offline"
        ? "This audit was never opened on this phone while the server was at hand. Open it once with a network."
        : message || wordsFor(result));
    } else if (result === "done") {
      if (part("said").textContent?.startsWith("Kept on")) this.say("Kept on this phone and by the server.");
      else if (part("said").dataset.from === "sync") this.say("");
      part("said").dataset.from = "";
    } else if (result !== "busy") {
      this.say(message || wordsFor(result));
      part("said").dataset.from = "sync";
    }
  }

  async learnPlatform() {
    this.platform.lasting = (await navigator.storage?.persisted?.()) ?? null;
    if (this.notebook.vault && "serviceWorker" in navigator) {
      try {
        await navigator.serviceWorker.register(document.body.dataset.worker ?? "", { scope: "/floor/" });
        await navigator.serviceWorker.ready;
        this.platform.offline = true;
      } catch (error) {
        console.warn(error);
      }
    }
    document.body.dataset.ready = this.platform.offline ? "offline" : "online";
    await this.draw();
  }

  async askToKeep() {
    if (this.platform.lasting || !this.notebook.vault) return;
    this.platform.lasting = (await navigator.storage?.persist?.()) ?? null;
  }
}

const audit = location.pathname.split("/")[2];
const names = [...document.querySelectorAll("form[data-capture-page]")].map(
  (form) => /** @type {HTMLElement} */ (form).dataset.capturePage ?? "",
);
const page = new Page(await Notebook.open(audit, names));
page.start();
await page.send();
