// At the table: edits that wait for the connection, keys, who else is here, order by dragging.

const bar = document.querySelector(".project-bar");
const words = bar?.dataset ?? {};

function fill(text, values) {
  return Object.entries(values).reduce((so, [name, value]) => so.replace(`{${name}}`, value), text ?? "");
}

// ---------- The press first ----------

// A press is answered by a frame; what it asks for is sent after it, in order, and before anything could take its form away.
let pressed = [];

function sendPressed() {
  const now = pressed;
  pressed = [];
  for (const { elt, issueRequest, isMarked } of now) {
    if (isMarked) elt.classList.remove("htmx-request");
    issueRequest(true);
  }
}

document.addEventListener("htmx:confirm", (event) => {
  const { elt, question, triggeringEvent, issueRequest } = event.detail;
  if (question || !["click", "submit", "change"].includes(triggeringEvent?.type)) return;
  event.preventDefault();
  if (pressed.some((each) => each.elt === elt)) return;
  const isMarked = triggeringEvent.type !== "change" && !elt.classList.contains("htmx-request");
  if (isMarked) elt.classList.add("htmx-request");
  if (pressed.push({ elt, issueRequest, isMarked }) > 1) return;
  requestAnimationFrame(() => setTimeout(sendPressed));
  // A page that is not shown has no frames.
  setTimeout(sendPressed, 200);
});
document.addEventListener("htmx:beforeOnLoad", sendPressed);
window.addEventListener("pagehide", sendPressed);
// Which button sends a form is known while the form has the focus.
document.addEventListener(
  "focusout",
  (event) => {
    if (pressed.some(({ elt }) => elt !== event.target && elt.contains(event.target))) sendPressed();
  },
  true,
);

// ---------- What is being typed ----------

function isTouched(field) {
  if (field.type === "hidden") return false;
  if (field.type === "checkbox" || field.type === "radio") return field.checked !== field.defaultChecked;
  if (field.options) return field.selectedIndex !== Math.max(0, [...field.options].findIndex((each) => each.defaultSelected));
  return field.value !== field.defaultValue;
}

// What comes for one circuit takes no other's form away while somebody is in it, or has typed into it.
document.addEventListener("htmx:beforeSwap", (event) => {
  const { target, requestConfig } = event.detail;
  for (const card of target.querySelectorAll(".circuit, #circuit-add")) {
    const fields = [...card.querySelectorAll("input:not([type=hidden]), select, textarea")];
    const isInUse = fields.some(isTouched) || (fields.length > 0 && card.contains(document.activeElement));
    if (!isInUse || card.contains(requestConfig.elt)) continue;
    event.detail.serverResponse = event.detail.serverResponse.replace(`id="${card.id}"`, `id="${card.id}" hx-preserve`);
  }
});

// ---------- Edits that wait ----------

// One list per person in this browser. Each entry keeps its key, so that however often it arrives it is done once.
const STORE = "edits-that-wait";
const who = words.who ?? "";
const line = document.getElementById("waiting");
let sending = false;
let pause = 2000;

function all() {
  try {
    return JSON.parse(localStorage.getItem(STORE)) ?? [];
  } catch {
    return [];
  }
}

const mine = () => all().filter((edit) => edit.who === who);

function keep(list) {
  localStorage.setItem(STORE, JSON.stringify(list));
  show();
}

function drop(key) {
  keep(all().filter((edit) => edit.key !== key));
}

function token() {
  const found = document.cookie.split("; ").find((part) => part.startsWith("csrftoken="));
  return found ? decodeURIComponent(found.slice("csrftoken=".length)) : (document.querySelector("input[name=csrfmiddlewaretoken]")?.value ?? "");
}

function show(text = "", href = "") {
  if (!line) return;
  const count = mine().length;
  line.hidden = count === 0 && !text;
  line.replaceChildren();
  if (line.hidden) return;
  const said = document.createElement("span");
  said.textContent = text || fill(count === 1 ? words.waitsOne : words.waitsMany, { n: count });
  line.append(said);
  if (href) {
    const link = document.createElement("a");
    Object.assign(link, { href, textContent: words.logIn, className: "button" });
    line.append(link);
  } else if (count) {
    const press = document.createElement("button");
    Object.assign(press, { type: "button", textContent: words.sendNow, className: "button" });
    press.addEventListener("click", send);
    line.append(press);
  }
}

function wait(config) {
  const body = new URLSearchParams();
  const given = config.formData ?? config.parameters;
  const pairs = given instanceof FormData ? [...given.entries()] : Object.entries(given ?? {});
  for (const [name, value] of pairs) {
    for (const each of Array.isArray(value) ? value : [value]) if (typeof each === "string") body.append(name, each);
  }
  body.delete("csrfmiddlewaretoken");
  const key = body.get("key") || config.headers["X-Deed-Key"];
  const list = all();
  if (list.some((edit) => edit.key === key)) return;
  keep([...list, { who, key, url: config.path, body: body.toString(), at: Date.now() }]);
  later();
}

let timer = 0;
function later() {
  clearTimeout(timer);
  timer = setTimeout(send, pause);
  pause = Math.min(pause * 2, 30000);
}

// In order, one after another; nothing overtakes what waits before it.
async function send() {
  if (sending || !mine().length) return;
  sending = true;
  const run = async () => {
    let done = 0;
    for (let edit = mine()[0]; edit; edit = mine()[0]) {
      const answer = await fetch(edit.url, {
        method: "POST",
        body: edit.body,
        credentials: "same-origin",
        headers: {
          "Content-Type": "application/x-www-form-urlencoded",
          "HX-Request": "true",
          "HX-Current-URL": location.href,
          "X-CSRFToken": token(),
          "X-Deed-Key": edit.key,
        },
      });
      const login = answer.headers.get("HX-Redirect");
      if (login) return show(words.loggedOut, login);
      if (answer.status === 403) return show(words.loggedOut, location.pathname);
      if (answer.status >= 500) return later();
      drop(edit.key);
      const accepted = answer.ok && (answer.headers.get("HX-Trigger") ?? "").includes("design-changed");
      if (!accepted) return refused(edit);
      done += 1;
    }
    pause = 2000;
    if (done) refresh();
  };
  try {
    await (navigator.locks ? navigator.locks.request(STORE, run) : run());
  } catch {
    later();
  } finally {
    sending = false;
  }
}

function refused(edit) {
  const typed = [...new URLSearchParams(edit.body)].filter(([name]) => !["key", "seen", "read"].includes(name));
  show(fill(words.refused, { typed: typed.map(([, value]) => value).filter(Boolean).join(", ") }));
  refresh();
}

// The page as it is now; what stands half typed in the line stays there.
async function refresh() {
  const typed = document.getElementById("quick-line")?.value;
  for (const region of document.querySelectorAll("[data-refresh]")) {
    await htmx.ajax("GET", region.dataset.refresh, { target: region, swap: "outerHTML" });
  }
  const line = document.getElementById("quick-line");
  if (typed && line && !line.value) line.value = typed;
  document.body.dispatchEvent(new CustomEvent("design-changed"));
}

document.addEventListener("htmx:configRequest", (event) => {
  if (event.detail.verb === "get") return;
  event.detail.headers["X-Deed-Key"] = event.detail.parameters?.key || uuid();
});

// Where the page is not served by https, the browser has no randomUUID.
function uuid() {
  const hex = [...crypto.getRandomValues(new Uint8Array(16))];
  hex[6] = (hex[6] & 15) | 64;
  hex[8] = (hex[8] & 63) | 128;
  return hex.map((byte, at) => ([4, 6, 8, 10].includes(at) ? "-" : "") + byte.toString(16).padStart(2, "0")).join("");
}

document.addEventListener("htmx:beforeRequest", (event) => {
  const config = event.detail.requestConfig;
  if (config.verb === "get" || !mine().length) return;
  event.preventDefault();
  wait(config);
  renew(event.detail.elt);
});
document.addEventListener("htmx:sendError", (event) => {
  const config = event.detail.requestConfig;
  if (config.verb === "get") return;
  wait(config);
  renew(event.detail.elt);
});

// The page is about to leave for the log-in: what was entered is kept, and goes on after it.
document.addEventListener("htmx:beforeOnLoad", (event) => {
  const { xhr, requestConfig } = event.detail;
  if (requestConfig.verb !== "get" && xhr.getResponseHeader("HX-Redirect")?.includes("/login/")) wait(requestConfig);
});

// What is entered next is another edit: a key of its own, and a line that is free again.
function renew(element) {
  const form = element.closest("form");
  const key = form?.querySelector("input[name=key]");
  if (key) key.value = uuid();
  if (form?.id !== "quick") return;
  form.querySelector("#quick-line").value = "";
  form.querySelector("#quick-reading").replaceChildren();
}
window.addEventListener("online", () => {
  pause = 2000;
  send();
});
window.addEventListener("storage", (event) => {
  if (event.key === STORE) show();
});
show();
send();

// ---------- Keys ----------

// Keys of one sign can be switched off, for whoever speaks to the machine (WCAG 2.2, 2.1.4).
const single = {
  get off() {
    return localStorage.getItem("single-keys") === "off";
  },
};
const switcher = document.getElementById("single-keys");
if (switcher) {
  switcher.checked = !single.off;
  switcher.addEventListener("change", () => localStorage.setItem("single-keys", switcher.checked ? "on" : "off"));
}

const typing = (element) => element.matches?.("input:not([type=checkbox], [type=radio], [type=range]), textarea, select, [contenteditable]");

function press(name) {
  const form = document.querySelector(`[data-turn="${name}"]`);
  form?.requestSubmit();
  return Boolean(form);
}

function room(step) {
  const links = [...document.querySelectorAll(".room-strip a")];
  const here = links.findIndex((link) => link.getAttribute("aria-current"));
  if (here >= 0) links[here + step]?.click();
}

const plain = {
  "?": () => document.getElementById("keys")?.showModal(),
  n: () => document.getElementById("quick-line")?.focus(),
  "[": () => room(-1),
  "]": () => room(1),
};

document.addEventListener("keydown", (event) => {
  if (typing(event.target) || event.target.closest?.("dialog") || event.altKey) return;
  const held = event.ctrlKey || event.metaKey;
  const letter = event.key.toLowerCase();
  if (held && (letter === "z" || letter === "y")) {
    if (press(letter === "y" || event.shiftKey ? "redo" : "undo")) event.preventDefault();
  } else if (!held && plain[event.key] && !single.off) {
    event.preventDefault();
    plain[event.key]();
  }
});

// ---------- Who else is here ----------

const others = document.getElementById("others");
let asking = 0;

async function ask() {
  clearTimeout(asking);
  if (!others || document.hidden) return;
  try {
    const answer = await fetch(others.dataset.asks, { headers: { "HX-Request": "true" } });
    if (answer.ok && !answer.headers.get("HX-Redirect")) {
      const text = await answer.text();
      if (text.trim() !== others.textContent.trim()) others.textContent = text;
    }
  } catch {
    // Without a connection nobody is seen; the next look tells.
  }
  asking = setTimeout(ask, 20000);
}

document.addEventListener("visibilitychange", ask);
if (others) asking = setTimeout(ask, 1500);

// ---------- Order by dragging; up and down do the same by a press ----------

let dragged = null;

const lists = (article) => {
  const found = [];
  for (let each = article; each?.matches?.("[data-sort]"); each = each.previousElementSibling) found.unshift(each);
  for (let each = article.nextElementSibling; each?.matches?.("[data-sort]"); each = each.nextElementSibling) found.push(each);
  return found;
};

document.addEventListener("pointerdown", (event) => {
  const article = event.target.closest?.("[data-sort]");
  if (article && event.target.closest("header")) article.draggable = true;
});
document.addEventListener("dragstart", (event) => {
  dragged = event.target.closest?.("[data-sort]");
  dragged?.classList.add("is-dragged");
});
document.addEventListener("dragover", (event) => {
  const over = event.target.closest?.("[data-sort]");
  document.querySelectorAll(".is-target").forEach((each) => each.classList.remove("is-target"));
  if (!dragged || !over || !lists(dragged).includes(over)) return;
  event.preventDefault();
  over.classList.add("is-target");
});
document.addEventListener("drop", (event) => {
  const over = event.target.closest?.("[data-sort]");
  const order = dragged ? lists(dragged) : [];
  if (!over || !order.includes(over) || over === dragged) return;
  event.preventDefault();
  const step = order.indexOf(over) - order.indexOf(dragged);
  htmx.ajax("POST", dragged.dataset.sort, { values: { step }, target: "#circuits", swap: "outerHTML", source: dragged });
});
document.addEventListener("dragend", () => {
  document.querySelectorAll(".is-target").forEach((each) => each.classList.remove("is-target"));
  if (dragged) {
    dragged.draggable = false;
    dragged.classList.remove("is-dragged");
  }
  dragged = null;
});

// ---------- Figures for us go with the page ----------

window.addEventListener("pagehide", () => document.querySelectorAll("[data-for-us]").forEach((each) => each.replaceChildren()));
