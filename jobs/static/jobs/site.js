"use strict";
// The phone page: a press is kept on the phone first, shown at once, and sent when there is signal.
(() => {
  const { user, userName, madeAt, hello, sync, syncPhoto, worker } = document.body.dataset;
  const { element, field } = records, me = Number(user), places = { hello, sync, photo: syncPhoto };
  const sending = document.getElementById("sending"), notes = document.getElementById("outbox-notes");
  const EVERY = 30000, SOON = { busy: 1000, later: 5000 }; // busy: another sending may have missed what was just added
  const MARKS = ["tick", "untick", "not_needed"];
  let state = "empty", next;

  // ---- lines of a checklist

  const hours = (line) => Number(line.dataset.hours);
  const settledShare = (line) => (line.dataset.notNeeded ? 1 : Number(line.dataset.share));
  const isDone = (line) => settledShare(line) >= 1;

  function setLine(line, { share, not_needed, marks }, words) {
    Object.assign(line.dataset, { share, notNeeded: not_needed, marks: marks.join(" ") });
    const button = line.querySelector(".tick"), form = button.form;
    button.setAttribute("aria-pressed", String(isDone(line)));
    form.elements.kind.value = isDone(line) ? "untick" : "tick";
    for (const other of line.querySelectorAll("form[data-mark]")) other.elements.replaces.value = line.dataset.marks;
    const part = share > 0 && share < 1 ? `${Math.round(share * 100)} % done` : "";
    const plain = not_needed ? `not needed: ${not_needed}` : share >= 1 ? "done" : part;
    line.querySelector("[data-state]").textContent = [plain, words].filter(Boolean).join(", ");
  }

  // The person saw every mark on the line, so each press takes all of them back and leaves at most its own.
  function after(operation) {
    const { op_id, kind, value } = operation;
    if (kind === "tick") return { share: Number(value.share), not_needed: "", marks: [op_id] };
    if (kind === "not_needed") return { share: 0, not_needed: value.reason, marks: [op_id] };
    return { share: 0, not_needed: "", marks: [] };
  }

  function waitsAs(line, operation) {
    const isHeld = operation.kind !== "untick" && line.querySelector("[data-held]");
    return isHeld ? "not sent yet; refused while readings before power are missing or out" : "not sent yet";
  }

  function showProgress(stage) {
    const lines = [...stage.querySelectorAll(".line")];
    const whole = lines.reduce((sum, line) => sum + hours(line), 0);
    const left = lines.reduce((sum, line) => sum + hours(line) * (1 - settledShare(line)), 0);
    const done = lines.filter(isDone).length;
    const part = Math.floor(100 * (whole ? (whole - left) / whole : done / lines.length) + 1e-9);
    const percent = done === lines.length ? 100 : Math.min(99, part);
    stage.querySelector("progress").value = percent;
    stage.querySelector("[data-percent]").textContent = percent;
    stage.querySelector("[data-hours-left]").textContent = String(Math.round(left * 10) / 10);
    const count = stage.querySelector("[data-lines]");
    if (count) count.textContent = `${done} of ${lines.length} lines`;
    const open = lines.filter((line) => "hold" in line.dataset && !isDone(line)).length;
    showMissing(lines);
    stage.querySelector("[data-hold-note]").hidden = !open;
    stage.querySelector("[data-hold-left]").textContent = open;
  }

  function showMissing(lines) {
    for (const line of lines) {
      const missing = document.querySelector(`[data-needs="${line.dataset.item}"]`);
      if (!missing) continue;
      missing.hidden = isDone(line);
      const section = missing.closest("[data-missing]");
      section.hidden = !section.querySelector("li:not([hidden])");
    }
  }

  async function showKept() { // the server's newer words, then what waits here
    for (const row of await outbox.lines()) {
      const line = document.getElementById(`line-${row.item}`);
      if (line && Date.parse(row.at) >= Date.parse(madeAt)) setLine(line, row, "");
    }
    for (const row of await outbox.waiting()) {
      const line = document.getElementById(`line-${row.item}`);
      if (line && MARKS.includes(row.kind)) setLine(line, after(row), waitsAs(line, row));
    }
    document.querySelectorAll("[data-stage]").forEach(showProgress);
  }

  // ---- pressing

  function newId() {
    if (crypto.randomUUID) return crypto.randomUUID();
    const bytes = crypto.getRandomValues(new Uint8Array(16)); // plain http on the firm's own network
    bytes[6] = (bytes[6] & 15) | 64; bytes[8] = (bytes[8] & 63) | 128;
    const hex = [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
    return hex.replace(/^(.{8})(.{4})(.{4})(.{4})/, "$1-$2-$3-$4-");
  }

  function asOperation(kind, item, value, about) {
    return {
      op_id: newId(), kind, item, value, device_at: new Date().toISOString(), user: me, user_name: userName,
      room: Number(document.querySelector("h1[data-room]")?.dataset.room ?? 0),
      words: `${document.querySelector("h1").textContent}: ${about}`,
    };
  }

  function asMark(form, button) {
    const { kind, replaces, reason } = form.elements, line = form.closest(".line");
    const value = { replaces: replaces.value.split(" ").filter(Boolean) };
    if (kind.value === "tick") value.share = Number(button?.value || 1);
    if (kind.value === "not_needed") value.reason = reason.value.trim();
    return asOperation(kind.value, line.dataset.item, value, line.querySelector(".tick-text").textContent);
  }

  async function mark(form, button) {
    const operation = asMark(form, button), line = form.closest(".line");
    try {
      await outbox.add(operation);
    } catch {
      form.submit(); // this phone cannot keep it: send the form itself, so that nothing is shown that is not kept
      return;
    }
    setLine(line, after(operation), waitsAs(line, operation));
    showProgress(line.closest("[data-stage]"));
    line.querySelector("details.more").open = false;
    await send();
  }

  document.addEventListener("submit", (event) => {
    const form = event.target;
    const keep = form.matches("form[data-mark]") ? mark : form.matches("form[data-record]") ? record : undefined;
    if (!keep) return;
    event.preventDefault();
    sending.textContent = "Keeping"; // never "All sent" about a press that is not on disk yet
    keep(form, event.submitter);
  });

  // ---- everything else that is recorded: a form's fields are the operation's value

  function asRecord(form) {
    const { csrfmiddlewaretoken, op_id, kind, item, picture, ...value } = Object.fromEntries(new FormData(form));
    const operation = asOperation(kind, item, value, form.querySelector("legend").textContent);
    const shown = form.dataset.shows && { shows: form.dataset.shows, shown: records.told(form) };
    return { ...operation, ...shown, place: location.pathname };
  }

  function say(form, words) {
    form.querySelector("[data-kept]").textContent = words;
  }

  async function record(form) {
    const files = records.files(form);
    if ("needsPicture" in form.dataset && !files.length) {
      say(form, "Take or choose a picture first.");
      return showStatus();
    }
    try {
      await keepRecord(form, files);
    } catch { // also a picture this phone cannot read: the server says so
      form.submit();
      return;
    }
    if (!("stays" in form.dataset)) form.reset();
    await send();
  }

  async function keepRecord(form, files) { // every picture is an operation of its own
    const pictures = [];
    for (const file of files) pictures.push(await records.readPicture(file));
    for (const { bytes, small } of pictures) await outbox.add({ ...asRecord(form), small }, bytes);
    if (!pictures.length) await outbox.add(asRecord(form));
  }

  function isAbout(form, row) {
    if (row.shows || form.dataset.shows) return row.shows === form.dataset.shows && row.place === location.pathname;
    return field(form, "kind").value === row.kind && field(form, "item").value === row.item;
  }

  function showRecords(rows) {
    for (const form of document.querySelectorAll("form[data-record]")) {
      const kept = form.querySelector("[data-kept]");
      if (!kept) continue; // a van list shows its own state
      const count = rows.filter((row) => isAbout(form, row)).length;
      if (count) kept.textContent = `Kept on this phone, ${count} not sent yet`;
      else if (kept.dataset.waited) kept.textContent = "Sent";
      kept.dataset.waited = count || "";
    }
  }

  // Sent since this page was made, so that its own words do not show it yet; then what waits.
  async function listRecords(waiting) {
    const sent = (await outbox.sent()).filter((row) => Date.parse(row.at) >= Date.parse(madeAt));
    return [...sent, ...waiting];
  }

  async function fillKept() { // what was entered without signal shows again on a page made before it
    const forms = [...document.querySelectorAll("form[data-stays]")];
    for (const row of await listRecords(await outbox.waiting())) {
      const form = forms.find((one) => isAbout(one, row));
      if (form) for (const [name, text] of Object.entries(row.value)) field(form, name).value = text;
    }
  }

  // ---- sending

  const WHY = {
    offline: "waiting for signal", later: "the server is busy", elsewhere: "another network’s page answers: check the wifi",
    "signed-out": "sign in again to send", others: "made by somebody else", busy: "sending", empty: "",
  };

  async function showStatus() {
    const rows = await outbox.waiting();
    const words = rows.length ? `${rows.length} not sent, oldest ${stopwatch.clock(rows[0].device_at)}` : "All sent";
    sending.textContent = rows.length && WHY[state] ? `${words}: ${WHY[state]}` : words;
    sending.classList.toggle("is-waiting", rows.length > 0);
    showUnsentRooms(rows);
    showRecords(rows);
    const recorded = await listRecords(rows);
    records.show(recorded);
    van.show(recorded);
    await showNotes(rows);
  }

  function showUnsentRooms(rows) {
    for (const link of document.querySelectorAll("a[data-room]")) {
      const count = rows.filter((row) => row.room === Number(link.dataset.room)).length;
      link.querySelector(".unsent")?.remove();
      if (count) link.append(element("span", { className: "tag is-warn unsent" }, `${count} not sent`));
    }
  }

  function button(words, press) {
    const made = element("button", { type: "button", className: "quiet" }, words);
    made.addEventListener("click", async () => { await press(); await send(); });
    return made;
  }

  async function showNotes(rows) {
    const found = [];
    if (state === "signed-out") {
      const link = element("a", { href: `/sign-in/?next=${encodeURIComponent(location.pathname)}` }, "Sign in again");
      found.push(element("p", { className: "note is-warn" }, "This phone is signed out. ", link, ". What is not sent stays here."));
    }
    const others = rows.filter((row) => row.user !== me);
    if (others.length) found.push(othersNote(others));
    const refused = await outbox.refused();
    if (refused.length) found.push(refusedNote(refused));
    notes.replaceChildren(...found);
  }

  function othersNote(others) {
    const names = [...new Set(others.map((row) => row.user_name))].join(" and ");
    const words = element("p", {}, `${others.length} not sent by ${names}, made on this phone. They wait until ${names} signs in here.`);
    return element("section", { className: "note is-warn stack" }, words, button("Send them in my name", () => outbox.giveTo(me, userName)));
  }

  function refusedNote(refused) {
    const list = element("ul", {}, ...refused.map((row) => element("li", {}, `${row.words}: ${row.reason}`)));
    return element("section", { className: "note is-bad stack" }, element("h2", {}, "Not accepted"), list, button("I have seen this", outbox.forgetRefused));
  }

  async function send() {
    await showStatus();
    state = await outbox.drain(places);
    if (state === "signed-out") await forgetKept();
    clearTimeout(next);
    if (SOON[state]) next = setTimeout(send, SOON[state]);
    await showKept();
    await showStatus();
  }

  // ---- pages for places without signal

  const keeper = () => navigator.serviceWorker?.controller;

  async function startKeeping() {
    if (!worker || !navigator.serviceWorker) return;
    await navigator.serviceWorker.register(worker, { scope: "/site/" });
    await navigator.serviceWorker.ready;
    navigator.serviceWorker.addEventListener("message", ({ data }) => showKeeping(data.kept));
    const addresses = [location.origin + location.pathname, ...[...document.querySelectorAll("a[data-keep]")].map((link) => link.href)];
    (keeper() ?? (await navigator.serviceWorker.ready).active).postMessage({ keep: [...new Set(addresses)] });
  }

  async function showKeeping(count) {
    const isSafe = await navigator.storage?.persist?.();
    const promise = isSafe ? "This phone keeps them safe." : "The phone may clear them when it is full: install this page as an app.";
    document.getElementById("kept").textContent = `${count} page${count === 1 ? "" : "s"} kept for no signal. ${promise}`;
  }

  // ---- signing out

  async function forgetKept() {
    keeper()?.postMessage({ forget: true });
    await outbox.forgetLines();
  }

  document.addEventListener("submit", async (event) => {
    const form = event.target;
    if (!form.matches("form[data-sign-out]") || form.dataset.isSure) return;
    event.preventDefault();
    state = await outbox.drain(places);
    const count = (await outbox.waiting()).length;
    await showStatus();
    const words = `${count} not sent. They stay on this phone and go out when you sign in here again. Sign out now?`;
    if (count && !confirm(words)) return;
    await forgetKept();
    form.dataset.isSure = "yes";
    form.requestSubmit();
  });

  async function forgetOthers() { // what the page before kept for another person
    if ((localStorage.getItem("user") ?? user) !== user) await forgetKept();
    localStorage.setItem("user", user);
  }

  document.querySelector("[data-print]")?.addEventListener("click", () => print());

  // ---- when

  addEventListener("online", send);
  document.addEventListener("visibilitychange", () => { if (!document.hidden) send(); });
  setInterval(() => { if (!document.hidden) send(); }, EVERY);
  addEventListener("pageshow", (event) => { if (event.persisted) location.reload(); });
  forgetOthers().then(showKept).then(fillKept).then(stopwatch.show).then(send).then(startKeeping);
})();
