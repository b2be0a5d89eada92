// The phone's side of a page: forms that may wait, what waits, and going out without a trace.
(() => {
  "use strict";

  const html = document.documentElement;
  const box = document.getElementById("outbox");
  const { outbox } = window;
  const words = box.dataset;
  const PATIENCE = 3000; // ms that a tap waits for its answer before the page says that it is kept
  let touched = false;

  const count = (n, one, many) => (n === 1 ? one : many.replace("{n}", n));
  const make = (tag, text, css = "") => {
    const made = document.createElement(tag);
    made.textContent = text;
    if (css) made.className = css;
    return made;
  };
  const button = (text, css, act) => {
    const made = make("button", text, css);
    made.type = "button";
    made.addEventListener("click", act);
    return made;
  };
  const note = (text, href = "", link = "") => {
    const line = box.querySelector("[data-note]");
    line.textContent = text && `${text} `;
    line.hidden = !text && !href;
    if (href) {
      const made = make("a", link);
      made.href = href;
      line.append(made);
    }
  };
  const login = () => { box.hidden = false; note("", `/login/?next=${encodeURIComponent(location.pathname)}`, words.login); };

  // The page as it is now, however long it takes: the kept one would show as undone what was just recorded.
  const patiently = () => navigator.serviceWorker?.controller?.postMessage({ patient: true });
  const go = (address) => {
    patiently();
    const to = new URL(address, location.href);
    if (to.hash && to.pathname + to.search === location.pathname + location.search) {
      location.hash = to.hash; // the same page: a new fragment alone would not load it
      location.reload();
    } else location.assign(to.href);
  };

  // The list of what waits

  const parked = (entry) => {
    const line = make("li", "", "stack is-parked");
    const why = entry.answer.message || (entry.answer.status === 413 ? words.large : words.not);
    const both = make("div", "", "both");
    both.append(
      button(words.change, "", () => change(entry)),
      button(words.discard, "wait", () => outbox.remove(entry.seq).then(outbox.changed)),
    );
    line.append(make("b", `${words.parked}: ${entry.label}`), make("span", why), both);
    return line;
  };
  const waiting = (entry) => {
    const line = make("li", "", "split");
    line.append(make("span", entry.label));
    // Once it has been on its way it may be in the book, and is undone there.
    if (!entry.tried) line.append(button(words.back, "quiet", () => outbox.remove(entry.seq).then(outbox.changed)));
    return line;
  };
  const change = async (entry) => {
    sessionStorage.setItem("studio-changing", JSON.stringify({ id: entry.id, kind: entry.kind }));
    // Sent again, so that its page opens with the entries in their fields, or it is taken now.
    const { next, how } = await outbox.drain(entry.id);
    if (how === "login") login();
    if (next) go(next);
  };

  const show = async () => {
    const entries = await outbox.all();
    const own = entries.filter((e) => e.person === outbox.person);
    const rest = entries.length - own.length;
    const waits = own.filter((e) => e.state === "waiting");
    html.dataset.waiting = String(waits.length);
    html.dataset.parked = String(own.length - waits.length);
    box.hidden = entries.length === 0 && !box.dataset.stays;
    const said = [];
    if (waits.length) said.push(count(waits.length, words.one, words.many));
    const foreign = outbox.person ? [words.otherOne, words.otherMany] : [words.noOne, words.noMany];
    if (rest) said.push(count(rest, ...foreign));
    const line = box.querySelector("[data-count]");
    line.textContent = said.join(" · ");
    line.parentElement.hidden = !said.length;
    box.querySelector("[data-list]").replaceChildren(
      ...own.map((e) => (e.state === "parked" ? parked(e) : waiting(e))),
    );
    markForms(waits);
  };

  // The cards whose work waits

  const valuesOf = (form, names) => [...form.querySelectorAll("input[type=hidden]")]
    .filter((i) => names.includes(i.name)).map((i) => i.value);
  const TASKS = ["task", "tasks"];
  const DONE = ["task_done", "done_up_to"];
  const isAbout = (form, kind, entry) => {
    const told = entry.fields.filter(([name]) => TASKS.includes(name)).map(([, value]) => value);
    const tasks = valuesOf(form, TASKS);
    if (DONE.includes(kind) && DONE.includes(entry.kind)) return tasks.length > 0 && tasks.every((t) => told.includes(t));
    const hidden = [...form.querySelectorAll("input[type=hidden]")].filter((i) => !outbox.OURS.includes(i.name));
    return kind === entry.kind && new URL(form.action).pathname === entry.to && hidden.length > 0
      && hidden.every((i) => entry.fields.some(([name, value]) => name === i.name && value === i.value));
  };
  const markForms = (entries) => {
    document.querySelectorAll(".kept-here").forEach((old) => old.remove());
    const counts = new Map();
    for (const input of document.querySelectorAll("input[data-later]")) {
      const { form } = input;
      const n = entries.filter((e) => isAbout(form, input.value, e)).length;
      if (form.dataset.busy) continue;
      if (form.dataset.shut) form.querySelectorAll("button").forEach((b) => { b.disabled = false; });
      delete form.dataset.shut;
      if (!n) continue;
      if (input.dataset.later === "once") {
        form.querySelectorAll("button").forEach((b) => { b.disabled = true; });
        form.dataset.shut = "1";
      }
      const card = form.closest("li.task, .card, li") || form;
      counts.set(card, Math.max(n, counts.get(card) || 0));
    }
    const told = entries.filter((e) => DONE.includes(e.kind)).flatMap((e) => e.fields.map(([, value]) => value));
    document.querySelectorAll("input[type=checkbox][name=tasks]").forEach((tick) => {
      if (told.includes(tick.value)) tick.checked = false;
    });
    counts.forEach((n, card) => card.append(make("p", count(n, words.here, words.hereMany), "tag tag-dry kept-here")));
  };

  // A tap

  const open = (form) => {
    delete form.dataset.busy;
    form.querySelectorAll("button").forEach((b) => { b.disabled = false; });
  };
  const withoutOutbox = (form, by) => {
    if (by?.name) {
      const value = make("input", "");
      Object.assign(value, { type: "hidden", name: by.name, value: by.value });
      form.append(value);
    }
    form.submit();
  };
  const take = async (form, by) => {
    const entry = outbox.entryOf(form, by);
    form.dataset.busy = "1";
    try { await outbox.keep(entry); } catch { withoutOutbox(form, by); return; }
    const drained = outbox.drain(entry.id);
    const late = new Promise((done) => { setTimeout(done, PATIENCE, null); });
    const first = await Promise.race([drained, late]);
    const left = await outbox.find(entry.id);
    if (first && !left) { go(first.next || entry.next); return; }
    open(form);
    await show();
    if (first?.how === "login") login();
    if (left?.state === "parked") box.scrollIntoView({ block: "start" });
    if (!first) drained.then((got) => { if (got.sent) refresh(got.sent); });
  };
  const onSubmit = (event) => {
    const { target: form, submitter } = event;
    if (form.matches('form[action$="/logout/"]')) { event.preventDefault(); leave(form); return; }
    if (form.matches('form[action$="/seen/"]')) { event.preventDefault(); hide(form); return; }
    if (!form.querySelector("input[data-later]") || !outbox.person) return;
    event.preventDefault();
    if (!form.dataset.busy) take(form, submitter);
  };
  const hide = (form) => {
    const data = new URLSearchParams(new FormData(form));
    form.closest(".note").hidden = true;
    fetch(form.action, { method: "POST", body: data, keepalive: true, redirect: "manual" }).catch(() => null);
  };

  // Sending what waits

  const refresh = (n) => {
    if (touched || document.visibilityState !== "visible") {
      box.dataset.stays = "1";
      note(count(n, words.sentOne, words.sentMany), location.href, words.refresh);
      show();
      return;
    }
    sessionStorage.setItem("studio-sent", String(n));
    patiently();
    location.reload();
  };
  let trying = false;
  const later = async () => {
    if (trying || !outbox.person) return;
    trying = true;
    try {
      const waits = (await outbox.all()).some((e) => e.state === "waiting" && e.person === outbox.person);
      if (!waits) return;
      const { sent, how } = await outbox.drain();
      if (how === "login") login();
      if (sent) refresh(sent);
    } finally { trying = false; }
  };
  const saySent = () => {
    const n = Number(sessionStorage.getItem("studio-sent") || 0);
    sessionStorage.removeItem("studio-sent");
    if (!n) return;
    box.dataset.stays = "1";
    note(count(n, words.sentOne, words.sentMany));
  };

  // Going out

  const forget = async () => {
    const worker = (await navigator.serviceWorker?.getRegistration())?.active;
    if (worker) {
      const { port1, port2 } = new MessageChannel();
      const done = new Promise((yes) => { port1.onmessage = yes; setTimeout(yes, 2000); });
      worker.postMessage({ forget: true }, [port2]);
      await done;
    }
  };
  const leave = async (form) => {
    // Without a disk to keep it on nothing waits, and nobody may be held back.
    await Promise.race([outbox.drain().catch(() => null), new Promise((yes) => { setTimeout(yes, PATIENCE); })]);
    const left = (await outbox.all().catch(() => [])).filter((e) => e.person === outbox.person).length;
    if (left) {
      const dialog = document.getElementById("leaving");
      dialog.querySelector("[data-count]").textContent = count(left, words.one, words.many);
      dialog.showModal();
      await new Promise((yes) => { dialog.addEventListener("close", yes, { once: true }); });
      if (dialog.returnValue !== "go") return;
    }
    await forget();
    localStorage.setItem("studio-person", "");
    form.submit();
  };

  if (!outbox.works) return;
  saySent();
  document.addEventListener("submit", onSubmit);
  document.addEventListener("input", () => { touched = true; });
  document.addEventListener("outbox", show);
  document.addEventListener("visibilitychange", () => { if (document.visibilityState === "visible") later(); });
  window.addEventListener("online", async () => {
    await later();
    if (html.dataset.kept && !touched) location.reload();
  });
  setInterval(later, outbox.PAUSE);
  show().then(later).catch(() => null);
})();
