// Sets the worker up where the browser allows one; pages work without it.
if ("serviceWorker" in navigator && isSecureContext) {
  navigator.serviceWorker.register("/sw.js").catch(() => {});
}
