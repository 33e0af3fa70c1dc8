// Events of the drawings and the keyboard, handed to the server by name; nothing is computed here.
(() => {
  const send = (name, value) => window.emitEvent && window.emitEvent(name, value);
  const near = (target, key) => target.closest && target.closest(`[data-${key}]`);

  document.addEventListener("click", (event) => {
    const keys = ["station", "check", "case", "explain", "do"];
    const found = event.target.closest && event.target.closest(keys.map((key) => `[data-${key}]`).join(","));
    if (found) {
      const key = keys.find((one) => found.dataset[one] !== undefined);
      send("wp", {what: key, value: found.dataset[key]}); return;
    }
    const part = event.target.closest && event.target.closest(".wp-section .part");
    if (part) send("wp", {what: "part", value: part.id.replace(/^.*--/, "")});
  });

  const highlight = (station, on) => {
    if (!station) return;
    document.querySelectorAll(`[data-station="${CSS.escape(station)}"]`).forEach((one) => one.classList.toggle("hl", on));
  };
  document.addEventListener("mouseover", (event) => {
    const found = near(event.target, "station"); if (found) highlight(found.dataset.station, true);
  });
  document.addEventListener("mouseout", (event) => {
    const found = near(event.target, "station"); if (found) highlight(found.dataset.station, false);
  });

  const typing = (target) => target && (/^(INPUT|TEXTAREA|SELECT)$/.test(target.tagName) || target.isContentEditable);
  document.addEventListener("keydown", (event) => {
    if (event.key === "Escape") { send("wp", {what: "key", value: "Escape"}); if (typing(event.target)) event.target.blur(); return; }
    if (typing(event.target)) return;
    if ((event.ctrlKey || event.metaKey) && event.key.toLowerCase() === "z") {
      event.preventDefault(); send("wp", {what: "key", value: "undo"}); return;
    }
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    if ((event.key === "Enter" || event.key === " ") && event.target.getAttribute
        && event.target.getAttribute("role") === "button") { event.preventDefault(); event.target.dispatchEvent(
          new MouseEvent("click", {bubbles: true})); return; }
    if (event.key === "e" || event.key === "E") {
      const first = document.querySelector(".sentence input"); if (first) { event.preventDefault(); first.focus(); first.select(); }
      return;
    }
    if (/^[1-7]$/.test(event.key)) {
      const link = document.querySelector(`nav a[data-digit="${event.key}"]`); if (link) link.click(); return;
    }
    if (["c", "C", "t", "T", "k", "K", "p", "P", "n", "N", "s", "S", "/", "?", "ArrowLeft", "ArrowRight"].includes(event.key)) {
      event.preventDefault();
      send("wp", {what: "key", value: event.shiftKey && event.key.length === 1 ? "shift " + event.key.toLowerCase() : event.key});
    }
  });

  // what is typed and not yet accepted is told after a moment, so that no crash loses it
  let waiting = null;
  document.addEventListener("input", (event) => {
    const path = event.target.dataset && event.target.dataset.path;
    if (!path) return;
    clearTimeout(waiting);
    waiting = setTimeout(() => send("wp", {what: "typed", value: `${path}\n${event.target.value}`}), 700);
  });

  document.addEventListener("change", () => clearTimeout(waiting));      // entered: no longer only typed

  // a field that has the focus is as wide as its words
  const fit = (field) => { field.style.width = Math.max(field.value.length + 1, 2) + "ch"; };
  document.addEventListener("input", (event) => { if (near(event.target, "fit") || event.target.matches(".sentence input")) fit(event.target); });
})();
