// Around every swap: the token, what to say when sending fails, where focus belongs, what changed; dialogs; where one is; the search key.

const said = document.getElementById("said");
const trouble = document.getElementById("trouble");

// ---------- Sending ----------

// Read when sending, since a log-in in another tab gives a new one.
function token() {
  const found = document.cookie.split("; ").find((part) => part.startsWith("csrftoken="));
  if (found) return decodeURIComponent(found.slice("csrftoken=".length));
  return document.querySelector("input[name=csrfmiddlewaretoken]")?.value ?? "";
}

document.addEventListener("htmx:configRequest", (event) => {
  if (event.detail.verb === "get") return;
  event.detail.headers["X-CSRFToken"] = token();
});

function warn(text) {
  if (trouble && trouble.textContent !== text) trouble.textContent = text;
}

document.addEventListener("htmx:sendError", () => warn(document.body.dataset.noConnection));
document.addEventListener("htmx:timeout", () => warn(document.body.dataset.noConnection));
document.addEventListener("htmx:responseError", () => warn(document.body.dataset.notDone));
document.addEventListener("htmx:afterOnLoad", (event) => {
  if (event.detail.successful) warn("");
});

// ---------- Answers that overlap ----------

// The answer to an edit is for the region that stood there when it was sent. Where another answer replaced that one since,
// it takes its place again, with what is in it now, so that what comes is shown. What is only read is asked for anew.
function standAgain(region) {
  const now = region.id && !region.isConnected && document.getElementById(region.id);
  if (!now) return;
  region.replaceChildren();
  now.after(region);
  while (now.firstChild) {
    if (region.moveBefore) region.moveBefore(now.firstChild, null);
    else region.append(now.firstChild);
  }
  now.remove();
  htmx.process(region);
}

document.addEventListener("htmx:beforeSend", ({ detail: { xhr, target, requestConfig } }) => {
  if (requestConfig.verb === "get") return;
  xhr.addEventListener("readystatechange", () => {
    if (xhr.readyState === XMLHttpRequest.DONE) standAgain(target);
  });
});

// ---------- Where focus was, and where it belongs after a swap ----------

let before = null;

function path(element) {
  const same = (root) => [...root.querySelectorAll(`[name="${CSS.escape(element.name)}"]`)];
  const region = element.closest("[id]:not(input, select, textarea, button, a)") ?? document.body;
  return {
    id: element.id,
    name: element.name ?? "",
    keeps: element.closest("[data-keeps-focus]")?.dataset.keepsFocus ?? "",
    region: region.id,
    around: region.parentElement?.closest("[id]")?.id ?? "",
    place: element.name ? same(region).indexOf(element) : -1,
    start: "selectionStart" in element ? element.selectionStart : null,
    end: "selectionEnd" in element ? element.selectionEnd : null,
  };
}

function found(was, target) {
  if (was.id) {
    const byId = document.getElementById(was.id);
    if (byId) return byId;
  }
  if (was.keeps) {
    const byKey = document.querySelector(`[data-keeps-focus="${CSS.escape(was.keeps)}"]`);
    if (byKey) return byKey;
  }
  const region = was.region && document.getElementById(was.region);
  if (was.name) {
    const named = (region || target).querySelectorAll(`[name="${CSS.escape(was.name)}"]`);
    if (named.length) return named[Math.min(Math.max(was.place, 0), named.length - 1)];
  }
  return region;
}

// A button that was pressed for nothing leads to the first field that stops it, where that is one of its form.
function amiss(place) {
  const form = place?.matches?.("button") ? place.form : place?.closest?.("form") ?? place?.querySelector?.("form");
  return place?.matches?.("input, select, textarea") ? null : form?.querySelector("[aria-invalid=true]");
}

// Whether the focus went there: what is not shown takes none.
function focus(element, was) {
  if (!element) return false;
  if (!element.matches("a[href], button, input, select, textarea, summary, [tabindex]")) {
    element.tabIndex = -1;
  }
  element.focus({ preventScroll: true });
  if (was.start !== null && element.setSelectionRange) {
    try {
      element.setSelectionRange(was.start, was.end);
    } catch {
      // Some kinds of field have no selection.
    }
  }
  return document.activeElement === element;
}

// Swaps overlap: one that does not hold the focus must not forget where another took it from.
document.addEventListener("htmx:beforeSwap", (event) => {
  const active = document.activeElement;
  if (active && active !== document.body && event.detail.target.contains(active)) before = path(active);
});
document.addEventListener("focusin", () => {
  before = null;
});

document.addEventListener("htmx:afterSettle", (event) => {
  const active = document.activeElement;
  const was = before;
  if (!was || (active && active !== document.body && active.isConnected)) return;
  const main = document.getElementById("main");
  const target = event.detail.target.isConnected ? event.detail.target : main;
  const place = found(was, target);
  [amiss(place), place, document.getElementById(was.around), target, main].some((each) => focus(each, was));
  // What was closed may have been higher than the window: where one was is in sight again.
  document.activeElement.scrollIntoView({ block: "nearest" });
});

// ---------- What changed, said ----------

let fading = 0;

// A view answers with the header HX-Trigger: {"say": "Circuit added."}
function say(text) {
  clearTimeout(fading);
  said.classList.remove("is-old");
  said.textContent = "";
  // A pause makes a screen reader notice the same sentence twice.
  setTimeout(() => {
    said.textContent = text;
  }, 60);
  fading = setTimeout(() => said.classList.add("is-old"), 8000);
}

document.addEventListener("say", (event) => say(event.detail?.value ?? String(event.detail)));

// ---------- Dialogs ----------

document.addEventListener("click", (event) => {
  const opener = event.target.closest("[data-opens]");
  if (opener) document.getElementById(opener.dataset.opens)?.showModal();
  const closer = event.target.closest("[data-closes]");
  if (closer) closer.closest("dialog")?.close();
});

// ---------- Two values, one to pick ----------

document.addEventListener("click", (event) => {
  const pick = event.target.closest("[data-picks]");
  if (!pick) return;
  const field = pick.closest("form")?.elements[pick.dataset.picks];
  if (!field) return;
  if (field.type === "checkbox") field.checked = pick.dataset.value === "True";
  else field.value = pick.dataset.value;
  for (const each of pick.closest("form").querySelectorAll(`[data-picks="${pick.dataset.picks}"]`)) {
    each.setAttribute("aria-pressed", String(each === pick));
  }
});

// ---------- Where one is ----------

// A row of places that is wider than the window begins where one is, not at its first.
for (const here of document.querySelectorAll("nav [aria-current]")) {
  const row = here.closest("ul");
  if (!row || row.scrollWidth <= row.clientWidth) continue;
  const [of, within] = [here.getBoundingClientRect(), row.getBoundingClientRect()];
  row.scrollLeft += of.left + of.width / 2 - within.left - within.width / 2;
}

// ---------- The search ----------

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
