/**
 * What every page needs from script: the form token for htmx, dialogs, menus that close.
 * Everything works without it, one page at a time.
 */

const token = document.querySelector('meta[name="csrf-token"]');

document.addEventListener("htmx:configRequest", (event) => {
  const { detail } = /** @type {CustomEvent} */ (event);
  if (token instanceof HTMLMetaElement) detail.headers["X-CSRFToken"] = token.content;
});

document.addEventListener("click", (event) => {
  if (!(event.target instanceof Element)) return;
  const opener = event.target.closest("[data-opens]");
  if (opener instanceof HTMLElement) {
    const dialog = document.getElementById(opener.dataset.opens ?? "");
    if (dialog instanceof HTMLDialogElement) dialog.showModal();
  }
  if (event.target.closest("[data-prints]")) window.print();
  const closer = event.target.closest("[data-closes]");
  if (closer) closer.closest("dialog")?.close();
  for (const menu of document.querySelectorAll("details.menu[open]")) {
    if (!menu.contains(event.target)) menu.removeAttribute("open");
  }
});

document.addEventListener("keydown", (event) => {
  if (event.key !== "Escape") return;
  for (const menu of document.querySelectorAll("details.menu[open]")) {
    menu.removeAttribute("open");
    menu.querySelector("summary")?.focus();
  }
});
