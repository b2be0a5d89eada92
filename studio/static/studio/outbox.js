// What was recorded waits here until the server has said that this very entry is in its book. Nothing is lost: an entry
// is on the phone's disk before it is sent, and leaves it only by that answer or by a person's hand.
(() => {
  "use strict";

  const { person = "" } = document.documentElement.dataset;
  const LOCK = "studio-outbox";
  const PAUSE = 30000; // ms between tries while something waits
  const HERE_MS = 4000, SEND_MS = 15000;
  const BROKEN_TRIES = 5; // an entry that the server breaks on so often is shown, so that those behind it can go
  const OURS = ["id", "kind", "next", "stay", "when", "recorded_at", "sent_at", "csrfmiddlewaretoken"];
  const works = window.isSecureContext && "locks" in navigator && "indexedDB" in window;

  const newId = () => crypto.randomUUID();
  const settled = (request) => new Promise((done, fail) => {
    request.onsuccess = () => done(request.result);
    request.onerror = () => fail(request.error);
  });

  let opened = null;
  const open = () => {
    opened ??= new Promise((done, fail) => {
      const request = indexedDB.open("studio-outbox", 1);
      request.onupgradeneeded = () => {
        request.result.createObjectStore("entries", { keyPath: "seq", autoIncrement: true })
          .createIndex("id", "id", { unique: true });
      };
      request.onsuccess = () => done(request.result);
      request.onerror = () => { opened = null; fail(request.error); };
    });
    return opened;
  };
  // Done only when the change is on the disk.
  const write = async (change) => {
    const base = await open();
    return new Promise((done, fail) => {
      const work = base.transaction("entries", "readwrite", { durability: "strict" });
      work.oncomplete = () => done();
      work.onerror = work.onabort = () => fail(work.error);
      change(work.objectStore("entries"));
    });
  };
  const all = async () => settled((await open()).transaction("entries").objectStore("entries").getAll());
  const find = async (id) => (await all()).find((entry) => entry.id === id);
  const remove = (seq) => write((entries) => entries.delete(seq));
  const put = (entry) => write((entries) => entries.put(entry));

  const others = typeof BroadcastChannel === "function" ? new BroadcastChannel("studio-outbox") : null;
  const changed = () => {
    others?.postMessage("changed");
    document.dispatchEvent(new CustomEvent("outbox"));
  };

  const ask = async (address, options, patience) => {
    const end = new AbortController();
    const timer = setTimeout(() => end.abort(), patience);
    try {
      const response = await fetch(address, {
        redirect: "error", cache: "no-store", signal: end.signal, ...options,
        headers: { Accept: "application/json", ...options.headers },
      });
      let said = null;
      try { said = await response.json(); } catch { /* a proxy's page: its status is all it says */ }
      return { status: response.status, said };
    } catch {
      return { status: 0, said: null };
    } finally { clearTimeout(timer); }
  };

  // Asked right before sending, for a token goes stale with every login, and another person may be logged in by now.
  const whoIsHere = () => ask("/here/", {}, HERE_MS);

  const send = (entry, token, tell) => {
    const body = new URLSearchParams(entry.fields);
    const own = { id: entry.id, kind: entry.kind, recorded_at: entry.recorded_at, sent_at: new Date().toISOString(),
      next: entry.next, stay: entry.stay, when: entry.when };
    Object.entries(own).forEach(([name, value]) => body.append(name, value));
    const headers = { "X-CSRFToken": token, "X-Studio-Person": entry.person };
    if (tell) headers["X-Tell"] = "page";
    return ask(entry.to, { method: "POST", body, headers }, SEND_MS);
  };

  const LATER = [0, 401, 408, 425, 429];
  const isLater = (status) => LATER.includes(status) || status >= 500 || (status >= 200 && status < 400);

  const park = async (entry, { status, said }) => {
    await put({ ...entry, state: "parked", answer: { status, message: said?.message || "" } });
  };

  // One entry: "gone" if it is in the book or was answered in sight, "parked", or why it has to wait.
  const one = async (entry, here, tell) => {
    await put({ ...entry, tried: true });
    let answer = await send(entry, here.token, tell);
    if (answer.status === 403 && answer.said?.error === "csrf") {
      const again = await whoIsHere();
      if (again.status !== 200) return { how: "later" };
      here.token = again.said.token;
      answer = await send(entry, here.token, tell);
      if (answer.said?.error === "csrf") return { how: "later" };
    }
    const { status, said } = answer;
    const certain = said?.id === entry.id;
    if (certain && status === 200) {
      await remove(entry.seq);
      if (entry.replaces) await dropId(entry.replaces);
      return { how: "gone", next: said.next };
    }
    if (certain && said.next) {
      // Refused where the person is looking, and the next page shows it with what was entered. An entry that was
      // parked before stays so until another takes its place: that page may not have its form any more.
      if (entry.state === "parked") await park(entry, answer); else await remove(entry.seq);
      return { how: "refused", next: said.next };
    }
    if (status === 401) return { how: "login" };
    if (status === 500) {
      const broke = (entry.broke || 0) + 1;
      if (broke >= BROKEN_TRIES) { await park(entry, answer); return { how: "parked" }; }
      await put({ ...entry, tried: true, broke });
      return { how: "later" };
    }
    if (isLater(status)) return { how: "later" };
    await park(entry, answer);
    return { how: "parked" };
  };

  const dropId = async (id) => {
    const found = await find(id);
    if (found) await remove(found.seq);
  };

  const run = async (tell) => {
    const waiting = (await all()).filter((entry) => entry.state === "waiting" || entry.id === tell);
    const result = { how: "done", sent: 0, next: "" };
    if (!waiting.length) return result;
    // navigator.onLine is not asked: without any network the studio's own computer still reaches itself.
    const { status, said } = await whoIsHere();
    if (status !== 200 || !said?.person) return { ...result, how: status === 401 ? "login" : "later" };
    for (const entry of waiting.filter((e) => e.person === said.person)) {
      const got = await one(entry, said, entry.id === tell);
      if (got.how === "later" || got.how === "login") return { ...result, how: got.how };
      if (got.how === "gone") result.sent += 1;
      if (entry.id === tell) result.next = got.next || "";
    }
    return result;
  };

  // One drain over all tabs, and each begins with what stands in the outbox then.
  const drain = async (tell = "") => {
    const result = await navigator.locks.request(LOCK, () => run(tell));
    changed();
    return result;
  };

  const label = (form, button) => {
    const spoken = button?.getAttribute("aria-label");
    if (spoken) return spoken;
    const box = form.closest("li.task, .card, section, main");
    const title = box?.querySelector(".what span, h3, h2, h1")?.textContent || document.title;
    return [title, button?.textContent || ""].map((t) => t.trim().replace(/\s+/g, " ")).filter(Boolean).join(": ");
  };

  const entryOf = (form, button) => {
    const data = new FormData(form);
    if (button?.name) data.append(button.name, button.value);
    const said = (name) => String(data.get(name) || "");
    const back = sessionStorage.getItem("studio-changing");
    const replaces = back && JSON.parse(back).kind === said("kind") ? JSON.parse(back).id : "";
    return {
      id: newId(), person, to: new URL(form.action).pathname, kind: said("kind"), next: said("next"),
      stay: said("stay"), when: said("when"), recorded_at: new Date().toISOString(), state: "waiting", replaces,
      fields: [...data].filter(([name]) => !OURS.includes(name)).map(([name, value]) => [name, String(value)]),
      label: label(form, button), tried: false,
    };
  };

  const keep = async (entry) => {
    await write((entries) => entries.add(entry));
    if (entry.replaces) sessionStorage.removeItem("studio-changing");
    changed();
    navigator.storage?.persist?.().catch(() => null);
  };

  others?.addEventListener("message", () => document.dispatchEvent(new CustomEvent("outbox")));
  window.outbox = { works: Boolean(works), person, PAUSE, OURS, all, find, drain, keep, entryOf, remove, changed };
})();
