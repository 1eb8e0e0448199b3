// Who signs out takes the kept pages along.
document.addEventListener("submit", (event) => {
  if (event.target.getAttribute("action") !== "/sign-out") return;
  navigator.serviceWorker?.controller?.postMessage({ forget: true });
});

// Sets the worker up where the browser allows one; pages work without it.
if ("serviceWorker" in navigator && isSecureContext) {
  navigator.serviceWorker.register("/sw.js").catch(() => {});
}
