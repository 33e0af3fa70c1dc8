// Events of the drawings and the keyboard, handed to the server by name; nothing is computed here.
(() => {
  const send = (name, value) => window.emitEvent && window.emitEvent(name, value);
  const near = (target, key) => target.closest && target.closest(`[data-${key}]`);

  document.addEventListener("click", (event) => {
    const keys = ["station", "check", "case", "explain", "limit", "set", "do"];
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
    document.querySelectorAll(`[data-station="${CSS.escape(station)}"]`).forEach((one) => one.classList.toggle("lit", on));
  };
  document.addEventListener("mouseover", (event) => {
    const found = near(event.target, "station"); if (found) highlight(found.dataset.station, true);
  });
  document.addEventListener("mouseout", (event) => {
    const found = near(event.target, "station"); if (found) highlight(found.dataset.station, false);
  });

  // asked for at once, so that charts measure their names in the type they will have
  ["400", "600"].forEach((weight) => document.fonts.load(`${weight} 12px "IBM Plex Sans Condensed"`));

  // single keys can be turned off for whoever dictates or hits keys by chance (WCAG 2.1.4); kept in this browser
  const LETTERS = "wetpath single keys";
  const letters = () => localStorage.getItem(LETTERS) !== "off";
  const tell_letters = () => { document.documentElement.dataset.letters = letters() ? "on" : "off"; };
  tell_letters();
  document.addEventListener("click", (event) => {
    if (!near(event.target, "letters-switch")) return;
    localStorage.setItem(LETTERS, letters() ? "off" : "on"); tell_letters();
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
    if (event.key.length === 1 && !letters()) return;
    if (event.key === "e" || event.key === "E") {
      const first = document.querySelector(".sentence input"); if (first) { event.preventDefault(); first.focus(); first.select(); }
      return;
    }
    if (event.key === "f" || event.key === "F") { document.querySelector(".wp")?.classList.toggle("flowing"); return; }
    if (/^[1-7]$/.test(event.key)) {
      const link = document.querySelector(`nav a[data-digit="${event.key}"]`); if (link) link.click(); return;
    }
    if (["c", "C", "t", "T", "j", "J", "k", "K", "p", "P", "n", "N", "s", "S", "/", "?", "ArrowLeft", "ArrowRight"].includes(event.key)) {
      event.preventDefault();
      send("wp", {what: "key", value: event.shiftKey && event.key.length === 1 ? "shift " + event.key.toLowerCase() : event.key});
    }
  });

  let held = null;      // the field that has the focus, and what was typed into it
  // what is typed and not yet accepted is told after a moment, so that no crash loses it
  let waiting = null;
  document.addEventListener("input", (event) => {
    const path = event.target.dataset && event.target.dataset.path;
    if (!path) return;
    clearTimeout(waiting);
    waiting = setTimeout(() => send("wp", {what: "typed", value: `${path}\n${event.target.value}`}), 700);
  });

  // a browser takes a field that is written anew for one that was left: only what happens to a field that stays counts
  const if_it_stays = (field, act) => queueMicrotask(() => { if (field.isConnected) act(); });

  // what is entered is told by the path of its field, not by the field, which may be gone when the server hears of it
  document.addEventListener("change", (event) => {
    const field = event.target, path = field.dataset && field.dataset.path;
    if (path) if_it_stays(field, () => {
      clearTimeout(waiting);
      delete field.dataset.pending;
      if (held && held.path === path) held.typed = null;
      send("wp", {what: "entered", value: `${path}\n${field.value}`});
    });
  });

  // a field that has the focus is as wide as its words
  const fit = (field) => { field.style.setProperty("--w", Math.max(field.value.length + 1, 2) + "ch"); };
  document.addEventListener("input", (event) => { if (near(event.target, "fit") || event.target.matches(".sentence input")) fit(event.target); });

  // charts come in the light colours; references to the colours of the page take their place, so that dark and paper follow
  const names = {};
  for (const [name, hex] of Object.entries(window.wetpathColours || {})) {
    const [r, g, b] = [1, 3, 5].map((at) => parseInt(hex.slice(at, at + 2), 16));
    names[`rgb(${r}, ${g}, ${b})`] ||= name; names[hex] ||= name;
  }
  const repaint = (one) => {
    for (const property of ["fill", "stroke"]) {
      const styled = one.style && names[one.style.getPropertyValue(property)];
      if (styled) one.style.setProperty(property, `var(--${styled})`, one.style.getPropertyPriority(property));
      const given = one.getAttribute(property), named = given && (names[given] || names[given.toLowerCase()]);
      if (named) one.setAttribute(property, `var(--${named})`);
    }
  };
  const CHART = ".js-plotly-plot";
  new MutationObserver((changes) => {
    for (const change of changes) {
      const near_chart = change.target.closest && change.target.closest(CHART);
      if (change.type === "attributes") { if (near_chart) repaint(change.target); continue; }
      for (const added of change.addedNodes) {
        if (added.nodeType !== 1 || !(near_chart || added.querySelector(CHART))) continue;
        repaint(added); added.querySelectorAll("*").forEach(repaint);
      }
    }
  }).observe(document.documentElement, {subtree: true, childList: true, attributes: true,
                                        attributeFilter: ["style", "fill", "stroke"]});

  // a cut connection is told in words; nothing typed is lost: it is in the fields and in the draft
  const clock = () => new Date().toTimeString().slice(0, 5);
  let line = null;
  const watch = () => {
    if (!window.socket) { setTimeout(watch, 200); return; }
    window.socket.on("disconnect", () => {
      const rated = (document.querySelector(".strip")?.innerText.match(/rated (\d\d:\d\d)/) || [])[1];
      line ||= document.createElement("div");
      line.className = "lost"; line.setAttribute("role", "alert");
      line.textContent = `Connection lost at ${clock()}. Nothing typed is lost` + (rated ? `; numbers are from ${rated}.` : ".");
      (document.querySelector(".wp") || document.body).append(line);
    });
    window.socket.on("connect", () => { if (line) { line.remove(); line = null; } });
  };
  watch();

  // fields are written anew after each change: the one that was tabbed into keeps focus and what was typed there
  const is_field = (one) => one && one.matches && one.matches("[data-path]");
  const room = (one) => one.closest(".drawer") ? ".drawer" : ".sentence";
  document.addEventListener("focusin", (event) => {
    held = is_field(event.target) ? {room: room(event.target), path: event.target.dataset.path, typed: null,
                                     words: event.target.value, caret: null} : null;
  });
  const caret_of = (field) => Number.isInteger(field.selectionStart) ? [field.selectionStart, field.selectionEnd] : null;
  document.addEventListener("selectionchange", () => {
    const field = document.activeElement;
    if (held && is_field(field) && field.dataset.path === held.path) held.caret = caret_of(field);
  });
  // words put into a renewed field by the program make no change of their own when it is left
  const settle = (field) => {
    if (field.dataset.pending) { delete field.dataset.pending; field.dispatchEvent(new Event("change", {bubbles: true})); }
  };
  document.addEventListener("focusout", (event) => {
    const field = event.target, left = held;
    if (is_field(field)) if_it_stays(field, () => {
      settle(field);
      if (!event.relatedTarget && held === left) held = null;
    });
  });
  document.addEventListener("input", (event) => {
    if (held && is_field(event.target)) { held.typed = event.target.value; held.caret = caret_of(event.target); }
  });
  document.addEventListener("keydown", (event) => {
    if (event.key === "Enter" && is_field(event.target) && room(event.target) === ".sentence") setTimeout(() => event.target.blur(), 0);
  });
  new MutationObserver(() => {
    if (!held || document.activeElement !== document.body) return;
    const field = document.querySelector(`${held.room} [data-path="${CSS.escape(held.path)}"]`);
    if (!field) return;
    if (!field.getClientRects().length) { held = null; return; }      // the side sheet was closed
    const {typed, words, caret} = held;
    field.focus();
    if (typed !== null) { field.value = typed; field.dataset.pending = "1"; held.typed = typed; fit(field); }
    if (caret && (typed !== null || field.value === words)) field.setSelectionRange(...caret); else if (field.select) field.select();
    held.caret = caret_of(field);
  }).observe(document.documentElement, {subtree: true, childList: true});

  // on paper a chart is as wide as its column, whatever it was on the screen
  window.addEventListener("beforeprint", () => document.querySelectorAll(`${CHART} .main-svg`).forEach((one) => {
    one.setAttribute("viewBox", `0 0 ${one.getAttribute("width")} ${one.getAttribute("height")}`);
  }));

  // an upset, moment by moment: every word and colour comes ready from the server; here they are put in place
  const moment = () => {
    const source = document.getElementById("moments"), slide = document.getElementById("moment");
    if (!source || !slide) return;
    const told = JSON.parse(source.textContent), root = slide.closest(".upset"), play = document.getElementById("moment-play");
    const cursor = root.querySelector("#moment-line"), walls = root.querySelectorAll("#shell-wall rect");
    const put = () => {
      const at = Number(slide.value), frame = told.frames[at];
      document.getElementById("moment-time").textContent = frame.t;
      document.getElementById("moment-words").textContent = frame.p;
      slide.setAttribute("aria-valuetext", frame.p);
      root.querySelectorAll(".wp-section .seg").forEach((one) => {
        const found = frame.s[one.dataset.reached]; if (!found) return;
        one.style.stroke = found[0]; one.style.strokeDasharray = found[3] ? "0.1 9" : "";
      });
      root.querySelectorAll(".wp-section .box").forEach((one) => {
        const found = frame.s[one.dataset.station]; if (!found) return;
        const [, edge] = one.querySelectorAll("rect"), lines = one.querySelectorAll("text");
        edge.style.fill = found[0]; lines[1].textContent = found[1]; lines[2].textContent = found[2];
        lines[2].style.fill = found[0] === "var(--short)" ? "var(--short)" : "";
      });
      walls.forEach((one, number) => { one.style.fill = frame.w[Math.floor(number * frame.w.length / walls.length)]; });
      const liquid = root.querySelector(".wp-section .wet"); if (liquid) liquid.style.fillOpacity = 0.1 + 0.9 * frame.l;
      const move = Number(cursor.dataset.wide) * at / (told.frames.length - 1);
      cursor.setAttribute("transform", `translate(${move} 0)`);
      root.querySelectorAll("[data-lane]").forEach((one) => { one.textContent = frame.v[Number(one.dataset.lane)]; });
    };
    let timer = null;
    const stop = () => { clearInterval(timer); timer = null; play.textContent = "Play"; play.setAttribute("aria-pressed", "false"); };
    slide.addEventListener("input", () => { stop(); put(); });
    play.addEventListener("click", () => {
      if (timer) { stop(); return; }
      if (Number(slide.value) >= told.frames.length - 1) slide.value = 0;
      play.textContent = "Pause"; play.setAttribute("aria-pressed", "true");
      timer = setInterval(() => {
        if (!slide.isConnected || Number(slide.value) >= told.frames.length - 1) { stop(); return; }
        slide.value = Number(slide.value) + 1; put();
      }, matchMedia("(prefers-reduced-motion: reduce)").matches ? 1000 : 100);
    });
    put();
  };
  window.wetpathMoment = () => setTimeout(moment, 0);
})();
