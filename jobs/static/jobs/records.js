"use strict";
// What a form records, as the page shows it before the server's own page does: in words, with a small picture.
// Nothing here keeps or sends anything.
const records = (() => {
  const EDGE = 1600, SMALL = 320, QUALITY = 0.82;
  const field = (form, name) => form.elements.namedItem(name); // .item would be the collection's own method
  let shownPictures = [];

  function element(name, properties, ...children) {
    const made = Object.assign(document.createElement(name), properties);
    made.append(...children);
    return made;
  }

  // ---- a form in words: data-shows="{words}, {hours} h", blanks left out; data-as is said before a control's own words

  function words(control) {
    if (!control?.value) return "";
    const text = (control.selectedOptions?.[0].textContent ?? control.value).trim();
    return control.dataset.as ? `${control.dataset.as} ${text}` : text;
  }

  function told(form) {
    const filled = form.dataset.shows.replace(/\{(\w+)\}/g, (_, name) => words(field(form, name)));
    return filled.replace(/(, )+/g, ", ").replace(/^, |, $/g, "");
  }

  // ---- pictures

  const files = (form) => [...form.querySelectorAll("input[type=file]")].flatMap((input) => [...input.files]);

  async function draw(image, edge) { // the bytes of a JPEG no longer than edge
    const scale = Math.min(1, edge / Math.max(image.width, image.height));
    const canvas = element("canvas", { width: Math.round(image.width * scale), height: Math.round(image.height * scale) });
    canvas.getContext("2d").drawImage(image, 0, 0, canvas.width, canvas.height);
    const blob = await new Promise((resolve) => canvas.toBlob(resolve, "image/jpeg", QUALITY));
    return blob.arrayBuffer();
  }

  async function readPicture(file) { // upright, as it is sent and as it is shown here
    const image = await createImageBitmap(file, { imageOrientation: "from-image" });
    try {
      return { bytes: await draw(image, EDGE), small: await draw(image, SMALL) };
    } finally {
      image.close();
    }
  }

  function smallPicture({ small, shown }) {
    const src = URL.createObjectURL(new Blob([small], { type: "image/jpeg" }));
    shownPictures.push(src);
    return element("img", { src, width: 160, height: 120, alt: shown || "Photo" });
  }

  // ---- lists: <ul data-recorded="photo snag">, under what the server knew when it made the page

  function listed(row) {
    const state = row.at ? "sent" : "not sent yet";
    const made = element("li", { className: "recorded" });
    if (row.small) made.append(smallPicture(row));
    made.append(element("span", {}, row.shown, " "), element("span", { className: row.at ? "tag is-good" : "tag is-warn" }, state));
    if (row.told) made.append(element("ul", { className: "told" }, ...row.told.map((words) => element("li", {}, words))));
    return made;
  }

  function showCount(list, count) {
    const number = list.closest("details")?.querySelector("[data-count]");
    if (number) number.textContent = Number(number.dataset.count) + count;
  }

  function showList(list, rows) {
    const own = rows.filter((row) => list.dataset.recorded.split(" ").includes(row.kind));
    list.querySelectorAll(".recorded").forEach((old) => old.remove());
    list.append(...own.map(listed));
    showCount(list, own.length);
  }

  function showCentre({ item, value, at }) {
    document.querySelector(`[data-needs-centre="${item}"]`)?.remove();
    const said = document.querySelector(`[data-said="${item}"]`);
    const walls = `${value.from_1_mm} mm from wall ${value.wall_1}, ${value.from_2_mm} mm from wall ${value.wall_2}`;
    if (said) said.textContent = `${walls}, ${at ? "sent" : "not sent yet"}`;
  }

  function settleMissing(rows) { // what is recorded here is missing no longer
    const photographed = rows.filter((row) => row.kind === "photo" && row.value.stage === "first_fix");
    for (const row of photographed) document.querySelector(`[data-unseen="${row.value.surface}"]`)?.remove();
    for (const row of rows.filter((one) => one.kind === "measure")) showCentre(row);
    for (const one of document.querySelectorAll("[data-missing]")) one.hidden = !one.querySelector("li:not([hidden])");
  }

  function show(rows) {
    shownPictures.forEach((address) => URL.revokeObjectURL(address));
    shownPictures = [];
    const here = rows.filter((row) => row.place === location.pathname);
    document.querySelectorAll("[data-recorded]").forEach((list) => showList(list, here));
    settleMissing(here);
  }

  return { element, field, told, files, readPicture, show };
})();
