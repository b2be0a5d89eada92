// What a form needs from the phone: an id of its own for each sending, and when it was tapped by this clock.
(() => {
  "use strict";

  // randomUUID is missing where the page came over plain http.
  const newId = () => {
    const bytes = crypto.getRandomValues(new Uint8Array(16));
    return Array.from(bytes, (b) => b.toString(16).padStart(2, "0")).join("");
  };
  const field = (form, name) => form.querySelector(`input[type=hidden][name="${name}"]`);
  const commands = (root) => root.querySelectorAll('form:has(input[name="recorded_at"])');

  const stamp = (event) => {
    const form = event.target;
    const recorded = field(form, "recorded_at");
    if (!recorded) return;
    const now = new Date().toISOString();
    recorded.value = now;
    field(form, "sent_at").value = now;
    // The button is shut after its value has been taken up, so that a second tap sends nothing.
    setTimeout(() => form.querySelectorAll("button").forEach((b) => { b.disabled = true; }), 0);
  };

  // A page that comes back from the browser's memory would send the ids of the forms that were sent.
  const renew = (event) => {
    if (!event.persisted) return;
    commands(document).forEach((form) => {
      field(form, "id").value = newId();
      form.querySelectorAll("button").forEach((b) => { b.disabled = false; });
    });
  };

  const step = (button) => {
    const input = button.closest(".stepper").querySelector("input");
    const by = Number(button.dataset.step);
    const low = Number(input.min || 0);
    const high = input.max === "" ? Infinity : Number(input.max);
    input.value = Math.min(high, Math.max(low, Number(input.value || 0) + by));
    input.dispatchEvent(new Event("input", { bubbles: true }));
  };

  const countTicks = (form) => {
    const n = form.querySelectorAll("input[type=checkbox]:checked").length;
    form.querySelectorAll("[data-ticked]").forEach((out) => { out.textContent = String(n); });
    form.querySelectorAll("button[data-needs-tick]").forEach((b) => { b.disabled = n === 0; });
  };

  document.addEventListener("submit", stamp);
  window.addEventListener("pageshow", renew);
  document.addEventListener("click", (event) => {
    const button = event.target.closest("button[data-step]");
    if (button) step(button);
    if (event.target.closest("button[data-print]")) window.print();
    // A tap outside closes the drawer.
    document.querySelectorAll("details.more[open]").forEach((d) => {
      if (!d.contains(event.target)) d.open = false;
    });
  });
  document.addEventListener("input", (event) => {
    const form = event.target.closest("form[data-ticks]");
    if (form) countTicks(form);
  });
  document.documentElement.dataset.js = "on";
})();
