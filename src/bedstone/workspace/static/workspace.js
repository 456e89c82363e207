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

  // A control that is being pressed must stay until it is let go, or the click is lost: what would
  // replace it waits so long. Lists and fields are not waited for: they may never be let go here.
  const LONGEST_PRESS = 2000; // ms
  let pressed = null;
  const later = [];
  const free = () => {
    pressed = null;
    if (!later.length) return;
    for (const todo of later.splice(0)) todo();
    if (own.chosen) mark(own.chosen);
  };
  document.addEventListener(
    "pointerdown",
    (event) => {
      free();
      const control = event.target.closest?.("button, summary, a, [data-seat]");
      if (!control) return;
      pressed = control;
      setTimeout(() => pressed === control && free(), LONGEST_PRESS);
    },
    true,
  );
  // the click itself comes after the pointer is up
  for (const end of ["pointerup", "pointercancel"])
    document.addEventListener(end, () => setTimeout(free, 0), true);
  const unpressed = (place, todo) => {
    // what comes after something that waits waits as well, so that the order stays
    if (later.length || (pressed && place.contains(pressed))) later.push(todo);
    else todo();
  };

  // A field that was being written into when it was replaced: the browser no longer knows that it
  // was changed, so leaving it has to say so.
  const goOn = (field, [text, start, end]) => {
    field.value = text;
    if (start !== null) field.setSelectionRange?.(start, end);
    let told = false;
    field.addEventListener("change", () => (told = true), { once: true });
    field.addEventListener(
      "blur",
      () => {
        if (!told && field.isConnected && field.value !== field.defaultValue)
          field.dispatchEvent(new Event("change", { bubbles: true }));
      },
      { once: true },
    );
  };

  // Put new content where it belongs; focus, what is being written, what is unfolded and how far
  // it is scrolled stay.
  const put = (name, html) => {
    if (name === "temperature-range") {
      const slider = document.getElementById("temperature");
      if (slider) [slider.min, slider.max] = html.split(" ");
      return;
    }
    const found = find(name);
    if (!found) return;
    unpressed(found, () => {
      const place = find(name);
      if (!place) return;
      const held = document.activeElement;
      const inside = held && held !== document.body && held !== place && place.contains(held);
      const { key, seat } = inside ? held.dataset : {};
      const dirty = key && held.matches("input, textarea") && held.value !== held.defaultValue;
      const typing = dirty ? [held.value, held.selectionStart, held.selectionEnd] : null;
      const open = [...place.querySelectorAll("details[data-fold]")]
        .filter((fold) => fold.open)
        .map((fold) => fold.dataset.fold);
      const tops = [...place.querySelectorAll("[data-scroll]")].map((box) => [box.dataset.scroll, box.scrollTop]);
      place.innerHTML = html;
      for (const fold of place.querySelectorAll("details[data-fold]"))
        if (open.includes(fold.dataset.fold)) fold.open = true;
      for (const [box, top] of tops) {
        const same = place.querySelector(`[data-scroll="${CSS.escape(box)}"]`);
        if (same) same.scrollTop = top;
      }
      if (seat) place.querySelector(`[data-seat="${CSS.escape(seat)}"]`)?.focus({ preventScroll: true });
      const same = key ? place.querySelector(`[data-key="${CSS.escape(key)}"]`) : null;
      same?.focus({ preventScroll: true });
      if (same && typing) goOn(same, typing);
      else if (same?.matches("input")) same.select?.();
    });
  };
  own.put = (told) => {
    for (const [name, html] of Object.entries(told)) put(name, html);
    document.body.dataset.ready = "yes";
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

  const choose = (seat) => {
    own.choosing = { seat, place: root() };
    mark(seat);
    tell({ do: "choose", value: seat });
  };

  own.show = (told) => {
    for (const [name, html] of Object.entries(told.parts)) put(name, html);
    for (const [id, html] of Object.entries(told.groups)) {
      const old = document.getElementById(id);
      if (!old) continue;
      unpressed(old, () => {
        const group = document.getElementById(id);
        if (!group) return;
        const held = document.activeElement === group;
        group.outerHTML = html;
        if (held) document.getElementById(id).focus({ preventScroll: true });
      });
    }
    // an answer from before the last bearing was chosen does not take the choice back
    if (own.choosing && own.choosing.place === root() && told.chosen !== own.choosing.seat)
      mark(own.choosing.seat);
    else {
      own.choosing = null;
      mark(told.chosen);
    }
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

  // The address of what is shown, so that a reload, a link and a bookmark find it again.
  own.at = (address, title) => {
    history.replaceState(history.state, "", address);
    document.title = title;
  };

  // Back to the stock as it was left: sorted and filtered.
  document.addEventListener(
    "click",
    (event) => {
      const link = event.target.closest?.("a[data-stock]");
      if (!link) return;
      try {
        link.search = sessionStorage.getItem("bedstone-stock") || "";
      } catch (error) {
        /* a browser that keeps nothing shows the stock as it comes */
      }
    },
    true,
  );

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
      choose(seat.dataset.seat);
      seat.focus({ preventScroll: true });
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
      choose(next.dataset.seat);
      next.focus({ preventScroll: true });
    } else if (event.key === "Enter" || event.key === " ") {
      event.preventDefault();
      choose(seat.dataset.seat);
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

  // A plot of a page that is left while it still takes its size says so as an error; it is none.
  window.addEventListener("unhandledrejection", (event) => {
    if (/displayed plot div/.test(event.reason?.message)) event.preventDefault();
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
