"use strict";
// The instrument chosen in one circuit's form is chosen in all of them, and stays chosen for the day.
(() => {
  const KEY = "instrument", selects = [...document.querySelectorAll("select[name=instrument]")];
  const today = document.querySelector("[data-today]")?.dataset.today;

  function kept() {
    const [day, uid] = (localStorage.getItem(KEY) ?? "").split(" ");
    return day === today ? uid : undefined;
  }

  function choose() {
    const uid = kept();
    for (const select of selects) if (uid && [...select.options].some((one) => one.value === uid)) select.value = uid;
  }

  document.addEventListener("change", ({ target }) => {
    if (!selects.includes(target)) return;
    localStorage.setItem(KEY, `${today} ${target.value}`);
    choose();
  });
  document.addEventListener("reset", () => setTimeout(choose)); // a form that was kept is emptied after this event
  choose();
})();
