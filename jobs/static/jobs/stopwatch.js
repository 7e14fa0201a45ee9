"use strict";
// Start and stop beside the hours form, kept on this phone for each person and package. A stop proposes hours to the
// quarter; they are the person's own figure, and count once the form is sent.
const stopwatch = (() => {
  const HOUR = 60 * 60 * 1000, MOST_HOURS = 24;
  const panels = () => [...document.querySelectorAll("[data-stopwatch]")];
  const isOneDay = (from, to) => new Date(from).toDateString() === new Date(to).toDateString();

  function clock(moment) {
    const when = new Date(moment), time = when.toLocaleTimeString("en-GB", { hour: "2-digit", minute: "2-digit" });
    if (isOneDay(when, Date.now())) return time;
    return `${when.toLocaleDateString("en-GB", { weekday: "short", day: "numeric", month: "short" })} ${time}`;
  }

  // ---- what is kept: { from, base, to, name, stopped }; `base` are the hours that stood in the form at the start

  const keyOf = (panel) => `stopwatch:${document.body.dataset.user}:${panel.closest("form").elements.namedItem("item").value}`;
  const kept = (panel) => JSON.parse(localStorage.getItem(keyOf(panel)) ?? "null");
  const keep = (panel, entry) => localStorage.setItem(keyOf(panel), JSON.stringify(entry));
  const forget = (panel) => localStorage.removeItem(keyOf(panel));
  const nameOf = (panel) => panel.closest("form").dataset.package;
  const hoursField = (panel) => panel.closest("form").elements.hours;

  function proposed({ from, base, to }) { // undefined when it cannot be right
    const hours = base + Math.round((4 * (to - from)) / HOUR) / 4;
    return isOneDay(from, to) && isOneDay(to, Date.now()) && hours >= base && hours <= MOST_HOURS ? hours : undefined;
  }

  // One person works in one place: a start stops whatever clock of theirs still runs, on this page or another.
  function start(panel) {
    const now = Date.now(), stopped = stopOthers(keyOf(panel), now);
    keep(panel, { from: now, base: Number(hoursField(panel).value) || 0, name: nameOf(panel), stopped });
  }

  function stopOthers(own, now) {
    const keys = Object.keys(localStorage).filter((key) => key.startsWith(`stopwatch:${document.body.dataset.user}:`) && key !== own);
    const running = keys.map((key) => [key, JSON.parse(localStorage.getItem(key))]).filter(([, entry]) => !entry.to);
    for (const [key, entry] of running) localStorage.setItem(key, JSON.stringify({ ...entry, to: now }));
    return running.map(([, entry]) => entry.name).join(", ");
  }

  function stop(panel, entry) {
    keep(panel, { ...entry, to: Date.now() });
  }

  // ---- what is shown

  function words(entry, hours) {
    if (!entry) return "";
    const others = entry.stopped ? `. It stopped the clock of ${entry.stopped}: keep those hours too.` : "";
    if (!entry.to) return `Running since ${clock(entry.from)}${others}`;
    const span = `${clock(entry.from)} to ${clock(entry.to)}`;
    if (hours === undefined) return `${span} is not all today: keep today’s hours here, the office enters other days.`;
    return `${span}${entry.base ? `, after ${entry.base} h before` : ""}: ${hours} h. Change it if need be, then keep your hours.`;
  }

  function showOne(panel) {
    const entry = kept(panel), hours = entry?.to && proposed(entry), isRunning = Boolean(entry) && !entry.to;
    if (hours !== undefined && entry?.to) hoursField(panel).value = hours;
    panel.hidden = false;
    panel.querySelector("[data-verb]").textContent = isRunning ? "Stop" : "Start";
    panel.querySelector("[data-words]").textContent = words(entry, hours);
  }

  const show = () => panels().forEach(showOne);

  document.addEventListener("click", ({ target }) => {
    const panel = target.closest("button")?.closest("[data-stopwatch]");
    if (!panel) return;
    const entry = kept(panel);
    if (entry && !entry.to) stop(panel, entry);
    else start(panel);
    show();
  });

  document.addEventListener("submit", ({ target }) => { // sent hours are no longer a proposal; a running clock goes on
    const panel = target.querySelector("[data-stopwatch]");
    if (!panel || !kept(panel)?.to) return;
    forget(panel);
    showOne(panel);
  });

  return { clock, show };
})();
