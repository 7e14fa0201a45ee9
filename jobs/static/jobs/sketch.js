"use strict";
// The room's sketch beside the centres' forms: a touch puts the chosen point there, in millimetres to the nearest ten;
// typed figures move its number. The form's own fields stay what is kept, so the sketch is never needed.
(() => {
  const section = document.getElementById("centres"), svg = section?.querySelector("[data-sketch] svg");
  if (!svg) return;
  const SVG = "http://www.w3.org/2000/svg", NEAREST = 10;
  const { sketchLength, sketchWidth, sketchDot, sketchEdge } = svg.closest("[data-sketch]").dataset;
  const length = Number(sketchLength), width = Number(sketchWidth);
  const forms = [...section.querySelectorAll("form[data-record]")];
  const field = (form, name) => form.elements.namedItem(name);
  const isFilled = (form) => field(form, "from_1_mm").value !== "" && field(form, "from_2_mm").value !== "";
  let chosen = forms.find((form) => !isFilled(form)) ?? forms[0];

  // ---- walls and millimetres, as in the sheet's drawing: A above, B right, C below, D left

  const down = (form, mm) => (field(form, "wall_1").value === "A" ? mm : width - mm);
  const across = (form, mm) => (field(form, "wall_2").value === "D" ? mm : length - mm);

  function place(form) {
    return [across(form, Number(field(form, "from_2_mm").value)), down(form, Number(field(form, "from_1_mm").value))];
  }

  // ---- numbers on the sketch

  function make(name, attributes) {
    const made = document.createElementNS(SVG, name);
    for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
    svg.append(made);
    return made;
  }

  function spotOf(number) {
    const circle = svg.querySelector(`circle[data-spot="${number}"]`) ?? make("circle", { "data-spot": number, r: sketchDot, fill: "currentColor" });
    const words = svg.querySelector(`text[data-spot="${number}"]`)
      ?? make("text", { "data-spot": number, dx: sketchDot, dy: -sketchDot, "font-size": sketchEdge, fill: "currentColor" });
    words.textContent = number;
    return [circle, words];
  }

  function draw(form) {
    if (!isFilled(form)) return;
    const [circle, words] = spotOf(form.dataset.number), [x, y] = place(form);
    circle.setAttribute("cx", x); circle.setAttribute("cy", y);
    words.setAttribute("x", x); words.setAttribute("y", y);
  }

  // ---- choosing and touching

  function choose(form) {
    chosen = form;
    section.querySelector("[data-chosen]").textContent = chosen.querySelector("legend").textContent;
  }

  function put({ clientX, clientY }) {
    const at = new DOMPoint(clientX, clientY).matrixTransform(svg.getScreenCTM().inverse());
    if (at.x < 0 || at.y < 0 || at.x > length || at.y > width) return;
    const near = (mm) => Math.round(mm / NEAREST) * NEAREST;
    field(chosen, "from_1_mm").value = near(down(chosen, at.y));
    field(chosen, "from_2_mm").value = near(across(chosen, at.x));
    draw(chosen);
    chosen.querySelector("[data-kept]").textContent = "Put there by touch: check with the tape, then keep this centre.";
  }

  svg.addEventListener("click", put);
  section.addEventListener("focusin", ({ target }) => { if (target.form) choose(target.form); });
  section.addEventListener("input", ({ target }) => draw(target.form));
  section.addEventListener("toggle", () => forms.forEach(draw)); // what waits on this phone is in the fields by then
  choose(chosen);
})();
