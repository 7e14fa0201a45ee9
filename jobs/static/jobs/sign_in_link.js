// The token arrives after the "#", which browsers send to no server; it leaves the address before anything else happens.
const form = document.querySelector("form[data-takes-token]");
if (form && location.hash.length > 1) {
  form.elements.token.value = location.hash.slice(1);
  history.replaceState(null, "", location.pathname);
}
