// Sends a photo with a smaller view of it that the phone makes itself, shows
// how far it is, and keeps the choice when the network fails.
const VIEW_PX = 1280;

for (const form of document.querySelectorAll(".photo-form")) {
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    if (form.dataset.isBusy) return;
    form.dataset.isBusy = "yes";
    send(form).catch(() => tell(form, form.dataset.notSent)).finally(() => { delete form.dataset.isBusy; });
  });
}

async function send(form) {
  const photo = form.elements.photo.files[0];
  tell(form, null);
  if (photo.size > Number(form.dataset.most)) return tell(form, form.dataset.tooBig);
  const body = new FormData();
  for (const name of ["edit", "saw", "page", "panel", "mark", "side"]) {
    if (form.elements[name]) body.set(name, form.elements[name].value);
  }
  const view = await smaller(photo).catch(() => null);
  if (view) body.set("view", view, "view.jpg");
  body.set("photo", photo, "photo");
  const { status, answer } = await posted(form, body);
  if (status !== 200) return tell(form, answer?.error ?? form.dataset.notSent);
  form.elements.photo.value = "";
  location.reload();
}

// The browser turns the picture as the camera held it.
async function smaller(photo) {
  const picture = await createImageBitmap(photo);
  const scale = Math.min(1, VIEW_PX / Math.max(picture.width, picture.height));
  const canvas = document.createElement("canvas");
  canvas.width = Math.max(1, Math.round(picture.width * scale));
  canvas.height = Math.max(1, Math.round(picture.height * scale));
  canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
  picture.close();
  return new Promise((resolve) => canvas.toBlob(resolve, "image/jpeg", 0.82));
}

function posted(form, body) {
  const bar = form.querySelector("progress");
  const button = form.querySelector("button");
  bar.hidden = false;
  button.disabled = true;
  return new Promise((resolve, reject) => {
    const request = new XMLHttpRequest();
    request.open("POST", new URL(form.action).pathname);
    request.setRequestHeader("accept", "application/json");
    request.upload.onprogress = (event) => { bar.value = (100 * event.loaded) / event.total; };
    request.onload = () => {
      let answer = null;
      try { answer = JSON.parse(request.responseText); } catch { /* no words came */ }
      resolve({ status: request.status, answer });
    };
    request.onerror = reject;
    request.onloadend = () => { bar.hidden = true; bar.value = 0; button.disabled = false; };
    request.send(body);
  });
}

function tell(form, words) {
  const said = form.querySelector(".said");
  said.hidden = words === null;
  said.textContent = words ?? "";
}
