// The scenes grid under the hand: arrows, Enter, Tab as in a spreadsheet; a slide for the cell one is in.

const cells = "input[name=level]";

function beside(cell, rows, columns) {
  const table = cell.closest("table.levels");
  if (!table) return null;
  const lines = [...table.tBodies[0].rows].map((row) => [...row.querySelectorAll(cells)]).filter((row) => row.length);
  const y = lines.findIndex((row) => row.includes(cell));
  const x = lines[y].indexOf(cell);
  return lines[y + rows]?.[x + columns] ?? null;
}

function go(cell) {
  if (!cell) return false;
  cell.focus();
  cell.select();
  cell.scrollIntoView({ block: "nearest", inline: "nearest" });
  return true;
}

function atEdge(cell, key) {
  const all = cell.selectionStart === 0 && cell.selectionEnd === cell.value.length;
  if (all) return true;
  return key === "ArrowLeft" ? cell.selectionEnd === 0 : cell.selectionStart === cell.value.length;
}

document.addEventListener("keydown", (event) => {
  const cell = event.target;
  if (!cell.matches?.(`.level ${cells}`) || event.ctrlKey || event.metaKey || event.altKey) return;
  const steps = { ArrowUp: [-1, 0], ArrowDown: [1, 0], Enter: [event.shiftKey ? -1 : 1, 0], ArrowLeft: [0, -1], ArrowRight: [0, 1] };
  if (event.key === "Escape") {
    cell.value = cell.defaultValue;
    cell.select();
    event.preventDefault();
  }
  const step = steps[event.key];
  if (!step || (step[1] && !atEdge(cell, event.key))) return;
  event.preventDefault();
  if (!go(beside(cell, ...step)) && event.key === "Enter") cell.dispatchEvent(new Event("change", { bubbles: true }));
});

// ---------- The slide ----------

let bar = null;
let slid = null;

function slideBar() {
  if (bar) return bar;
  bar = document.createElement("div");
  bar.className = "slide-bar on-night";
  const range = document.createElement("input");
  Object.assign(range, { type: "range", min: 0, max: 100, step: 5, id: "slide" });
  const label = document.createElement("label");
  label.htmlFor = "slide";
  bar.append(label, range);
  range.addEventListener("input", () => {
    const cell = document.getElementById(slid)?.querySelector(cells);
    if (cell) cell.value = cell.value.replace(/^\s*\d*/, range.value);
  });
  range.addEventListener("change", () => {
    document.getElementById(slid)?.querySelector(cells)?.dispatchEvent(new Event("change", { bubbles: true }));
  });
  return bar;
}

function enter(cell) {
  cell.select();
  slid = cell.closest(".level").id;
  const made = slideBar();
  made.querySelector("label").textContent = cell.getAttribute("aria-label");
  made.querySelector("input").value = Number.parseInt(cell.value, 10) || 0;
  // Where a finger is the pointer; a keyboard has the digits. Put there once: the grid is laid out anew for it.
  const grid = cell.closest(".scene-grid");
  if (made.parentElement !== grid && matchMedia("(pointer: coarse)").matches) grid.append(made);
}

// A press is answered by a frame first; the selection and the slide come after it.
let pressed = null;
let pressedInto = null;

document.addEventListener("pointerdown", (event) => {
  pressed = event.target;
  pressedInto = null;
});
document.addEventListener("focusin", (event) => {
  const cell = event.target;
  if (!cell.matches?.(`.level ${cells}`)) return;
  if (cell === pressed) pressedInto = cell;
  else enter(cell);
});
document.addEventListener("click", (event) => {
  const cell = pressedInto;
  pressed = pressedInto = null;
  if (!cell || event.target !== cell) return;
  requestAnimationFrame(() => setTimeout(() => document.activeElement === cell && enter(cell)));
});
document.addEventListener("keydown", () => {
  pressed = null;
});
