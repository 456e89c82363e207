// What the pages do in the browser: tell the server what was clicked, show what it answers.
// Nothing is computed here, and nothing is fetched from anywhere.
(() => {
  const own = (window.bedstone = { timings: [], started: {}, number: 0, chosen: "" });

  const root = () => document.querySelector(".page-root");
  const tell = (detail, timed = false) => {
    const place = root();
    if (!place) return;
    if (timed) {
      detail.number = ++own.number;
      own.started[detail.number] = performance.now();
    }
    place.dispatchEvent(new CustomEvent("desk", { detail }));
  };
  own.tell = tell;
  own.shell = (detail) =>
    document.querySelector(".shell")?.dispatchEvent(new CustomEvent("shell", { detail }));

  const find = (name) => {
    const [id, inner] = name.split(" ");
    const place = document.getElementById(id);
    return place && inner ? place.querySelector(inner) : place;
  };

  // Put new content where it belongs; the focus stays on the same control.
  const put = (name, html) => {
    if (name === "temperature-range") {
      const slider = document.getElementById("temperature");
      if (slider) [slider.min, slider.max] = html.split(" ");
      return;
    }
    const place = find(name);
    if (!place) return;
    const held = document.activeElement;
    const inside = held && held !== document.body && place.contains(held);
    const key = inside ? held.dataset?.key : null;
    const seat = inside ? held.dataset?.seat : null;
    place.innerHTML = html;
    if (key) place.querySelector(`[data-key="${CSS.escape(key)}"]`)?.focus({ preventScroll: true });
    if (seat) place.querySelector(`[data-seat="${CSS.escape(seat)}"]`)?.focus({ preventScroll: true });
  };

  const mark = (chosen) => {
    own.chosen = chosen;
    document.querySelectorAll("#plan .seat").forEach((seat) => {
      const yes = seat.dataset.seat === chosen;
      seat.classList.toggle("chosen", yes);
      seat.setAttribute("tabindex", yes ? "0" : "-1");
      seat.setAttribute("aria-pressed", yes ? "true" : "false");
    });
  };

  own.show = (told) => {
    for (const [name, html] of Object.entries(told.parts)) put(name, html);
    for (const [id, html] of Object.entries(told.groups)) {
      const group = document.getElementById(id);
      if (!group) continue;
      const held = document.activeElement === group;
      group.outerHTML = html;
      if (held) document.getElementById(id).focus({ preventScroll: true });
    }
    mark(told.chosen);
    for (const id of ["load", "offset"]) {
      const slider = document.getElementById(id);
      if (slider) slider.disabled = !told.loaded;
    }
    document.body.dataset.ready = "yes";
    if (told.number && own.started[told.number] !== undefined) {
      const { number, engine, server } = told;
      requestAnimationFrame(() => {
        const channel = new MessageChannel();
        channel.port1.onmessage = () =>
          own.timings.push({ total: performance.now() - own.started[number], engine, server });
        channel.port2.postMessage(null);
      });
    }
  };

  own.head = (told) => {
    for (const [name, html] of Object.entries(told)) {
      const place = document.getElementById(name);
      if (place && place.innerHTML !== html && place.dataset.html !== html) put(name, html);
      if (place) place.dataset.html = html;
    }
  };

  const keys = { 1: "fixed", 2: "guided along", 3: "guided across", 4: "free" };

  // The nearest bearing in one direction on the drawing, seen from the one that has the focus.
  const beside = (seat, key) => {
    const [dx, dy] = { ArrowRight: [1, 0], ArrowLeft: [-1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[key];
    const at = (g) => {
      const c = g.querySelector(".hit");
      return [parseFloat(c.getAttribute("cx")), parseFloat(c.getAttribute("cy"))];
    };
    const [x, y] = at(seat);
    let best = null;
    let least = Infinity;
    document.querySelectorAll("#plan .seat").forEach((other) => {
      const [u, v] = at(other);
      const along = (u - x) * dx + (v - y) * dy;
      const across = Math.abs((u - x) * dy) + Math.abs((v - y) * dx);
      if (along <= 0.5) return;
      // up and down stay on the line of the support, left and right on the line of the girder
      const cost = along + 3 * across;
      if (cost < least) [least, best] = [cost, other];
    });
    return best;
  };

  document.addEventListener("click", (event) => {
    const seat = event.target.closest?.("[data-seat]");
    if (seat) {
      mark(seat.dataset.seat);
      seat.focus({ preventScroll: true });
      tell({ do: "choose", value: seat.dataset.seat });
      return;
    }
    if (event.target.closest?.("#dark")) {
      own.dark(document.documentElement.dataset.theme !== "dark");
      return;
    }
    const button = event.target.closest?.("button[data-do]");
    if (!button) return;
    if (!button.closest(".page-root")) own.shell({ do: button.dataset.do, value: button.dataset.value || "" });
    else tell({ do: button.dataset.do, value: button.dataset.value, seat: own.chosen }, true);
  });

  document.addEventListener("change", (event) => {
    const list = event.target.closest?.("select[data-do]");
    if (!list) return;
    if (!list.closest(".page-root")) own.shell({ do: list.dataset.do, value: list.value });
    else tell({ do: list.dataset.do, value: list.value, seat: own.chosen }, true);
  });

  // A slider tells once a frame at most.
  const waiting = {};
  document.addEventListener("input", (event) => {
    const slider = event.target.closest?.('input[type="range"][data-do]');
    if (!slider) return;
    const name = slider.dataset.do;
    if (!(name in waiting))
      requestAnimationFrame(() => {
        tell({ do: name, value: waiting[name] });
        delete waiting[name];
      });
    waiting[name] = slider.value;
  });

  document.addEventListener("keydown", (event) => {
    const typing = event.target.closest?.("textarea, input:not([type=range]), [contenteditable]");
    if ((event.ctrlKey || event.metaKey) && !event.altKey && !typing) {
      const key = event.key.toLowerCase();
      const what = { z: event.shiftKey ? "redo" : "undo", y: "redo", s: "save" }[key];
      if (what) {
        event.preventDefault();
        own.shell({ do: what, value: "" });
        return;
      }
    }
    const seat = event.target.closest?.("[data-seat]");
    if (!seat || event.ctrlKey || event.altKey || event.metaKey) return;
    if (event.key.startsWith("Arrow")) {
      event.preventDefault();
      const next = beside(seat, event.key);
      if (!next) return;
      mark(next.dataset.seat);
      next.focus({ preventScroll: true });
      tell({ do: "choose", value: next.dataset.seat });
    } else if (event.key === "Enter" || event.key === " ") {
      event.preventDefault();
      tell({ do: "choose", value: seat.dataset.seat });
      document.querySelector('#bearing [aria-pressed="true"], #bearing button')?.focus();
    } else if (keys[event.key]) {
      event.preventDefault();
      tell({ do: "function", value: keys[event.key], seat: seat.dataset.seat }, true);
    }
  });

  document.addEventListener("keydown", (event) => {
    if (event.key !== "Escape" || !event.target.closest?.("#bearing")) return;
    document.querySelector("#plan .seat.chosen")?.focus();
  });

  own.dark = (on) => {
    document.documentElement.dataset.theme = on ? "dark" : "light";
    window.Quasar?.Dark?.set(on);
    try {
      localStorage.setItem("bedstone-theme", on ? "dark" : "light");
    } catch (error) {
      /* a browser that keeps nothing still shows the page */
    }
  };
  let kept = null;
  try {
    kept = localStorage.getItem("bedstone-theme");
  } catch (error) {
    kept = null;
  }
  const wished = window.matchMedia("(prefers-color-scheme: dark)").matches;
  document.documentElement.dataset.theme = kept || (wished ? "dark" : "light");
  document.documentElement.lang = "en";
})();
