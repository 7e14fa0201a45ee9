// A message or address goes to the clipboard with one press; without scripts it can be selected by hand.
document.addEventListener("click", async (event) => {
  const button = event.target.closest("[data-copy]");
  if (!button) return;
  const field = document.getElementById(button.dataset.copy);
  const status = button.parentElement.querySelector("[role=status]");
  field.select();
  try {
    await navigator.clipboard.writeText(field.value);
    status.textContent = "Copied.";
  } catch {
    status.textContent = "Selected: copy it with your keyboard or a long press.";
  }
});
