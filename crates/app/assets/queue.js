// Forms that go on working without a network, and pages that hear of others.
//
// A form marked data-queue is not sent by the browser: its fields, with the
// event id the page made, are kept in IndexedDB and sent one after the other,
// oldest first. The server answers a second delivery of the same id with the
// event it already is, so an answer that got lost costs nothing.

const waiting = document.querySelector(".queue");
const job = document.querySelector("[data-job]")?.dataset.job;
let isSending = false;

const open = new Promise((resolve, reject) => {
  const request = indexedDB.open("lapwing", 1);
  request.onupgradeneeded = () => request.result.createObjectStore("deeds", { keyPath: "no", autoIncrement: true });
  request.onsuccess = () => resolve(request.result);
  request.onerror = () => reject(request.error);
});

async function store(mode, act) {
  const base = await open;
  return new Promise((resolve, reject) => {
    const piece = base.transaction("deeds", mode);
    const request = act(piece.objectStore("deeds"));
    piece.oncomplete = () => resolve(request.result);
    piece.onerror = () => reject(piece.error);
    piece.onabort = () => reject(piece.error);
  });
}

// A new id in the manner of the page's own; crypto.randomUUID needs a secure
// page, a shop's network over plain http is none.
function newId() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return [...bytes].map((b) => b.toString(16).padStart(2, "0")).join("");
}

document.addEventListener("submit", (event) => {
  const form = event.target;
  if (!form.matches("[data-queue]")) return;
  event.preventDefault();
  const fields = new FormData(form, event.submitter);
  fields.set("said_ms", Date.now());
  const deed = { path: new URL(form.action).pathname, fields: new URLSearchParams(fields).toString() };
  form.elements.edit.value = newId();
  form.dispatchEvent(new CustomEvent("kept", { bubbles: true, detail: fields }));
  store("readwrite", (s) => s.add(deed)).then(tell).then(send);
});

async function tell(refused) {
  if (!waiting) return;
  const count = await store("readonly", (s) => s.count());
  waiting.hidden = count === 0 && !refused;
  waiting.textContent = refused ?? waiting.dataset.one.replace("{0}", count);
  document.documentElement.dataset.waiting = count;
}

async function send() {
  if (isSending) return;
  isSending = true;
  let refused = null;
  try {
    for (;;) {
      const [deed] = await store("readonly", (s) => s.getAll(null, 1));
      if (!deed) break;
      const response = await fetch(deed.path, {
        method: "POST",
        headers: { accept: "application/json", "content-type": "application/x-www-form-urlencoded" },
        body: deed.fields,
      });
      if (response.status >= 500 || response.status === 429) throw new Error("the server is away");
      if (response.status === 401) {
        // Signed out: nothing is lost, it goes out after signing in.
        refused = (await response.json()).error;
        setTimeout(send, 15000);
        return;
      }
      if (!response.ok) refused = (await response.json()).error;
      await store("readwrite", (s) => s.delete(deed.no));
      await tell(refused);
    }
    await renew();
  } catch {
    setTimeout(send, 2000);
  } finally {
    isSending = false;
    await tell(refused);
  }
}

// Fetches the page anew and exchanges its living parts.
async function renew() {
  if (!document.querySelector("[data-live]")) return;
  const response = await fetch(location.href, { headers: { accept: "text/html" } });
  if (!response.ok) return;
  const fresh = new DOMParser().parseFromString(await response.text(), "text/html");
  for (const part of document.querySelectorAll("[data-live]")) {
    const newer = fresh.getElementById(part.id);
    if (newer && newer.innerHTML !== part.innerHTML && !part.contains(document.activeElement?.closest("input, textarea"))) {
      part.innerHTML = newer.innerHTML;
    }
  }
  for (const saw of document.querySelectorAll("[name=saw]")) {
    saw.value = fresh.querySelector("[name=saw]")?.value ?? saw.value;
  }
  document.dispatchEvent(new Event("renewed"));
}

if (job) {
  const news = new EventSource(`/jobs/${job}/events`);
  news.addEventListener("changed", () => { if (!isSending) renew().catch(() => {}); });
}
addEventListener("online", send);
tell().then(send);
