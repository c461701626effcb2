// Pages stay live: a part with data-live="ADDRESS" is told "changed" when the stream of that address says so.
// A part that shows what is not in the book yet (data-kept) is left alone, and says that the book has moved on.
"use strict";
function listen(part) {
  if (part.dataset.listening) return;
  part.dataset.listening = "yes";
  const stream = new EventSource(part.dataset.live);
  const tell = (moved) => {
    const shown = document.getElementById(part.id);
    if (!shown) return stream.close();
    const note = shown.querySelector("[data-moved-on]");
    if (!("kept" in shown.dataset)) htmx.trigger(shown, "changed");
    else if (moved && note) note.hidden = false;
  };
  stream.addEventListener("book", () => tell(true));
  stream.addEventListener("minute", () => tell(false));
  addEventListener("pagehide", () => stream.close());
}
document.addEventListener("DOMContentLoaded", () => document.querySelectorAll("[data-live]").forEach(listen));
// What is new at the counter is gone to: the first field that is wrong, or what the part says, or its heading.
let shownAtCounter = null;
function panel() { return document.getElementById("counter")?.firstElementChild ?? null; }
document.addEventListener("DOMContentLoaded", () => { shownAtCounter = panel(); });
document.addEventListener("htmx:after:swap", () => {
  const now = panel();
  if (!now || now === shownAtCounter) return;
  shownAtCounter = now;
  const counter = now.parentElement;
  const place = ['[aria-invalid="true"]', '[role="alert"]', "[data-focus]", "h2"].map((each) => counter.querySelector(each)).find(Boolean);
  if (!place) return;
  if (!place.matches("input, select, a, button")) place.tabIndex = -1;
  place.focus();
});
