// Answers 409 and 422, and others that say how they swap, carry a fragment that tells what is wrong: show it in place.
document.addEventListener("htmx:beforeSwap", (event) => {
  const { xhr } = event.detail;
  if ([409, 422].includes(xhr.status) || xhr.getResponseHeader("HX-Reswap")) { event.detail.shouldSwap = true; event.detail.isError = false; }
});
// A printed week or sheet is one press away.
document.addEventListener("click", (event) => {
  if (event.target.closest("[data-print]")) window.print();
});
// A filter applies as soon as it is chosen, where scripts run.
document.addEventListener("change", (event) => {
  const form = event.target.closest("form[data-sends-itself]");
  if (form) form.requestSubmit();
});
