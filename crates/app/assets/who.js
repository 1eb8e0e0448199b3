// Who is signed in on this device, as the server last said: an id and a name.
// It only labels what waits here; what may be done, the session decides.
export function whoHere() {
  const told = document.cookie.split("; ").find((one) => one.startsWith("lapwing_who="));
  const [, id, name] = /^([^.]+)\.?(.*)$/.exec(told?.slice("lapwing_who=".length) ?? "") ?? [];
  return id ? { id, name: decodeURIComponent(name) } : null;
}

// Whether a deed was made by someone else than who is signed in now.
export function isOthers(deed) {
  const here = whoHere();
  return Boolean(deed.by && here && deed.by.id !== here.id);
}

// The server turns down what was kept for someone else than who is signed in.
export function keptFor(deed) {
  return deed.by ? { "x-lapwing-kept-for": deed.by.id } : {};
}

// Pages kept for one person are not shown to the next, however the first left.
export function forgetOthers() {
  const id = whoHere()?.id;
  const last = localStorage.getItem("lapwing-last-who");
  if (!id || id === last) return;
  if (last) navigator.serviceWorker?.controller?.postMessage({ forget: true });
  localStorage.setItem("lapwing-last-who", id);
}
