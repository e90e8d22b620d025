/**
 * Reading and filling one question of a capture. A raw answer is what a draft keeps: a text, a
 * boolean, a grid as machine to word, a photo as its hash, size and type.
 *
 * @typedef {import("./notebook.js").Notebook} Notebook
 */

import { nearest, written } from "./zone.js";

/** @param {HTMLElement} ask @returns {any} nothing where there is no answer */
export function raw(ask) {
  switch (ask.dataset.ask) {
    case "choice":
      return checked(ask)?.value;
    case "switch":
      return input(ask).checked || undefined;
    case "grid": {
      const rows = [...ask.querySelectorAll(".grid-row")];
      const pairs = rows.map((row) => [/** @type {HTMLElement} */ (row).dataset.machine, checked(row)?.value]);
      const answered = pairs.filter(([, word]) => word);
      return answered.length ? Object.fromEntries(answered) : undefined;
    }
    case "photo":
      return ask.dataset.photo ? JSON.parse(ask.dataset.photo) : undefined;
    default:
      return control(ask).value.trim() || undefined;
  }
}

/** @param {HTMLElement} ask @param {any} value */
export function fill(ask, value) {
  switch (ask.dataset.ask) {
    case "choice":
      for (const one of ask.querySelectorAll("input")) one.checked = one.value === value;
      break;
    case "switch":
      input(ask).checked = Boolean(value);
      break;
    case "grid":
      for (const row of ask.querySelectorAll(".grid-row")) {
        const word = value?.[/** @type {HTMLElement} */ (row).dataset.machine ?? ""];
        for (const one of row.querySelectorAll("input")) one.checked = one.value === word;
      }
      break;
    case "photo":
      if (value) ask.dataset.photo = JSON.stringify(value);
      else delete ask.dataset.photo;
      break;
    default:
      control(ask).value = value ?? "";
  }
}

/** A raw answer as it stands in an event. @param {HTMLElement} ask @param {any} answer
 * @param {Notebook} notebook */
export function told(ask, answer, notebook) {
  switch (ask.dataset.ask) {
    case "count":
      return Number(answer);
    case "lots":
      return String(answer).split("\n").map((line) => line.trim()).filter(Boolean);
    case "time": {
      const toward = input(ask).dataset.toward === "past" ? "past" : "future";
      return written(nearest(answer, notebook.zone, toward, notebook.now()));
    }
    default:
      return answer;
  }
}

/** What is wrong with an answer, in words; empty where nothing is.
 * @param {HTMLElement} ask @param {any} answer */
export function fault(ask, answer) {
  if (answer === undefined) return ask.hasAttribute("data-needed") ? "This is needed." : "";
  if (ask.dataset.ask === "count" && !/^\d{1,12}$/.test(answer)) return "Digits only.";
  return "";
}

/** @param {Element} ask @returns {HTMLInputElement | null} */
function checked(ask) {
  return ask.querySelector("input:checked");
}

/** @param {HTMLElement} ask */
export function input(ask) {
  return /** @type {HTMLInputElement} */ (ask.querySelector("input"));
}

/** @param {HTMLElement} ask */
export function control(ask) {
  return /** @type {HTMLInputElement} */ (ask.querySelector("input, textarea, select"));
}
