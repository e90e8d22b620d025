/** What this phone can and cannot do, said as it is. */

import { long } from "./zone.js";

/** @param {HTMLElement} list @param {import("./notebook.js").Notebook} notebook
 * @param {{offline: boolean, lasting: boolean | null}} platform */
export function drawAbout(list, notebook, platform) {
  const lines = notebook.vault ? secure(notebook, platform) : plain();
  const offset = notebook.offset();
  if (offset) {
    const side = offset > 0 ? "behind" : "ahead of";
    lines.push(`Its clock is ${long(offset)} ${side} the server's. Times are put right at receipt.`);
  }
  list.replaceChildren(...lines.map((line) => {
    const li = document.createElement("li");
    li.textContent = line;
    return li;
  }));
}

/** @param {import("./notebook.js").Notebook} notebook @param {{offline: boolean, lasting: boolean | null}} platform */
function secure(notebook, { offline, lasting }) {
  return [
    offline
      ? "Opens and works without a network, and after a restart."
      : "Works without a network once this page has loaded to its end with the server at hand.",
    "What you write is sealed under a key that this browser holds. Whoever can unlock the phone can " +
      "open the notebook; lock it.",
    notebook.vault?.keys.signing
      ? "Signs each entry with a key of its own."
      : "Has no key to sign with: the installation vouches for each entry at receipt.",
    lasting
      ? "The browser has promised to keep this storage."
      : "The browser may clear this storage when the phone runs short of room; send soon.",
  ];
}

function plain() {
  return [
    "This page came without encryption, so the browser lets it keep nothing: what is not sent is " +
      "lost when the page is closed or reloaded. It cannot open without a network.",
    "Nothing is sealed or signed here, and others on this network can read what is sent. The " +
      "installation vouches for each entry at receipt.",
    "Photos need the encrypted address. The notebook's guide says how to get it.",
  ];
}
