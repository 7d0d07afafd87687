// The key that leads to the one search field from anywhere, never in the way of typing.

const KEY = "/";

function isTyping(element) {
  return element.closest("input, textarea, select, [contenteditable]:not([contenteditable=false])") !== null;
}

function field() {
  const shown = [...document.querySelectorAll("[data-search]")].filter((each) => each.checkVisibility());
  return shown.at(-1);
}

document.addEventListener("keydown", (event) => {
  if (event.key !== KEY || localStorage.getItem("single-keys") === "off" || event.ctrlKey || event.metaKey || event.altKey || event.defaultPrevented) return;
  if (!(event.target instanceof Element) || isTyping(event.target) || document.querySelector("dialog[open]")) return;
  const found = field();
  const way = document.querySelector("[data-search-page]");
  if (!found && !way) return;
  event.preventDefault();
  if (found) {
    found.focus();
    found.select();
  } else {
    way.click();
  }
});
