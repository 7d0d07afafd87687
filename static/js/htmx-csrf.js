// Around every request that htmx sends: the CSRF token, a key for the deed, and what to say when it fails.

const trouble = document.getElementById("trouble");

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

function say(text) {
  if (trouble && trouble.textContent !== text) trouble.textContent = text;
}

document.addEventListener("htmx:sendError", () => say(document.body.dataset.noConnection));
document.addEventListener("htmx:timeout", () => say(document.body.dataset.noConnection));
document.addEventListener("htmx:responseError", () => say(document.body.dataset.notDone));
document.addEventListener("htmx:afterOnLoad", () => say(""));
