// A list on a telephone: what is entered is kept here at once and shown in its line, with signal or without.
"use strict";

(function () {
  const docket = document.getElementById("docket");
  if (!docket || !Outbox) { return; }
  const number = docket.dataset.number;
  const words = JSON.parse(docket.dataset.words);
  const GOT = ["loaded", "arrived", "short"];
  const LOOK_AGAIN = 45000;
  const ALSO = "also:";
  const show = (id, is) => { document.getElementById(id).hidden = !is; };
  const ours = () => Outbox.all().filter((entry) => entry.list === number);

  // ---- the shop's day, whatever this telephone's clock says -------------------------------------------------------

  // A page that came from the shop's computer says its time; what went by since is all that is asked of this clock.
  const clock = (() => {
    const told = Date.parse(`${docket.dataset.now}Z`);
    let known = null;
    try { known = JSON.parse(localStorage.getItem("lists:clock")); } catch { /* there is none */ }
    if (!known || known.told < told) {
      known = { told, here: Date.now() };
      try { localStorage.setItem("lists:clock", JSON.stringify(known)); } catch { /* there is no room */ }
    }
    return known;
  })();
  const shopsDay = () => new Date(clock.told + Math.max(0, Date.now() - clock.here)).toISOString().slice(0, 10);
  const newId = () => {
    const bytes = crypto.getRandomValues(new Uint8Array(16));
    bytes[6] = (bytes[6] & 0x0f) | 0x40; bytes[8] = (bytes[8] & 0x3f) | 0x80;
    const text = Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
    return `${text.slice(0, 8)}-${text.slice(8, 12)}-${text.slice(12, 16)}-${text.slice(16, 20)}-${text.slice(20)}`;
  };
  const twoFigures = (value) => String(value).padStart(2, "0");

  // A number as this shop writes it; none where it can't be told for sure.
  const numberIn = (text) => {
    const { decimal, thousands } = docket.dataset;
    const [whole, ...parts] = text.trim().replace(/[\u00a0\u202f]/g, " ").replace(/’/g, "'").split(decimal);
    const groups = thousands ? whole.split(thousands) : [whole];
    if (groups.slice(1).some((group) => group.length !== 3)) { return NaN; }
    const told = [groups.join(""), ...parts].join(".");
    return /^[0-9]*\.?[0-9]+$/.test(told) ? Number(told) : NaN;
  };

  // ---- what waits, laid over the list as it came ------------------------------------------------------------------

  const rowOf = (line) => Array.from(document.querySelectorAll("[data-line]")).find((row) => row.dataset.line === line);
  const knownIn = (row) => new Set((row.dataset.known || "").split(" "));
  const alsoRow = (line) => {
    const row = document.getElementById("also-line").content.firstElementChild.cloneNode(true);
    row.dataset.line = line; row.dataset.known = ""; row.dataset.next = "";
    document.getElementById("also-lines").append(row);
    return row;
  };
  const lay = (entry, row) => {
    const f = entry.fields, got = GOT.includes(f.state), part = (name) => row.querySelector(`.${name}`);
    row.dataset.state = f.state;
    row.classList.toggle("done", got);
    // What is there, if only in part, is not ordered or put off any more: that would say that none of it is there.
    const there = got || (f.state === "sent back" && numberIn(f.count || "") > 0);
    row.querySelectorAll("button.to-come").forEach((button) => { button.hidden = there; });
    const wanted = row.dataset.wanted || (row.dataset.wanted = part("q").textContent.replace(/^.* of | \(.*$/g, "").trim());
    const many = parseFloat(f.count), whole = parseFloat(wanted);
    part("q").textContent = !got || !f.count || !whole || many === whole ? wanted || f.count
      : many > whole ? `${f.count} (${Math.round((many - whole) * 1000) / 1000} spare)` : `${f.count} of ${wanted}`;
    if (!part("nm").textContent || entry.line.startsWith(ALSO)) { part("nm").textContent = f.instead || part("nm").textContent; }
    if (got && f.paid) { part("v").textContent = f.paid; part("v").classList.add("ink"); row.classList.remove("ask"); } else { part("v").classList.remove("ink"); }
    part("stands").textContent = words[f.state] || "";
    part("notes").textContent = [f.instead && !entry.line.startsWith(ALSO) ? `in its place: ${f.instead}` : "", f.stop || ""].filter(Boolean).join("; ");
    const waits = part("waits");
    waits.hidden = entry.sent;
    waits.classList.toggle("wrong", Boolean(entry.problems));
    waits.textContent = entry.problems ? `Not taken: ${Object.values(entry.problems).join(" ")}` : "waits to be sent";
  };
  const overlay = () => {
    const last = new Map();
    for (const entry of ours()) {
      const row = rowOf(entry.line);
      if (entry.sent && row && knownIn(row).has(entry.id)) { Outbox.drop(entry); continue; }
      last.set(entry.line, entry);
    }
    document.getElementById("also-lines").replaceChildren();
    for (const [line, entry] of last) {
      const row = rowOf(line) || (line.startsWith(ALSO) ? alsoRow(line) : null);
      if (row) { lay(entry, row); }
    }
    show("also-here", document.getElementById("also-lines").childElementCount > 0);
    const count = Outbox.waiting().length;
    document.getElementById("waiting-count").textContent = count === 0 ? "nothing" : count === 1 ? "1 entry" : `${count} entries`;
    show("no-room", Outbox.isFull());
  };

  // ---- entering ---------------------------------------------------------------------------------------------------

  const wrongIn = (form, fields) => {
    form.querySelectorAll(".problem.here").forEach((one) => one.remove());
    const wrong = [];
    if (fields.count && !/^\s*[0-9.,][0-9., /]*$/.test(fields.count)) { wrong.push("count"); }
    if (fields.paid && !/^[^0-9-]{0,4}[0-9.,][0-9., '’]*[^0-9-]{0,4}$/.test(fields.paid)) { wrong.push("paid"); }
    if (fields.line.startsWith(ALSO) && !fields.instead) { wrong.push("instead"); }
    for (const name of wrong) {
      const control = form.elements[name], said = document.createElement("p");
      said.className = "problem here"; said.setAttribute("role", "alert");
      said.textContent = document.getElementById(`wrong-${name}`).textContent;
      const fold = control.closest("details.otherwise, details.otherwise-back");
      if (fold) { fold.open = true; }
      control.setAttribute("aria-invalid", "true");
      (control.closest(".pay, .two") || control.parentElement).after(said);
    }
    if (wrong.length) { form.elements[wrong[0]].focus(); }
    return wrong.length > 0;
  };
  const highest = () => Math.max(Number(docket.dataset.counter), 0, ...ours().map((entry) => entry.counter));
  document.addEventListener("submit", (event) => {
    const form = event.target;
    if (!form.matches("form[data-entry]")) { return; }
    event.preventDefault();
    const fields = Object.fromEntries(new FormData(form, event.submitter));
    delete fields.csrf_token;
    delete fields.form_key;
    if (wrongIn(form, fields)) { return; }
    const here = ours().filter((entry) => entry.line === fields.line);
    const was = here.length ? here[here.length - 1].fields : { state: (form.closest("[data-line]") || { dataset: {} }).dataset.state, day: fields.day };
    // What is put on the next stop is bought there, whoever loads it.
    const row = form.closest("[data-line]");
    if (fields.state === "later" && !fields.stop && row) { fields.stop = row.dataset.next; }
    if (was.state === "later" && !fields.stop && GOT.includes(fields.state)) { fields.stop = was.stop || ""; }
    const now = new Date(), counter = highest() + 1;
    // What is put right stays on the day on which it was bought.
    fields.day = GOT.includes(was.state) && GOT.includes(fields.state) ? was.day : shopsDay();
    fields.told_at = `${twoFigures(now.getHours())}:${twoFigures(now.getMinutes())}`;
    fields.id = newId();
    fields.counter = String(counter);
    fields.replaces = [...new Set([...fields.replaces.split(" "), ...here.map((entry) => entry.id)])].filter(Boolean).slice(-50).join(" ");
    // One that was refused is put right by this one.
    here.filter((entry) => entry.problems).forEach(Outbox.drop);
    Outbox.put({ list: number, id: fields.id, line: fields.line, counter, fields, sent: false, problems: null });
    if (fields.line.startsWith(ALSO)) { form.reset(); form.elements.line.value = `${ALSO}${newId()}`; }
    const fold = form.closest("details[name=docket], details.also");
    if (fold) {
      fold.open = false;
      fold.querySelector("summary").focus({ preventScroll: true });
    }
    overlay();
    Outbox.replay();
  });
  document.addEventListener("focusin", (event) => { if (event.target.matches(".pay input")) { event.target.select(); } });
  // Fewer or more than listed cost so much less or more, until somebody types what was paid.
  document.addEventListener("input", (event) => {
    const form = event.target.form;
    if (event.target.name === "paid") { event.target.dataset.typed = "yes"; }
    if (event.target.name !== "count" || !form || !form.elements.paid || form.elements.paid.dataset.typed) { return; }
    const paid = form.elements.paid, count = numberIn(event.target.value), listed = Number(event.target.dataset.plain);
    const amount = paid.dataset.plain;
    if (!amount || !(count > 0) || !(listed > 0)) { return; }
    const places = (amount.split(".")[1] || "").length;
    paid.value = (Number(amount) * count / listed).toFixed(places).replace(".", docket.dataset.decimal);
  });

  // ---- the list as it stands at the shop --------------------------------------------------------------------------

  let looking = false;
  const look = async () => {
    if (looking) { return; }
    looking = true;
    try {
      const answer = await fetch(location.pathname, { redirect: "manual" });
      if (!answer.ok) { return; }
      const page = new DOMParser().parseFromString(await answer.text(), "text/html");
      const theirs = page.querySelector('meta[name="person"]'), fresh = page.getElementById("docket");
      // One that was kept here is no newer than what is shown.
      if (!fresh || !theirs || theirs.content !== Outbox.person || fresh.dataset.now < docket.dataset.now) { return; }
      docket.dataset.counter = fresh.dataset.counter;
      docket.dataset.now = fresh.dataset.now;
      const open = document.querySelector(".ln:has(> details[open])"), body = page.getElementById("docket-body");
      const stood = open && body.querySelector(`#${open.id}`);
      document.getElementById("docket-sum").replaceWith(page.getElementById("docket-sum"));
      if (stood) {
        // The fields of an open line stay as they are; what the line says is new.
        stood.replaceWith(open);
        open.dataset.known = stood.dataset.known;
      }
      const focused = document.activeElement && document.activeElement.closest(".ln"), at = focused && focused.id;
      document.getElementById("docket-body").replaceWith(body);
      if (at && !body.contains(document.activeElement)) {
        const again = document.getElementById(at);
        if (again) { again.querySelector("summary").focus({ preventScroll: true }); }
      }
      overlay();
    } catch { /* there is no signal */ } finally { looking = false; }
  };

  // ---- signal -----------------------------------------------------------------------------------------------------

  let since = "";
  const signal = (is) => {
    if (is) { since = ""; } else if (!since) {
      const now = new Date();
      since = `${twoFigures(now.getHours())}:${twoFigures(now.getMinutes())}`;
      document.getElementById("since").textContent = since;
    }
    show("no-signal", !is);
  };
  document.addEventListener("outbox", (event) => {
    const { state, sent } = event.detail;
    signal(state !== "away");
    show("signed-out", state === "signed out");
    overlay();
    if (sent) { look(); }
  });
  window.addEventListener("offline", () => signal(false));
  window.addEventListener("online", () => { signal(true); look(); });
  document.getElementById("waiting").addEventListener("click", () => { Outbox.replay(); look(); });
  document.addEventListener("visibilitychange", () => { if (!document.hidden) { look(); } });
  setInterval(() => { if (!document.hidden && navigator.onLine) { look(); } }, LOOK_AGAIN);

  // ---- kept for when it is opened without signal ------------------------------------------------------------------

  const keep = async () => {
    await navigator.serviceWorker.register("/lists/worker.js", { scope: "/lists/" });
    await navigator.serviceWorker.ready;
    await document.fonts.ready;
    const files = performance.getEntriesByType("resource").map((one) => new URL(one.name))
      .filter((one) => one.origin === location.origin && one.pathname.startsWith("/static/")).map((one) => one.href);
    const [pages, kept] = await Promise.all([caches.open("lists-pages"), caches.open("lists-files")]);
    if (!(await pages.match(location.pathname))) { await pages.add(location.pathname); }
    // The code on the shopping list asks for its jobs' list, whichever that is.
    if (docket.dataset.for) { await pages.put(docket.dataset.for, new Response(location.pathname)); }
    await Promise.all([...new Set(files)].map(async (file) => { if (!(await kept.match(file))) { await kept.add(file); } }));
    docket.dataset.kept = "yes";
  };
  // What was opened stands clear of the foot that stays in sight.
  document.addEventListener("toggle", (event) => {
    if (event.target.matches("details[name=docket]") && event.target.open) { event.target.closest(".ln").scrollIntoView({ block: "nearest" }); }
  }, true);
  if (!navigator.onLine) { signal(false); }
  show("plain-http", !window.isSecureContext);
  overlay();
  if ("serviceWorker" in navigator && window.isSecureContext) { keep().catch(() => { /* there is no signal */ }); }
})();
