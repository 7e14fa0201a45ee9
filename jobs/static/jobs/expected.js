"use strict";
// Beside what was used: what the take-off expects of it for the package chosen. Pieces are proposed once something is chosen.
(() => {
  const section = document.getElementById("used");
  if (!section) return;
  const rows = [...section.querySelectorAll("[data-expects]")];
  const field = (form, name) => form.elements.namedItem(name);

  function thing(form) { // the item's code: chosen itself, or by the label of its drum
    const drum = field(form, "drum");
    if (!drum) return field(form, "thing").value;
    return [...drum.list.options].find((option) => option.value === drum.value.trim())?.dataset.thing;
  }

  function find(form) {
    const code = thing(form), about = field(form, "item").value;
    return rows.find((row) => row.dataset.package === about && row.dataset.thing === code);
  }

  function propose(form) {
    const row = find(form), pieces = field(form, "pieces");
    form.querySelector("[data-proposed]").textContent = row ? `The take-off expects ${row.dataset.expects} here.` : "";
    if (pieces && !pieces.dataset.isTyped) pieces.value = row ? Math.ceil(Number(row.dataset.quantity)) : "";
  }

  const forms = [...section.querySelectorAll("form")].filter((form) => form.querySelector("[data-proposed]"));
  section.addEventListener("input", ({ target }) => {
    if (target.name === "pieces") target.dataset.isTyped = "yes";
    else if (forms.includes(target.form)) propose(target.form);
  });
  section.addEventListener("focusin", ({ target }) => { if (forms.includes(target.form) && !target.value) propose(target.form); });
  section.addEventListener("reset", ({ target }) => { // nothing is proposed twice: a second press would count twice
    if (!forms.includes(target)) return;
    target.querySelector("[data-proposed]").textContent = "";
    delete field(target, "pieces")?.dataset.isTyped;
  });
})();
