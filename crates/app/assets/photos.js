// Keeps a photo with a smaller view of it that the phone makes itself. It
// stands in the queue of the page's deeds: without a network it waits on the
// phone, is shown as not yet sent, and goes out once and in its turn when the
// network is back. A phone without room for it says so and keeps the choice.
import { keep, newId, post, rightNow, waitingFiles } from "./queue.js";

const VIEW_PX = 1280;
const THUMB_PX = 320;

for (const form of document.querySelectorAll(".photo-form")) {
  const path = new URL(form.action).pathname;
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    if (form.dataset.isBusy) return;
    form.dataset.isBusy = "yes";
    take(form, path).catch(() => tell(form, form.dataset.notSent)).finally(() => { delete form.dataset.isBusy; });
  });
  document.addEventListener("waiting", () => draw(form, path).catch(() => {}));
  document.addEventListener("sending", ({ detail }) => {
    const bar = form.parentElement.querySelector(`[data-no="${detail.deed.no}"] progress`);
    if (bar) bar.value = 100 * detail.share;
  });
  document.addEventListener("refused", ({ detail }) => {
    if (detail.deed.parts && detail.deed.path === path) tell(form, detail.words);
  });
  // The sliders of the proof are made by the server.
  document.addEventListener("delivered", ({ detail }) => {
    const isMine = detail.some((deed) => deed.parts && deed.path === path);
    if (isMine && form.elements.page.value === "prove") location.reload();
  });
  draw(form, path).catch(() => {});
}

async function take(form, path) {
  const photo = form.elements.photo.files[0];
  tell(form, null);
  if (photo.size > Number(form.dataset.most)) return tell(form, form.dataset.tooBig);
  const button = form.querySelector("button");
  button.disabled = true;
  try {
    const deed = await deedOf(form, path, photo);
    try {
      await keep(deed);
    } catch {
      if (!(await sentAtOnce(form, deed))) return;
    }
    form.elements.photo.value = "";
    form.elements.edit.value = newId();
  } finally {
    button.disabled = false;
  }
}

async function deedOf(form, path, photo) {
  const parts = ["edit", "saw", "page", "panel", "mark", "side"]
    .filter((name) => form.elements[name])
    .map((name) => [name, form.elements[name].value]);
  parts.push(["said_ms", String(rightNow())]);
  const view = await smaller(photo, VIEW_PX).catch(() => null);
  if (view) parts.push(["view", await blobOf(view), "view.jpg"]);
  parts.push(["photo", photo, "photo"]);
  const thumb = view ? (await smaller(view, THUMB_PX)).toDataURL("image/jpeg", 0.7) : null;
  const chosen = (name) => form.elements[name].selectedOptions?.[0]?.textContent ?? "";
  return { path, parts, thumb, about: `${chosen("panel")}: ${chosen("side")}` };
}

// The phone's storage refused: with a network it goes up past the queue.
async function sentAtOnce(form, deed) {
  const answer = await post(deed).catch(() => null);
  if (answer?.status === 200) {
    location.reload();
    return true;
  }
  const room = await free();
  const words = room === null ? form.dataset.noRoom : `${form.dataset.noRoom} ${form.dataset.room.replace("{0}", room)}`;
  tell(form, answer?.answer.error ?? words);
  return false;
}

// Megabytes that the browser still gives this page; only a secure page may ask.
async function free() {
  const told = await navigator.storage?.estimate?.().catch(() => null);
  return told ? Math.max(0, Math.floor((told.quota - told.usage) / 1e6)) : null;
}

// The browser turns the picture as the camera held it.
async function smaller(picture, most) {
  const drawn = picture instanceof Blob ? await createImageBitmap(picture) : picture;
  const scale = Math.min(1, most / Math.max(drawn.width, drawn.height));
  const canvas = document.createElement("canvas");
  canvas.width = Math.max(1, Math.round(drawn.width * scale));
  canvas.height = Math.max(1, Math.round(drawn.height * scale));
  canvas.getContext("2d").drawImage(drawn, 0, 0, canvas.width, canvas.height);
  drawn.close?.();
  return canvas;
}

function blobOf(canvas) {
  return new Promise((resolve) => canvas.toBlob(resolve, "image/jpeg", 0.82));
}

// Photos that wait on this phone, each marked as not yet sent.
async function draw(form, path) {
  const list = form.parentElement.querySelector(".unsent");
  const deeds = await waitingFiles(path);
  const shown = [...list.children].map((item) => item.dataset.no).join();
  if (shown === deeds.map((deed) => String(deed.no)).join()) return;
  list.replaceChildren(...deeds.map((deed) => itemOf(deed, list.dataset.words)));
}

function itemOf(deed, words) {
  const make = (name, props) => Object.assign(document.createElement(name), props);
  const mark = make("span", { className: "plate open", textContent: words });
  const caption = make("figcaption");
  caption.append(`${deed.about} `, mark);
  const figure = make("figure");
  if (deed.thumb) figure.append(make("img", { src: deed.thumb, alt: deed.about, width: 320, height: 240 }));
  figure.append(caption);
  const bar = make("progress", { max: 100, value: 0, ariaLabel: words });
  const item = make("li");
  item.dataset.no = deed.no;
  item.append(figure, bar);
  return item;
}

function tell(form, words) {
  const said = form.querySelector(".said");
  said.hidden = words === null;
  said.textContent = words ?? "";
}
