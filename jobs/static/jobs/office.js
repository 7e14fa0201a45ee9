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

// Anything else that goes wrong is said above the page, in words.
const TROUBLE = {
  0: "There is no connection. Nothing was changed; try again once there is.",
  403: "You may not do that, or this page is too old. Load it again.",
  404: "That is no longer there: the plan or the list changed meanwhile. Load the page again.",
};
function tell(status) {
  const place = document.getElementById("trouble");
  place.textContent = TROUBLE[status] || "That did not work, and nothing was changed. Load the page again.";
  place.hidden = false;
  place.scrollIntoView({ block: "nearest" });
}
document.addEventListener("htmx:responseError", (event) => tell(event.detail.xhr.status));
document.addEventListener("htmx:sendError", () => tell(0));
document.addEventListener("htmx:beforeRequest", () => { document.getElementById("trouble").hidden = true; });
