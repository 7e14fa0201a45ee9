// A file that is far too large is refused before it travels.
document.addEventListener("change", (event) => {
  const input = event.target.closest("input[type=file][data-most-bytes]");
  if (!input) return;
  const file = input.files[0];
  const most = Number(input.dataset.mostBytes);
  const isLarge = file && file.size > most;
  input.setCustomValidity(isLarge ? `The file is ${Math.round(file.size / 1048576)} MB; a file may have up to ${most / 1048576} MB.` : "");
  if (isLarge) input.reportValidity();
});
