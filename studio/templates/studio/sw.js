// The service worker: pages of the last visit when there is no network. Nothing that a person sends goes through it.
"use strict";

const BUILD = "{{ build }}";
const SHELL = {{ shell|safe }};
const SHELL_CACHE = `shell-${BUILD}`;
const WHO = "who"; // one entry: whose pages these are, and which Today was seen last
const OFFLINE = "/offline/";
const PATIENCE = 4000; // ms on a weak network before the kept page is shown
const MOST = 80; // pages kept for a person
const AWAY = [502, 503, 504]; // a proxy answers, the studio's computer does not
const SHUT = [403, 404];

let era = 0; // counts how often all was forgotten, so that no answer from before is kept after it
let posted = false;

const pagesOf = (person) => `pages-${person}`;
const mine = (name) => name.startsWith("pages-") || name === WHO;

const forget = async () => {
  era += 1;
  await Promise.all((await caches.keys()).filter(mine).map((name) => caches.delete(name)));
};

const who = async () => {
  const found = await (await caches.open(WHO)).match("/who");
  return found ? found.json() : { person: "", home: "" };
};

const nowHere = async (person, url) => {
  const before = await who();
  if (before.person && before.person !== person) await forget();
  const isToday = /^\/s\/[^/]+\/$/.test(url.pathname);
  const home = isToday ? url.pathname : before.person === person ? before.home : "";
  await (await caches.open(WHO)).put("/who", new Response(JSON.stringify({ person, home })));
};

// Whoever may not come in any more finds nothing kept of that studio either.
const leaveStudio = async (url) => {
  const [studio] = url.pathname.match(/^\/s\/[^/]+\//) || [];
  if (!studio) return;
  const answer = await fetch(studio, { redirect: "manual" });
  if (!SHUT.includes(answer.status)) return; // only this page is gone
  for (const name of (await caches.keys()).filter((n) => n.startsWith("pages-"))) {
    const cache = await caches.open(name);
    const kept = (await cache.keys()).filter((request) => new URL(request.url).pathname.startsWith(studio));
    await Promise.all(kept.map((request) => cache.delete(request)));
  }
};

// Keep a whole page of the one who is logged in; the login page means that nobody is.
const note = async (url, response, began) => {
  if (SHUT.includes(response.status)) return leaveStudio(url);
  if (!response.ok || response.redirected || response.type !== "basic") return;
  if (url.pathname === "/login/") return forget();
  const person = response.headers.get("X-Studio-Person");
  if (!person) return;
  const body = await response.blob();
  if (began !== era) return;
  await nowHere(person, url);
  const now = era;
  const cache = await caches.open(pagesOf(person));
  await cache.put(url.href, new Response(body, { headers: plain(response.headers) }));
  const kept = await cache.keys();
  await Promise.all(kept.slice(0, Math.max(0, kept.length - MOST)).map((old) => cache.delete(old)));
  if (now !== era) await caches.delete(pagesOf(person));
};

// The body is kept as it is read, so what was said of its packing is not true any more.
const plain = (headers) => {
  const out = new Headers(headers);
  for (const name of ["Content-Encoding", "Content-Length", "Vary", "Set-Cookie"]) out.delete(name);
  return out;
};

const marked = async (response, attributes) => {
  const said = Object.entries(attributes).map(([name, value]) => ` data-${name}="${value}"`).join("");
  const text = (await response.text()).replace("<html", `<html${said}`);
  return new Response(text, { headers: plain(response.headers) });
};

const keptPage = async (url, why) => {
  const { person, home } = await who();
  if (!person) return null;
  if (url.pathname === "/" && home) return Response.redirect(home, 302);
  const found = await (await caches.open(pagesOf(person))).match(url.href.split("#")[0]);
  if (!found) return null;
  const at = new Date(found.headers.get("Date") || 0).toISOString();
  return marked(found, { kept: at, why });
};

const offlinePage = async (what) => {
  const { person } = await who();
  const found = await caches.match(OFFLINE);
  if (!found) return Response.error();
  return marked(found, person ? { offline: what, person } : { offline: what });
};

const page = async (event, url) => {
  const began = era;
  const patient = posted; // after something was recorded its page is waited for, however long it takes
  posted = false;
  const answer = fetch(event.request).then((response) => {
    if (AWAY.includes(response.status)) throw new TypeError("away");
    event.waitUntil(note(url, response.clone(), began));
    return response;
  });
  event.waitUntil(answer.catch(() => null));
  const waited = new Promise((done) => { setTimeout(done, PATIENCE, "slow"); });
  try {
    const first = await (patient ? answer : Promise.race([answer, waited]));
    if (first !== "slow") return first;
  } catch {
    return (await keptPage(url, "away")) || offlinePage("page");
  }
  return (await keptPage(url, "slow")) || answer.catch(() => offlinePage("page"));
};

const sent = async (request, url) => {
  posted = true;
  if (["/login/", "/logout/"].includes(url.pathname)) await forget();
  return fetch(request).catch(() => offlinePage(url.pathname === "/logout/" ? "out" : "sent"));
};

const file = async (request) =>
  (await (await caches.open(SHELL_CACHE)).match(request)) || (await caches.match(request)) || fetch(request);

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (url.origin !== self.location.origin) return;
  if (request.mode === "navigate") {
    event.respondWith(request.method === "GET" ? page(event, url) : sent(request, url));
  } else if (request.method === "GET" && url.pathname.startsWith("/static/")) event.respondWith(file(request));
});

// A page that was loaded before there was a worker asks for itself to be kept.
const keep = async (href) => {
  const url = new URL(href.split("#")[0]);
  if (url.origin !== self.location.origin) return;
  const began = era;
  const response = await fetch(url.href, { redirect: "error", headers: { Accept: "text/html" } });
  await note(url, response, began);
};

self.addEventListener("message", (event) => {
  const { keep: href, forget: all, patient } = event.data || {};
  if (patient) posted = true;
  const work = all ? forget() : href ? keep(href).catch(() => null) : Promise.resolve();
  event.waitUntil(work.then(() => event.ports[0]?.postMessage("done")));
});

const fill = async () => {
  const cache = await caches.open(SHELL_CACHE);
  await Promise.all(SHELL.map(async (address) => {
    // Nobody's: without cookies the offline page knows no person.
    const answer = await fetch(address, { credentials: "omit", cache: "no-cache", redirect: "error" });
    if (!answer.ok) throw new TypeError(address);
    await cache.put(address, answer);
  }));
};

// An old shell stays as long as a kept page names one of its files.
const tidy = async () => {
  const named = new Set();
  const names = await caches.keys();
  for (const name of names.filter((n) => n.startsWith("pages-"))) {
    const cache = await caches.open(name);
    for (const request of await cache.keys()) {
      const text = await (await cache.match(request)).text();
      for (const [, address] of text.matchAll(/(?:href|src)="(\/static\/[^"]+)"/g)) named.add(address);
    }
  }
  for (const name of names.filter((n) => n.startsWith("shell-") && n !== SHELL_CACHE)) {
    const files = await (await caches.open(name)).keys();
    const current = await caches.open(SHELL_CACHE);
    const missing = [];
    for (const request of files) {
      const { pathname, search } = new URL(request.url);
      if (named.has(pathname + search) && !(await current.match(request))) missing.push(request);
    }
    if (!missing.length) await caches.delete(name);
  }
};

self.addEventListener("install", (event) => event.waitUntil(fill().then(() => self.skipWaiting())));
self.addEventListener("activate", (event) => event.waitUntil(tidy().then(() => self.clients.claim())));
