// Reads a label with the camera where the browser can; everywhere else the label is typed.
document.querySelectorAll("form[data-scan]").forEach((form) => {
  const button = form.querySelector("[data-camera]"), view = form.querySelector("[data-view]");
  const words = form.querySelector("[data-scan-words]"), input = form.querySelector("input[name=code]");
  if (!("BarcodeDetector" in window) || !navigator.mediaDevices?.getUserMedia) return;
  let stream = null;
  button.hidden = false;

  const stop = () => {
    stream?.getTracks().forEach((track) => track.stop());
    stream = null;
    view.hidden = true;
    button.textContent = "Use the camera";
  };

  const look = async (detector) => {
    if (!stream) return;
    const [found] = await detector.detect(view).catch(() => []);
    if (!found) return void setTimeout(() => look(detector), 200);
    stop();
    input.value = found.rawValue;
    words.textContent = "Read. Looking it up …";
    form.requestSubmit();
  };

  button.addEventListener("click", async () => {
    if (stream) return stop();
    try {
      stream = await navigator.mediaDevices.getUserMedia({ video: { facingMode: "environment" } });
    } catch {
      words.textContent = "The camera cannot be used. Type what is written on the label.";
      return;
    }
    view.srcObject = stream;
    view.hidden = false;
    button.textContent = "Stop the camera";
    words.textContent = "Hold the label in front of the camera.";
    await view.play();
    look(new BarcodeDetector({ formats: ["qr_code"] }));
  });
  addEventListener("pagehide", stop);
});
