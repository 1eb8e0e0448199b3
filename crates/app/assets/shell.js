import { forgetOthers } from "./who.js";

forgetOthers();

// Who signs out takes the kept pages along.
document.addEventListener("submit", (event) => {
  if (event.target.getAttribute("action") !== "/sign-out") return;
  navigator.serviceWorker?.controller?.postMessage({ forget: true });
});

// A form on its way is not sent twice. What was typed stays on the device until
// the server took it: who was signed out meanwhile finds it again.
const DRAFT = "lapwing-draft";
const here = () => location.pathname + location.search;

document.addEventListener("submit", (event) => {
  const form = event.target;
  if (form.method !== "post" || form.matches("[data-queue], .photo-form")) return;
  if (form.dataset.sent) return event.preventDefault();
  form.dataset.sent = "yes";
  setTimeout(() => { delete form.dataset.sent; }, 5000);
  if (form.querySelector("input[type=password], input[type=file]")) return;
  const fields = [...new FormData(form)].filter(([, value]) => typeof value === "string");
  sessionStorage.setItem(DRAFT, JSON.stringify({ page: here(), action: form.getAttribute("action"), fields }));
});
addEventListener("pageshow", () => {
  for (const form of document.querySelectorAll("form[data-sent]")) delete form.dataset.sent;
});

function again() {
  const draft = JSON.parse(sessionStorage.getItem(DRAFT) ?? "null");
  if (!draft || location.pathname === "/sign-in") return;
  const way = document.getElementById("sign-in-again");
  if (way) {
    way.href = `/sign-in?to=${encodeURIComponent(draft.page)}`;
    return sessionStorage.setItem(DRAFT, JSON.stringify({ ...draft, isRefused: true }));
  }
  sessionStorage.removeItem(DRAFT);
  if (draft.isRefused && draft.page === here()) fill(draft);
}

// The form with the same action and the same unseen words.
function fill({ action, fields }) {
  const typed = new Map(fields);
  const same = (form) => form.getAttribute("action") === action
    && ["deed", "what", "list", "item"].every((name) => !form.elements[name]?.type?.startsWith("hidden") || form.elements[name].value === typed.get(name));
  const form = [...document.querySelectorAll("form[method=post]")].find(same);
  if (!form) return;
  const seen = {};
  for (const [name, value] of fields) {
    if (name === "saw") continue;
    const all = [...form.querySelectorAll(`[name="${CSS.escape(name)}"]`)];
    const box = all.find((e) => ["radio", "checkbox"].includes(e.type) && e.value === value);
    if (box) { box.checked = true; continue; }
    const field = all[seen[name] = (seen[name] ?? -1) + 1];
    if (field) field.value = value;
  }
  form.closest("details")?.setAttribute("open", "");
  form.dispatchEvent(new Event("change", { bubbles: true }));
  form.scrollIntoView();
}

again();

// A form that came back opens at its fault.
const fault = document.querySelector(".fault[autofocus]");
fault?.scrollIntoView({ block: "center" });
fault?.focus();

// Sets the worker up where the browser allows one; pages work without it.
if ("serviceWorker" in navigator && isSecureContext) {
  navigator.serviceWorker.register("/sw.js").catch(() => {});
}
