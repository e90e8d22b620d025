/** The grid of machines: one tap each; machines come from the scope and from those typed before. */

/**
 * @param {HTMLElement} ask @param {string[]} machines
 */
export function drawGrid(ask, machines) {
  const grid = /** @type {HTMLElement} */ (ask.querySelector("[data-grid]"));
  const there = new Set([...grid.children].map((row) => /** @type {HTMLElement} */ (row).dataset.machine));
  for (const machine of machines) if (!there.has(machine)) grid.append(row(ask, machine));
  count(ask);
}

/** @param {HTMLElement} ask @param {(machine: string) => void} added */
export function watchGrid(ask, added) {
  const field = /** @type {HTMLInputElement} */ (ask.querySelector("[data-grid-new]"));
  const add = () => {
    const machine = field.value.trim();
    if (!machine) return;
    drawGrid(ask, [machine]);
    field.value = "";
    added(machine);
  };
  ask.querySelector("[data-grid-add]")?.addEventListener("click", add);
  field.addEventListener("keydown", (event) => {
    if (event.key !== "Enter") return;
    event.preventDefault();
    add();
  });
  ask.addEventListener("change", () => count(ask));
}

/** @param {HTMLElement} ask */
export function count(ask) {
  const rows = [...ask.querySelectorAll(".grid-row")];
  const answered = rows.filter((one) => one.querySelector("input:checked"));
  for (const one of rows) one.classList.toggle("answered", answered.includes(one));
  const said = /** @type {HTMLElement} */ (ask.querySelector("[data-grid-count]"));
  said.textContent = rows.length
    ? `${answered.length} of ${rows.length} marked; what is not marked was not looked at.`
    : "No machine is known yet: add the first below.";
}

/** @param {HTMLElement} ask @param {string} machine */
function row(ask, machine) {
  const template = /** @type {HTMLTemplateElement} */ (ask.querySelector("[data-grid-row]"));
  const made = /** @type {HTMLElement} */ (
    /** @type {DocumentFragment} */ (template.content.cloneNode(true)).firstElementChild
  );
  made.dataset.machine = machine;
  /** @type {HTMLElement} */ (made.querySelector("legend")).textContent = machine;
  for (const one of made.querySelectorAll("input")) one.name = `${ask.dataset.name}/${machine}`;
  return made;
}
