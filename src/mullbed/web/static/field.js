// At the bed without signal: forms wait on this phone and send themselves, each once. Pages work without this file.
"use strict";
(() => {
  const DIGITS = "0123456789ABCDEFGHJKMNPQRSTVWXYZ";
  const reader = document.documentElement.dataset.reader || "";
  const signal = document.getElementById("signal");
  const words = JSON.parse((document.getElementById("words") || { content: "{}" }).content);
  const decimal = document.documentElement.dataset.decimal || ".";
  const PATIENCE = 12000; // a page that takes longer counts as no signal [ms]

  // The same 26 digits the record makes: 48 bits of the moment, 80 random bits.
  function entryId() {
    const bytes = new Uint8Array(16);
    crypto.getRandomValues(bytes);
    let moment = Date.now();
    for (let place = 5; place >= 0; place--) { bytes[place] = moment % 256; moment = Math.floor(moment / 256); }
    let number = 0n;
    for (const byte of bytes) number = (number << 8n) | BigInt(byte);
    let text = "";
    for (let place = 0; place < 26; place++) { text = DIGITS[Number(number & 31n)] + text; number >>= 5n; }
    return text;
  }

  // ---- what waits on this phone ------------------------------------------------------------------------------
  let opened;
  function store() {
    opened = opened || new Promise((resolve, reject) => {
      const asking = indexedDB.open("mullbed-notes", 1);
      asking.onupgradeneeded = () => asking.result.createObjectStore("notes", { keyPath: "id" });
      asking.onsuccess = () => resolve(asking.result);
      asking.onerror = () => reject(asking.error);
    });
    return opened;
  }
  async function onNotes(mode, what) {
    const base = await store();
    return new Promise((resolve, reject) => {
      const work = base.transaction("notes", mode);
      const asked = what(work.objectStore("notes"));
      work.oncomplete = () => resolve(asked && asked.result);
      work.onerror = work.onabort = () => reject(work.error);
    });
  }
  const keep = (note) => onNotes("readwrite", (notes) => notes.put(note));
  const drop = (id) => onNotes("readwrite", (notes) => notes.delete(id));
  const waiting = async () => ((await onNotes("readonly", (notes) => notes.getAll())) || []).filter((one) => one.reader === reader);

  function say(text) { if (signal) signal.textContent = text; }
  function told(key, values) { return (words[key] || key).replace(/\{(\w+)\}/g, (place, name) => (values && name in values ? values[name] : place)); }
  function counted(count) { return told(count === 1 ? "one" : "many", { count }); }
  const numeral = (text) => Number(String(text).replace(",", "."));
  const shown = (number) => String(number).replace(".", decimal);
  async function tell(sent) {
    const notes = await waiting();
    const refused = notes.filter((one) => one.refused);
    const open = notes.length - refused.length;
    if (refused.length) say(told("refused", { why: refused[0].refused }) + (open ? " " + counted(open) + "." : ""));
    else if (open) say((navigator.onLine ? "" : told("no signal") + ". ") + counted(open) + ". " + told("later"));
    else if (sent) say(told("sent"));
    else say(navigator.onLine ? "" : told("no signal"));
  }

  // ---- sending ------------------------------------------------------------------------------------------------
  let sending = false;
  async function send() {
    if (sending) return;
    sending = true;
    let sent = 0;
    try {
      for (;;) {
        const notes = (await waiting()).filter((one) => !one.refused).sort((a, b) => (a.id < b.id ? -1 : 1)).slice(0, 50);
        if (!notes.length) break;
        const now = new Date().toISOString();
        const body = JSON.stringify(notes.map((one) => ({ id: one.id, path: one.path, fields: one.fields, written_at: one.written_at, sent_at: now })));
        const answer = await fetch("/field", { method: "POST", body, headers: { "content-type": "application/json" }, redirect: "manual" });
        if (!answer.ok || !(answer.headers.get("content-type") || "").startsWith("application/json")) break;
        let moved = 0;
        for (const one of await answer.json()) {
          const note = notes.find((other) => other.id === one.id);
          if (!note) continue;
          moved += 1;
          if (one.state === "refused") await keep(Object.assign(note, { refused: one.why || told("it was refused") }));
          else { await drop(one.id); sent += 1; }
        }
        if (!moved) break;
      }
    } catch (_) { /* still no signal: they wait */ }
    sending = false;
    await tell(sent > 0);
  }

  // ---- forms ----------------------------------------------------------------------------------------------------
  function fieldsOf(form, button) {
    const data = new FormData(form);
    if (button && button.name) data.append(button.name, button.value);
    return [...data.entries()].filter(([, value]) => typeof value === "string");
  }
  async function wait(form, fields, id) {
    await keep({ id, reader, path: new URL(form.action, location.href).pathname, fields, written_at: new Date().toISOString() });
    let box = document.getElementById("waits-here");
    if (!box) {
      box = document.createElement("div");
      box.id = "waits-here";
      box.className = "done";
      box.setAttribute("role", "status");
      document.querySelector("main h1").after(box);
    }
    const count = (await waiting()).filter((one) => !one.refused).length;
    box.replaceChildren();
    const head = document.createElement("p");
    head.className = "strong";
    head.textContent = told("kept");
    const rest = document.createElement("p");
    rest.textContent = counted(count) + ". " + told("safe");
    const undo = document.createElement("button");
    undo.className = "undo";
    undo.type = "button";
    undo.textContent = told("undo");
    undo.addEventListener("click", async () => { await drop(id); box.remove(); await tell(false); });
    box.append(head, rest, undo);
    if (form.dataset.first) {
      const first = document.createElement("p");
      for (const [name, value] of fields) {
        if (name !== "sign") continue;
        const link = document.createElement("a");
        link.href = form.dataset.first + "#" + encodeURIComponent(value);
        link.textContent = told("first", { sign: signWord(form, value) });
        link.className = "pick";
        first.append(link);
      }
      box.append(first);
    }
    box.scrollIntoView({ block: "center" });
    if (form.hasAttribute("data-count")) recount(form, fields);
    else form.reset();
    await tell(false);
  }
  // A sign as it is told beside its box.
  function signWord(form, value) {
    const box = form.querySelector('input[name=sign][value="' + CSS.escape(value) + '"]');
    return (box && box.parentElement && box.parentElement.textContent.trim()) || value.replace(/_/g, " ");
  }
  // A count that waits shows at once, so that the next tap counts on from it.
  function recount(form, fields) {
    const count = numeral((fields.find(([name]) => name === "count") || ["", "0"])[1]);
    const place = form.querySelector(".n");
    if (place) place.textContent = shown(count);
    const [less, more] = form.querySelectorAll("button[name=count]");
    if (less) less.value = shown(Math.max(0, count - 1));
    if (more) more.value = shown(count + 1);
  }
  async function submitted(event) {
    const form = event.target;
    if (!(form instanceof HTMLFormElement)) return;
    if (form.hasAttribute("data-swap")) return event.submitter && event.submitter.classList.contains("stone") ? undefined : swapped(event, form);
    if (!form.hasAttribute("data-field") || event.defaultPrevented) return;
    event.preventDefault();
    if (form.dataset.busy) return;
    form.dataset.busy = "yes";
    const fields = fieldsOf(form, event.submitter);
    const id = entryId();
    try {
      const limit = new AbortController();
      const clock = setTimeout(() => limit.abort(), PATIENCE);
      const answer = await fetch(form.action, { method: "POST", body: new URLSearchParams([...fields, ["entry", id]]), signal: limit.signal });
      clearTimeout(clock);
      if (answer.status >= 502 && answer.status <= 504) throw new TypeError("no signal");
      if (answer.redirected) { // led somewhere that tells of no entry, such as signing in: it is not kept yet
        if (!new URL(answer.url).searchParams.has("id")) await wait(form, fields, id);
        location.assign(answer.url);
        return;
      }
      show(await answer.text());
    } catch (_) {
      await wait(form, fields, id);
    } finally {
      delete form.dataset.busy;
    }
  }

  // ---- pages ----------------------------------------------------------------------------------------------------
  function show(text) {
    const fresh = new DOMParser().parseFromString(text, "text/html");
    const held = document.activeElement && document.activeElement.getAttribute("value");
    const open = [...document.querySelectorAll("main details[open][id]")].map((one) => one.id);
    for (const part of ["main", ".stones"]) {
      const now = document.querySelector(part), then = fresh.querySelector(part);
      if (now && then) now.replaceWith(then);
    }
    for (const id of open) { const one = document.getElementById(id); if (one) one.open = true; }
    if (held) { const again = document.querySelector('main button[value="' + CSS.escape(held) + '"]'); if (again) again.focus({ preventScroll: true }); }
  }
  async function swapped(event, form) {
    event.preventDefault();
    const address = new URL(form.action, location.href);
    address.search = new URLSearchParams(fieldsOf(form, event.submitter)).toString();
    try {
      const answer = await fetch(address);
      if (!answer.ok) throw new TypeError("no page");
      show(await answer.text());
      history.replaceState(null, "", address);
    } catch (_) {
      stepped(form, event.submitter);
      say(told("untold"));
    }
  }
  // Without signal the number still counts, and so does the layer that is written down.
  function stepped(form, button) {
    const [sign, name] = button ? [button.value.split(":")[0], button.value.split(":").slice(1).join(":")] : ["", ""];
    const input = form.querySelector('input[name="' + CSS.escape(name === "cans" ? "cans" : "n." + name) + '"]');
    if (!input || !(sign === "plus" || sign === "minus")) return;
    const count = Math.max(0, numeral(input.value) + (sign === "plus" ? 1 : -1));
    input.value = shown(count);
    const laid = document.getElementById("laid");
    if (!laid) return;
    if (name === "cans") { const cans = laid.querySelector("input[name=cans]"); if (cans) cans.value = String(count); return; }
    const start = input.dataset.lift;
    if (!start) return;
    for (const one of laid.querySelectorAll("input[name=lift]")) if (one.value.startsWith(start + ": ") && one.value.includes(input.dataset.container)) one.remove();
    if (count > 0) {
      const lift = document.createElement("input");
      lift.type = "hidden"; lift.name = "lift"; lift.value = start + ": " + count + " " + input.dataset.container;
      if (input.dataset.soft) laid.prepend(lift); else laid.append(lift);
    }
  }

  function opened_at() { const one = location.hash && document.getElementById(decodeURIComponent(location.hash.slice(1))); if (one && one.tagName === "DETAILS") one.open = true; }

  document.addEventListener("submit", submitted);
  addEventListener("online", send);
  addEventListener("offline", () => tell(false));
  addEventListener("hashchange", opened_at);
  document.addEventListener("click", (event) => { const link = event.target.closest && event.target.closest('a[href^="#"]'); if (link) { const one = document.getElementById(link.getAttribute("href").slice(1)); if (one && one.tagName === "DETAILS") one.open = true; } });
  document.addEventListener("visibilitychange", () => { if (document.visibilityState === "visible") send(); });
  setInterval(() => { waiting().then((notes) => { if (notes.length && navigator.onLine) send(); }); }, 20000);
  opened_at();
  send();
  if ("serviceWorker" in navigator && isSecureContext) navigator.serviceWorker.register("/field-worker.js").catch(() => {});
})();
