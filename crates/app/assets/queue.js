// Forms that go on working without a network, and pages that hear of others.
//
// A form marked data-queue is not sent by the browser: its fields, with the
// event id the page made, are kept in IndexedDB and sent one after the other,
// oldest first. The server answers a second delivery of the same id with the
// event it already is, so an answer that got lost costs nothing. A deed leaves
// the queue only when the server has taken it, or has refused its content; a
// server that is away, full, busy or wants someone to sign in again keeps it
// here. Photos stand in the same queue, with their files as parts of a form.
//
// A deed belongs to whoever was signed in when it was made. It never goes out
// under another name: it waits for its person, or until someone takes it over.
import { drawOthers } from "./queue-others.js";
import { isOthers, keptFor, whoHere } from "./who.js";

const waiting = document.querySelector(".queue:not(.others)");
const atFirst = whoHere();
const job = document.querySelector("[data-job]")?.dataset.job;
const TAKEN_OR_REFUSED = [400, 404, 405, 409, 410, 413, 415, 422];
const DOUBLE_TAP_MS = 500;
const AGAIN_MS = 2000;
const SIGN_IN_AGAIN_MS = 15000;
let isSending = false;
let retry = 0;
let lastTap = { at: -Infinity, deed: "" };

const open = new Promise((resolve, reject) => {
  const request = indexedDB.open("lapwing", 1);
  request.onupgradeneeded = () => request.result.createObjectStore("deeds", { keyPath: "no", autoIncrement: true });
  request.onsuccess = () => resolve(request.result);
  request.onerror = () => reject(request.error);
});

async function store(mode, act) {
  const base = await open;
  return new Promise((resolve, reject) => {
    const piece = base.transaction("deeds", mode, { durability: "strict" });
    const request = act(piece.objectStore("deeds"));
    piece.oncomplete = () => resolve(request.result);
    piece.onerror = () => reject(piece.error);
    piece.onabort = () => reject(piece.error);
  });
}

// A new id in the manner of the page's own; crypto.randomUUID needs a secure
// page, a shop's network over plain http is none.
export function newId() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return [...bytes].map((b) => b.toString(16).padStart(2, "0")).join("");
}

// The device's clock may be wrong: answers say the server's time, and the
// difference is remembered for as long as the network is away.
function noteClock(date) {
  const said = Date.parse(date ?? "");
  if (Number.isFinite(said)) localStorage.setItem("lapwing-ahead-ms", String(Math.round(Date.now() - said - 500)));
}

export function rightNow() {
  const ahead = Number(localStorage.getItem("lapwing-ahead-ms") ?? 0);
  return Math.round(Date.now() - (Math.abs(ahead) > 1500 ? ahead : 0));
}

// The same deed twice in half a second is a shaking finger; in work mode any
// second one is, because the next button comes up where the last one was.
function isDoubleTap(form, fields, now) {
  const deed = [...fields].filter(([key]) => key !== "edit" && key !== "saw").join("&");
  const isDouble = now - lastTap.at < DOUBLE_TAP_MS && (deed === lastTap.deed || form.closest(".work-deeds"));
  if (!isDouble) lastTap = { at: now, deed };
  return isDouble;
}

// A deed that looks too early is asked about in words, once; the next press
// does it all the same. The question of a timer names what stands on it.
function isAsked(form) {
  const timer = document.querySelector(".timer");
  const clock = timer?.textContent ?? "";
  const [minutes, seconds] = clock.split(":").map(Number);
  const isEarly = form.dataset.early && minutes * 60 + seconds < Number(form.dataset.underS);
  const question = isEarly ? form.dataset.early.replace("{0}", clock) : form.dataset.ask;
  if (!question || form.dataset.asked) return false;
  form.dataset.asked = "yes";
  const words = document.createElement("p");
  words.className = "caution asked";
  words.setAttribute("role", "alert");
  words.textContent = question;
  const button = form.querySelector("button:not([type=button])");
  button.before(words);
  button.textContent = form.dataset.anyway;
  return true;
}

document.addEventListener("submit", (event) => {
  const form = event.target;
  if (!form.matches("[data-queue]")) return;
  event.preventDefault();
  const fields = new FormData(form, event.submitter);
  if (isDoubleTap(form, fields, event.timeStamp)) return;
  if (isAsked(form)) return;
  fields.set("said_ms", rightNow());
  const deed = { path: new URL(form.action).pathname, fields: new URLSearchParams(fields).toString() };
  store("readwrite", (s) => s.add(mine(deed))).then(() => {
    form.elements.edit.value = newId();
    // A phone leaves the focus in the field; a part with the focus is not renewed.
    if (form.closest("[data-live]")) document.activeElement?.blur();
    if (form.matches("[data-clears]")) for (const field of form.querySelectorAll("[required]")) field.value = "";
    form.dispatchEvent(new CustomEvent("kept", { bubbles: true, detail: fields }));
  }).then(() => tell()).then(send).catch((fault) => tell(String(fault)));
});

// Who signed out on another page is still who made what is entered here.
function mine(deed) {
  return { ...deed, by: whoHere() ?? atFirst };
}

// Keeps a deed of another module; fails when the device has no room for it.
export async function keep(deed) {
  await store("readwrite", (s) => s.add(mine(deed)));
  await tell();
  send();
}

// Deeds with files that wait here for an address, oldest first.
export async function waitingFiles(path) {
  const all = await store("readonly", (s) => s.getAll());
  return all.filter((deed) => deed.parts && deed.path === path && !isOthers(deed));
}

async function tell(refused, isSignedOut) {
  const all = await store("readonly", (s) => s.getAll());
  document.documentElement.dataset.waiting = all.length;
  document.dispatchEvent(new CustomEvent("waiting"));
  drawOthers(all.filter(isOthers), takeOver);
  if (!waiting) return;
  const count = all.filter((deed) => !isOthers(deed)).length;
  waiting.hidden = count === 0 && !refused;
  waiting.textContent = refused ?? waiting.dataset.one.replace("{0}", count);
  if (!isSignedOut || count === 0) return;
  const door = document.createElement("a");
  door.className = "button";
  door.href = `/sign-in?to=${encodeURIComponent(location.pathname + location.search)}`;
  door.textContent = waiting.dataset.signIn;
  waiting.textContent = waiting.dataset.one.replace("{0}", count);
  waiting.append(" ", waiting.dataset.signedOut, " ", door);
}

// Puts what someone else entered under the name of who was asked, if it is
// still they who are signed in.
async function takeOver(deeds, id) {
  const by = whoHere();
  if (by?.id !== id) return tell();
  for (const deed of deeds) await store("readwrite", (s) => s.put({ ...deed, by }));
  await tell();
  send();
}

// One page of the device sends at a time, where the browser can promise it.
export function send() {
  if (!navigator.locks) return sendAll();
  return navigator.locks.request("lapwing-queue", sendAll);
}

async function sendAll() {
  if (isSending) return;
  isSending = true;
  clearTimeout(retry);
  let [refused, isSignedOut, pause] = [null, false, AGAIN_MS];
  const sent = [];
  try {
    for (;;) {
      const all = await store("readonly", (s) => s.getAll());
      const deed = all.find((one) => !isOthers(one));
      if (!deed) break;
      const { status, answer, date, wait } = await post(deed);
      noteClock(date);
      const words = answer.error ?? String(status);
      if (status < 200 || status > 299) {
        // Signed out, not allowed, full or away: nothing is lost, it waits.
        if (!TAKEN_OR_REFUSED.includes(status)) {
          // The answer has told who is signed in by now.
          if (status === 403 && isOthers(deed)) continue;
          isSignedOut = status === 401;
          refused = words;
          pause = wait > 0 ? 1000 * wait : SIGN_IN_AGAIN_MS;
          throw new Error(words);
        }
        refused = words;
        document.dispatchEvent(new CustomEvent("refused", { detail: { deed, words } }));
      }
      await store("readwrite", (s) => s.delete(deed.no));
      sent.push(deed);
      await tell(refused);
    }
  } catch {
    retry = setTimeout(send, pause);
  } finally {
    isSending = false;
    await tell(refused, isSignedOut);
  }
  if (sent.length > 0) await renew().catch(() => {});
  if (sent.length > 0) document.dispatchEvent(new CustomEvent("delivered", { detail: sent }));
}

// Sends one deed and gives the answer; fails when none came.
export async function post(deed) {
  if (deed.parts) return postFiles(deed);
  const response = await fetch(deed.path, {
    method: "POST",
    headers: { accept: "application/json", "content-type": "application/x-www-form-urlencoded", ...keptFor(deed) },
    body: deed.fields,
  });
  const said = (name) => response.headers.get(name);
  return { status: response.status, answer: await response.json().catch(() => ({})), date: said("date"), wait: Number(said("retry-after")) };
}

// A file takes a while: how far it is, is called out on the way.
function postFiles(deed) {
  const body = new FormData();
  for (const [name, value, file] of deed.parts) {
    if (file) body.set(name, value, file);
    else body.set(name, value);
  }
  return new Promise((resolve, reject) => {
    const request = new XMLHttpRequest();
    request.open("POST", deed.path);
    request.setRequestHeader("accept", "application/json");
    for (const [name, value] of Object.entries(keptFor(deed))) request.setRequestHeader(name, value);
    request.upload.onprogress = (event) => {
      const share = event.loaded / event.total;
      document.dispatchEvent(new CustomEvent("sending", { detail: { deed, share } }));
    };
    request.onload = () => {
      let answer = {};
      try { answer = JSON.parse(request.responseText); } catch { /* no words came */ }
      const said = (name) => request.getResponseHeader(name);
      resolve({ status: request.status, answer, date: said("date"), wait: Number(said("retry-after")) });
    };
    request.onerror = () => reject(new Error("away"));
    request.send(body);
  });
}

// Fetches the page anew and exchanges its living parts.
async function renew() {
  if (!job) return;
  const response = await fetch(location.href, { headers: { accept: "text/html" } });
  if (!response.ok) return;
  noteClock(response.headers.get("date"));
  const fresh = new DOMParser().parseFromString(await response.text(), "text/html");
  const version = () => document.querySelector("[name=saw]")?.value;
  const before = version();
  for (const part of document.querySelectorAll("[data-live]")) {
    const newer = fresh.getElementById(part.id);
    if (newer && newer.innerHTML !== part.innerHTML && !part.contains(document.activeElement?.closest("input:not([type=range]), textarea"))) {
      part.innerHTML = newer.innerHTML;
    }
  }
  for (const saw of document.querySelectorAll("[name=saw]")) {
    saw.value = fresh.querySelector("[name=saw]")?.value ?? saw.value;
  }
  document.dispatchEvent(new CustomEvent("renewed", { detail: { changed: version() !== before } }));
}

if (job) {
  const after = document.querySelector("[name=saw]")?.value;
  const news = new EventSource(`/jobs/${job}/events${after ? `?after=${after}` : ""}`);
  news.addEventListener("changed", () => { if (!isSending) renew().catch(() => {}); });
  news.addEventListener("open", () => { send(); });
}
addEventListener("online", send);
tell().then(send);
