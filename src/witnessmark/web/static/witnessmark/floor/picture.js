/** Choosing a picture: it is kept on the phone at once, before anything is written about it. */

import { isFull } from "./notebook.js";
import { smaller } from "./photos.js";

const ROOM = 3;
const MEGABYTE = 1024 * 1024;
export const LARGEST = 25 * MEGABYTE;

/**
 * @param {HTMLElement} ask
 * @param {import("./notebook.js").Notebook} notebook
 * @param {{changed: () => void, trouble: (words: string) => void}} page
 */
export function watchPicture(ask, notebook, page) {
  const field = /** @type {HTMLInputElement} */ (ask.querySelector("input[type=file]"));
  const small = /** @type {HTMLInputElement} */ (ask.querySelector("[data-smaller]"));
  field.addEventListener("change", async () => {
    const file = field.files?.[0];
    if (!file || !notebook.photos) return;
    const said = /** @type {HTMLElement} */ (ask.closest("form")?.querySelector("[data-draft]"));
    said.textContent = "Keeping the picture …";
    try {
      const chosen = small.checked ? await smaller(file) : file;
      if (chosen.size > LARGEST) {
        said.textContent = "";
        page.trouble("This picture is larger than 25 MB. Keep a smaller copy of it.");
        return;
      }
      const photos = notebook.photos;
      const kept = await notebook.withRoom(() => photos.add(notebook.audit, chosen), chosen.size * ROOM);
      const { sha256, size, mediaType } = kept;
      ask.dataset.photo = JSON.stringify({ sha256, size, mediaType });
      await showPicture(ask, notebook);
      page.changed();
    } catch (error) {
      said.textContent = "";
      page.trouble(isFull(error)
        ? "The phone has no room for this picture; it is not kept. Everything written before is. " +
          "Try once more in a moment, send what waits, or keep a smaller copy."
        : `This picture cannot be read: ${error instanceof Error ? error.message : error}`);
    } finally {
      field.value = "";
    }
  });
  ask.querySelector("[data-picture-drop]")?.addEventListener("click", async () => {
    delete ask.dataset.photo;
    await showPicture(ask, notebook);
    page.changed();
    field.focus();
  });
}

/** @param {HTMLElement} ask @param {import("./notebook.js").Notebook} notebook */
export async function showPicture(ask, notebook) {
  const box = /** @type {HTMLElement} */ (ask.querySelector("[data-picture]"));
  const image = /** @type {HTMLImageElement} */ (box.querySelector("img"));
  if (image.src) URL.revokeObjectURL(image.src);
  image.removeAttribute("src");
  const photo = ask.dataset.photo ? JSON.parse(ask.dataset.photo) : null;
  const file = photo && (await notebook.photos?.open(photo.sha256));
  box.hidden = !file;
  if (!file) return;
  image.src = URL.createObjectURL(file);
  const size = /** @type {HTMLElement} */ (box.querySelector("[data-picture-size]"));
  size.textContent = `${(file.size / MEGABYTE).toFixed(1)} MB, kept on this phone.`;
}
