// Answers 409 and 422 carry a fragment that says what is wrong: show it where the answer would have gone.
document.addEventListener("htmx:beforeSwap", (event) => {
  if ([409, 422].includes(event.detail.xhr.status)) { event.detail.shouldSwap = true; event.detail.isError = false; }
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
