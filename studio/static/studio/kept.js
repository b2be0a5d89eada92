// A page's age when it is a kept one, what opens without a network, and the worker that keeps pages.
(() => {
  "use strict";

  const html = document.documentElement;
  const { person = "" } = html.dataset;

  const sayHowOld = () => {
    if (!html.dataset.kept) return;
    const line = document.getElementById("kept");
    const at = new Date(html.dataset.kept);
    const today = at.toDateString() === new Date().toDateString();
    const time = line.querySelector("time");
    time.dateTime = html.dataset.kept;
    time.textContent = at.toLocaleString(html.lang, today ? { hour: "2-digit", minute: "2-digit" }
      : { weekday: "long", day: "numeric", month: "long", hour: "2-digit", minute: "2-digit" });
    line.querySelectorAll("[data-why]").forEach((b) => { b.hidden = b.dataset.why !== html.dataset.why; });
    line.querySelector("a").href = location.href;
    line.hidden = false;
    // What was said when the page was new is not news any more.
    document.querySelectorAll("main > .said").forEach((said) => said.remove());
  };
  const listKept = async () => {
    const list = document.querySelector("#kept-pages ul");
    if (!list || !html.dataset.person) return;
    const cache = await caches.open(`pages-${html.dataset.person}`);
    for (const request of (await cache.keys()).reverse().slice(0, 12)) {
      const text = await (await cache.match(request)).text();
      const link = document.createElement("a");
      [link.textContent] = new DOMParser().parseFromString(text, "text/html").title.split(" · ");
      link.href = request.url;
      const line = document.createElement("li");
      line.append(link);
      list.append(line);
    }
    list.parentElement.hidden = !list.children.length;
  };
  const offline = () => {
    document.querySelectorAll("[data-when]").forEach((p) => { p.hidden = p.dataset.when !== (html.dataset.offline || "page"); });
    const again = document.getElementById("again");
    if (again && html.dataset.offline === "page") again.href = location.href;
    listKept();
  };
  const rememberWho = () => {
    if (person) localStorage.setItem("studio-person", person);
    else if (location.pathname === "/login/") localStorage.setItem("studio-person", "");
  };
  // One that the browser brings back from its memory after somebody went out.
  window.addEventListener("pageshow", (event) => {
    if (event.persisted && person && localStorage.getItem("studio-person") !== person) location.reload();
  });

  const serve = async () => {
    const had = Boolean(navigator.serviceWorker.controller);
    const registration = await navigator.serviceWorker.register("/sw.js", { updateViaCache: "none" });
    await navigator.serviceWorker.ready;
    if (!had && person && !html.dataset.kept) {
      const { port1, port2 } = new MessageChannel();
      const done = new Promise((yes) => { port1.onmessage = yes; });
      registration.active.postMessage({ keep: location.href }, [port2]);
      await done;
    }
    html.dataset.worker = "ready";
  };

  rememberWho();
  offline();
  sayHowOld();
  document.addEventListener("htmx:sendError", () => { document.getElementById("away").hidden = false; });
  document.addEventListener("htmx:afterOnLoad", () => { document.getElementById("away").hidden = true; });
  if ("serviceWorker" in navigator) serve().catch(() => { html.dataset.worker = "none"; });
})();
