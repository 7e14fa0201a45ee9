"use strict";
// What was ticked on the van list, as the page shows it before the server's own page does. Nothing here keeps or sends
// anything. A line has ids for its next ticks, so that it can be put on, taken off and put on again without signal.
const van = (() => {
  const MARKS = { true: "☑", false: "☐" };
  const lines = (offer) => offer.dataset.lines.split(" ").filter(Boolean);

  // The tick that stands after everything this phone did to the line, the line's next free id, and the last press.
  function fold(offer, rows) {
    const own = rows.filter((row) => row.value.line === offer.dataset.standing || lines(offer).includes(row.value.line));
    let on = offer.dataset.standing;
    for (const { kind, value } of own) on = kind === "put_on_van" ? value.line : on === value.line ? "" : on;
    const put = own.filter((row) => row.kind === "put_on_van").map((row) => row.value.line);
    return { on, next: lines(offer).find((line) => !put.includes(line)), last: own.at(-1) };
  }

  function showOffer(offer, rows) {
    const { on, next, last } = fold(offer, rows);
    const putOn = offer.querySelector("[data-put-on]"), takeOff = offer.querySelector("[data-take-off]");
    putOn.elements.line.value = next ?? "";
    takeOff.elements.line.value = on;
    putOn.hidden = Boolean(on) || !next;
    takeOff.hidden = !on;
    const state = offer.querySelector("[data-van-state]");
    state.dataset.made ??= state.textContent;
    state.textContent = last ? `${on ? "on the van" : "taken off"}, ${last.at ? "sent" : "not sent yet"}` : state.dataset.made;
    state.classList.toggle("tag", Boolean(last));
    state.classList.toggle("is-warn", Boolean(last) && !last.at);
    state.classList.toggle("is-good", Boolean(last?.at));
  }

  function showMark(line) {
    const isOn = [...line.querySelectorAll("[data-take-off]")].some((form) => !form.hidden);
    line.querySelector("[data-van-mark]").textContent = MARKS[isOn];
    line.classList.toggle("is-on", isOn);
  }

  function show(rows) {
    const ticks = rows.filter((row) => ["put_on_van", "take_off_van"].includes(row.kind));
    document.querySelectorAll("[data-van]").forEach((offer) => showOffer(offer, ticks));
    document.querySelectorAll(".van-list li").forEach(showMark);
  }

  return { show };
})();
