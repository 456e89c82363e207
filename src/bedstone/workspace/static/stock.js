// The page of a stock in the browser: rows that were sent once are sorted, filtered and counted
// here. Nothing is computed but counts; what is shown and how stands in the columns.
(() => {
  const own = window.bedstone;
  const CHUNK = 40; // rows put on the page at a time; more as one scrolls
  const NUMBERS = ["concern", "travel", "uplift", "utilisation"]; // columns with a chart
  const WORDS = ["state", "family", "kind", "reason"]; // filters with a list
  const KEPT = "bedstone-stock";

  let data = { columns: [], rows: [], charts: [], nothing: 0 };
  let columns = [];
  let seen = []; // places of the rows that pass the filters, in order
  let drawn = 0;
  let asked = null;
  const unfolded = new Set();
  const timings = [];

  const el = (id) => document.getElementById(id);
  const letters = { "&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;", "'": "&#39;" };
  const esc = (text) => String(text).replace(/[&<>"']/g, (letter) => letters[letter]);
  const order = new Intl.Collator("en", { numeric: true });
  const bridges = (number) => `${number} bridge${number === 1 ? "" : "s"}`;
  const column = (key) => data.columns.find((one) => one.key === key);

  // ------------------------------------------------------------------ what is asked for
  const usual = () => ({ sort: "rank", down: false, find: "", by: "family", ranges: {},
    state: "", family: "", kind: "", reason: "" });

  const ask = () => {
    const told = new URLSearchParams(location.search);
    asked = usual();
    for (const key of ["find", ...WORDS]) asked[key] = told.get(key) || "";
    // of a column left out nothing is known: there is nothing to sort by
    const sort = columns.find((one) => one.key === told.get("sort"));
    if (sort) asked.sort = sort.key;
    asked.down = told.get("down") === "1" && (Boolean(sort) || !told.get("sort"));
    asked.by = told.get("by") === "kind" ? "kind" : "family";
    for (const key of NUMBERS) {
      const range = (told.get(key) || "").split("..");
      if (range.length !== 2) continue;
      const ends = range.map((end) => (end === "" || !Number.isFinite(Number(end)) ? null : Number(end)));
      if (ends[0] !== null || ends[1] !== null) asked.ranges[key] = ends;
    }
  };

  const keep = () => {
    const told = new URLSearchParams();
    const none = usual();
    for (const key of ["sort", "find", "by", ...WORDS]) if (asked[key] !== none[key]) told.set(key, asked[key]);
    if (asked.down) told.set("down", "1");
    for (const [key, [low, high]] of Object.entries(asked.ranges)) told.set(key, `${low ?? ""}..${high ?? ""}`);
    const text = told.toString();
    history.replaceState(history.state, "", text ? `/?${text}` : "/");
    try {
      sessionStorage.setItem(KEPT, text ? `?${text}` : "");
    } catch (error) {
      /* a browser that keeps nothing shows the stock as it comes */
    }
  };

  // ------------------------------------------------------------------ sorting and filtering
  // What a cell is ordered by: a number, words, or null where nothing is known.
  const ordered = (row, told) => {
    const value = row[told.key];
    if (value === null || value === "") return null;
    if (told.holds === "judged") return value[0];
    return value === "no end" ? Infinity : value;
  };

  const within = (value, [low, high]) =>
    value !== null && (low === null || value >= low) && (high === null || value < high);

  // Which filter a row fails: "" none, else its name, or "several". A chart shows what passes all
  // filters but its own.
  const failed = (row, words) => {
    const fails = [];
    if (asked.state && row.state !== asked.state) fails.push("state");
    if ((asked.family && row.family !== asked.family) || (asked.kind && row.kind !== asked.kind)) fails.push("by");
    if (asked.reason && !row.reasons.some((one) => one.kind === asked.reason)) fails.push("reason");
    for (const [key, range] of Object.entries(asked.ranges))
      if (!within(ordered(row, column(key)), range)) fails.push(key);
    if (!words.every((word) => row.text.includes(word))) fails.push("find");
    return fails.length > 1 ? "several" : fails[0] || "";
  };

  const arrange = () => {
    const words = asked.find.toLowerCase().split(/\s+/).filter(Boolean);
    const told = column(asked.sort);
    const sign = asked.down ? -1 : 1;
    const text = told.holds === "text";
    seen = [];
    data.rows.forEach((row, at) => {
      row.fails = failed(row, words);
      if (!row.fails) seen.push(at);
    });
    const keys = data.rows.map((row) => ordered(row, told));
    seen.sort((a, b) => {
      const [one, other] = [keys[a], keys[b]];
      if (one === null || other === null) return (one === null) - (other === null) || a - b;
      const by = text ? order.compare(one, other) : one - other;
      return sign * by || a - b;
    });
  };

  // ------------------------------------------------------------------ the table
  const figure = (value, told) => {
    if (value === "no end") return "no end";
    const text = (value * told.factor).toFixed(told.places);
    return /[1-9]/.test(text) ? text.replace("-", "−") : "0";
  };

  const tone = (value, told) => {
    if (value === null || told.act === null) return "";
    const number = value === "no end" ? Infinity : value;
    const sign = told.act < told.calm ? -1 : 1;
    if (sign * number >= sign * told.act) return "warning";
    return sign * number >= sign * told.calm ? "strong" : "";
  };

  const cell = (row, at, told) => {
    const label = `role="cell" data-label="${esc(told.head)}${told.unit ? ` [${told.unit}]` : ""}"`;
    const value = row[told.key];
    if (told.key === "bridge") {
      const name = row.open ? `<a href="${esc(row.open)}">${esc(row.bridge)}</a>` : esc(row.bridge);
      return `<th scope="row" role="rowheader" class="words">${name}<small>${esc(row.name)}` +
        `${row.made_up ? " (made up)" : ""}</small></th>`;
    }
    if (told.key === "reason") {
      const more = row.reasons.length > 1 ? ` (and ${row.reasons.length - 1} more)` : "";
      const open = unfolded.has(row.bridge);
      return `<td ${label} class="words"><button type="button" class="unfold" data-unfold="${at}" ` +
        `aria-expanded="${open}"><span>${esc(row.reason || row.state)}${more}</span></button></td>`;
    }
    if (told.key === "state")
      return `<td ${label} class="words">${esc(row.state)}${row.not_now ? `<small>${esc(row.not_now)}</small>` : ""}</td>`;
    if (value === null || value === "") return `<td ${label} class="none${told.holds === "number" ? "" : " words"}">–</td>`;
    if (told.holds === "text") return `<td ${label} class="words">${esc(value)}</td>`;
    if (told.holds === "judged") {
      const loud = told.key !== "change" && value[0] >= 1 ? " warning" : "";
      return `<td ${label} class="words${loud}">${esc(value[1])}</td>`;
    }
    return `<td ${label} class="${tone(value, told)}">${figure(value, told)}</td>`;
  };

  const detail = (row) => {
    const list = (head, lines) =>
      lines.length ? `<h3>${head}</h3><ul>${lines.map((line) => `<li>${esc(line)}</li>`).join("")}</ul>` : "";
    const reasons = row.reasons
      .map((one) => `<li><b>${one.concern.toFixed(2)}</b> ${esc(one.text)}</li>`)
      .join("");
    const links = [
      row.open ? `<a href="${esc(row.open)}">Open this bridge</a>` : "",
      row.results ? `<a href="${esc(row.results)}">All that was worked out of it</a>` : "",
    ];
    return (
      (reasons ? `<h3>Concern and reason</h3><ul class="reasons">${reasons}</ul>` : "") +
      list("Faults", row.faults) +
      list("Left out", row.notes) +
      list("Since the run before", row.since ? [row.since] : []) +
      `<p class="links">${links.filter(Boolean).join(" ")}</p>`
    );
  };

  const body = (from, to) => {
    let html = "";
    for (let place = from; place < to; place++) {
      const at = seen[place];
      const row = data.rows[at];
      html += `<tr role="row" aria-rowindex="${place + 2}">${columns.map((told) => cell(row, at, told)).join("")}</tr>`;
      if (unfolded.has(row.bridge)) html += folded(row, at);
    }
    return html;
  };

  const folded = (row, at) =>
    `<tr role="row" class="unfolded" id="stock-detail-${at}"><td role="cell" colspan="${columns.length}">${detail(row)}</td></tr>`;

  const more = (count) => {
    const to = Math.min(drawn + count, seen.length);
    if (to > drawn) el("stock-body").insertAdjacentHTML("beforeend", body(drawn, to));
    drawn = to;
    el("stock-rest").innerHTML =
      drawn < seen.length
        ? `<span>${drawn} of ${seen.length} rows</span> <button type="button" id="stock-all">Show all ${seen.length}</button>`
        : "";
  };

  const heads = () => {
    el("stock-head").innerHTML = `<tr role="row" aria-rowindex="1">${columns
      .map(
        (told) =>
          `<th scope="col" role="columnheader" class="${told.holds === "number" ? "" : "words"}" data-head="${told.key}">` +
          `<button type="button" class="sorts" data-sort="${told.key}" title="${esc(told.about)}">${esc(told.head)}` +
          `${told.unit ? `<span class="unit">${told.unit}</span>` : ""}</button></th>`,
      )
      .join("")}</tr>`;
  };

  const marked = () => {
    for (const head of el("stock-head").querySelectorAll("[data-head]"))
      if (head.dataset.head === asked.sort)
        head.setAttribute("aria-sort", asked.down ? "descending" : "ascending");
      else head.removeAttribute("aria-sort");
  };

  // ------------------------------------------------------------------ filters
  const CONCERNS = () => [
    ["..", "any"],
    ["1..", "something to be done"],
    [`${data.nothing}..`, "asks for attention"],
    [`..${data.nothing}`, "nothing"],
  ];

  const listing = () => {
    const told = { state: "every state", family: "every family", kind: "every kind", reason: "every reason" };
    const values = (key) => {
      const all = key === "reason" ? data.rows.flatMap((row) => row.reasons.map((one) => one.kind)) : data.rows.map((row) => row[key]);
      return [...new Set(all)].filter(Boolean).sort(order.compare);
    };
    const select = (key, label, pairs) =>
      `<label class="field"><span>${label}</span><select id="stock-${key}">${pairs
        .map(([value, text]) => `<option value="${esc(value)}">${esc(text)}</option>`)
        .join("")}</select></label>`;
    el("stock-lists").innerHTML =
      select("concern", "concern", [...CONCERNS(), ["", "a bar of the chart"]]) +
      WORDS.map((key) => select(key, key, [["", told[key]], ...values(key).map((one) => [one, one])])).join("") +
      select("sort", "sorted by", columns.map((one) => [one.key, one.head])) +
      '<button type="button" id="stock-turn" title="Turn the order round"></button>';
  };

  const lists = () => {
    const range = (asked.ranges.concern || [null, null]).map((end) => end ?? "").join("..");
    const known = CONCERNS().some(([value]) => value === range);
    el("stock-concern").value = known ? range : "";
    el("stock-concern").lastElementChild.hidden = known;
    for (const key of WORDS) {
      const list = el(`stock-${key}`);
      list.value = asked[key];
      // an address may ask for what no bridge has: then it says so, and none is shown
      if (list.value !== asked[key]) {
        list.add(new Option(asked[key], asked[key]));
        list.value = asked[key];
      }
    }
    el("stock-sort").value = asked.sort;
    el("stock-turn").textContent = asked.down ? "falling ↓" : "rising ↑";
  };

  const chips = () => {
    const range = ([low, high], told) => {
      const [from, to] = [low, high].map((end) => (end === null ? "" : figure(end, told)));
      const unit = told.unit ? ` ${told.unit}` : "";
      if (high === data.nothing) return "0";
      if (low === data.nothing) return high === null ? "more than 0" : `0 to ${to}`;
      if (low === null) return `below ${to}${unit}`;
      return high === null ? `${from}${unit} or more` : `${from} to ${to}${unit}`;
    };
    const told = [];
    if (asked.find) told.push(["find", `“${asked.find}”`]);
    for (const key of WORDS) if (asked[key]) told.push([key, `${key}: ${asked[key]}`]);
    for (const [key, ends] of Object.entries(asked.ranges)) told.push([key, `${column(key).head}: ${range(ends, column(key))}`]);
    el("stock-chips").innerHTML =
      told.map(([key, text]) => `<button type="button" class="chip" data-drop="${key}" aria-label="Drop the filter ${esc(text)}">${esc(text)} ✕</button>`).join("") +
      (told.length > 1 ? '<button type="button" data-drop="">Show all</button>' : "");
    const all = data.rows.length;
    const count = seen.length === all ? bridges(all) : `${seen.length} of ${bridges(all)}`;
    if (el("stock-count").textContent !== count) el("stock-count").textContent = count;
  };

  // ------------------------------------------------------------------ charts
  const WIDE = 264;
  const HIGH = 92;
  const FOOT = 20;
  const TOP = 26;

  const histogram = (chart) => {
    const told = column(chart.key);
    const count = chart.bars.map(() => [0, 0]);
    data.rows.forEach((row) => {
      const bar = row.bars[chart.key];
      if (bar < 0) return;
      count[bar][0]++;
      if (!row.fails || row.fails === chart.key) count[bar][1]++;
    });
    const known = count.reduce((sum, [all]) => sum + all, 0);
    const head = `<h3 id="stock-chart-${chart.key}">${esc(chart.title)}</h3>`;
    if (!known) return `${head}<p class="note">Not known of any bridge of this stock.</p>`;
    const most = Math.max(...count.map(([all]) => all));
    const step = WIDE / chart.bars.length;
    const y = (number) => TOP + HIGH - (number / most) * HIGH;
    const range = asked.ranges[chart.key];
    const bars = chart.bars.map((bar, at) => {
      const [all, some] = count[at];
      const chosen = range && range[0] === bar.low && range[1] === bar.high;
      const x = at * step;
      const unit = told.unit ? ` ${told.unit}` : "";
      const label = `${told.head} ${bar.label}${unit}: ${some === all ? bridges(all) : `${some} of ${bridges(all)}`}`;
      return (
        `<g class="bar${chosen ? " chosen" : ""}" role="button" tabindex="${at ? -1 : 0}" data-bar="${chart.key} ${at}" ` +
        `aria-pressed="${Boolean(chosen)}" aria-label="${esc(label)}"><title>${esc(label)}</title>` +
        `<rect class="hit" x="${x}" y="0" width="${step}" height="${TOP + HIGH}"/>` +
        `<rect class="all" x="${x + 1.5}" y="${y(all)}" width="${step - 3}" height="${TOP + HIGH - y(all)}"/>` +
        `<rect class="some" x="${x + 1.5}" y="${y(some)}" width="${step - 3}" height="${TOP + HIGH - y(some)}"/>` +
        `${all ? `<text x="${x + step / 2}" y="${y(all) - 3}">${some}</text>` : ""}</g>`
      );
    });
    const edge = (value) => chart.bars.findIndex((bar) => bar.low !== null && Math.abs(bar.low - value) < 1e-9);
    const lines = ["calm", "act"].map((which) => {
      const at = told[which] === null ? -1 : edge(told[which]);
      if (at < 0) return "";
      // where "act" is the lower end, each word stands on its outer side: the lines are close
      const left = told.act < told.calm && which === "act";
      return (
        `<line class="${which}" x1="${at * step}" x2="${at * step}" y1="4" y2="${TOP + HIGH}"/>` +
        `<text class="${which} ${left ? "before" : "after"}" x="${at * step + (left ? -3 : 3)}" y="11">${which}</text>`
      );
    });
    const ticks = chart.bars
      .map((bar, at) => {
        if (at === 0) return chart.key === "concern" ? `<text x="${step / 2}" y="${TOP + HIGH + 14}">0</text>` : "";
        const named = chart.key === "concern" ? (at - 1) % 2 === 0 && at > 1 : at % 2 === 1;
        return named ? `<text x="${at * step}" y="${TOP + HIGH + 14}">${figure(bar.low, { ...told, places: chart.key === "utilisation" || chart.key === "concern" ? 1 : 0 })}</text>` : "";
      })
      .join("");
    return (
      `${head}<svg class="histogram" role="group" aria-labelledby="stock-chart-${chart.key}" viewBox="0 0 ${WIDE} ${TOP + HIGH + FOOT}">` +
      `${lines.join("")}${bars.join("")}<line class="axis" x1="0" x2="${WIDE}" y1="${TOP + HIGH}" y2="${TOP + HIGH}"/>` +
      `<g class="ticks" aria-hidden="true">${ticks}</g></svg><p class="note">number of bridges; known of ${known}</p>`
    );
  };

  const bands = () => {
    const told = column("concern");
    const parts = [
      ["most", [told.act, null], "something to be done"],
      ["some", [data.nothing, told.act], "asks for attention"],
      ["calm", [null, data.nothing], "nothing"],
    ];
    const groups = new Map();
    data.rows.forEach((row) => {
      const name = row[asked.by];
      if (!name || row.concern === null) return;
      if (!groups.has(name)) groups.set(name, parts.map(() => [0, 0]));
      const at = parts.findIndex(([, range]) => within(row.concern, range));
      groups.get(name)[at][0]++;
      if (!row.fails || row.fails === "by") groups.get(name)[at][1]++;
    });
    const names = [...groups.keys()].sort(order.compare);
    const most = Math.max(1, ...[...groups.values()].map((count) => count.reduce((sum, [all]) => sum + all, 0)));
    const LEFT = 84;
    const scale = (WIDE - LEFT - 4) / most;
    let first = true;
    const rows = names.map((name, line) => {
      let x = LEFT;
      const bars = parts.map(([kind, range, text], at) => {
        const [all, some] = groups.get(name)[at];
        if (!all) return "";
        const wide = all * scale;
        const now = asked.ranges.concern;
        const chosen = asked[asked.by] === name && now && now[0] === range[0] && now[1] === range[1];
        const label = `${name}, ${text}: ${some === all ? bridges(all) : `${some} of ${bridges(all)}`}`;
        const made =
          `<g class="bar band ${kind}${chosen ? " chosen" : ""}" role="button" tabindex="${first ? 0 : -1}" data-band="${esc(name)}" data-range="${range.map((end) => end ?? "").join("..")}" ` +
          `aria-pressed="${Boolean(chosen)}" aria-label="${esc(label)}"><title>${esc(label)}</title>` +
          `<rect class="piece" x="${x}" y="${line * 26 + 4}" width="${Math.max(wide - 1, 1)}" height="18"/>` +
          `${wide > 16 ? `<text x="${x + wide / 2}" y="${line * 26 + 17}">${some}</text>` : ""}</g>`;
        first = false;
        x += wide;
        return made;
      });
      return `<text class="name" x="${LEFT - 6}" y="${line * 26 + 17}" aria-hidden="true">${esc(name)}</text>${bars.join("")}`;
    });
    const pick = ["family", "kind"]
      .map((one) => `<button type="button" data-by="${one}" aria-pressed="${asked.by === one}">by ${one}</button>`)
      .join("");
    return (
      `<h3 id="stock-chart-by">Concern by ${asked.by}</h3><div class="choice" role="group" aria-label="bridges apart by">${pick}</div>` +
      (names.length
        ? `<svg class="bands" role="group" aria-labelledby="stock-chart-by" viewBox="0 0 ${WIDE} ${names.length * 26 + 4}">${rows.join("")}</svg>` +
          `<ul class="keys"><li class="most">something to be done (1 or more)</li><li class="some">asks for attention</li><li class="calm">nothing</li></ul>`
        : '<p class="note">No bridge was worked out yet.</p>')
    );
  };

  const charts = () => {
    const place = el("stock-charts");
    const held = place.contains(document.activeElement) ? document.activeElement : null;
    const { bar, band, range, by } = held?.dataset ?? {};
    place.innerHTML = [...data.charts.map(histogram), bands()]
      .map((html) => `<div class="chart">${html}</div>`)
      .join("");
    const same =
      (bar && place.querySelector(`[data-bar="${bar}"]`)) ||
      (band && place.querySelector(`[data-band="${CSS.escape(band)}"][data-range="${range}"]`)) ||
      (by && place.querySelector(`[data-by="${by}"]`));
    if (same) rove(same);
  };

  // One stop of the Tab key a chart; arrows go from bar to bar.
  const rove = (bar) => {
    if (bar.matches(".bar")) {
      for (const one of bar.closest("svg").querySelectorAll(".bar")) one.setAttribute("tabindex", "-1");
      bar.setAttribute("tabindex", "0");
    }
    bar.focus({ preventScroll: true });
  };

  // ------------------------------------------------------------------ drawing
  const draw = () => {
    const begin = performance.now();
    arrange();
    keep();
    drawn = 0;
    el("stock-body").innerHTML = "";
    more(CHUNK);
    el("stock-table").setAttribute("aria-rowcount", seen.length + 1);
    marked();
    lists();
    chips();
    charts();
    void el("stock-table").offsetHeight; // what the browser lays out belongs to it
    timings.push(performance.now() - begin);
  };

  const load = async (address) => {
    const answer = await fetch(address);
    if (!answer.ok) return;
    data = await answer.json();
    for (const row of data.rows) {
      row.text = [row.bridge, row.name, row.state, row.family, row.kind, ...row.faults,
        ...row.reasons.map((one) => one.text)].join(" ").toLowerCase();
    }
    columns = data.columns.filter(
      (told) => ["rank", "bridge", "concern", "reason"].includes(told.key) || data.rows.some((row) => row[told.key] !== null && row[told.key] !== ""),
    );
    ask();
    el("stock-find").value = asked.find;
    for (const row of data.rows) {
      row.bars = {};
      for (const chart of data.charts) {
        const value = ordered(row, column(chart.key));
        row.bars[chart.key] = chart.bars.findIndex((one) => within(value, [one.low, one.high]));
      }
    }
    heads();
    listing();
    for (const one of document.querySelectorAll(".stock-page .awaits")) one.hidden = false;
    // on a telephone the list comes first
    if (!document.body.dataset.rows) el("stock-distribution").open = window.innerWidth > 760;
    draw();
    document.body.dataset.rows = String(data.rows.length);
  };

  // ------------------------------------------------------------------ what is done
  const sort = (key) => {
    const told = column(key);
    if (asked.sort === key) asked.down = !asked.down;
    else asked.down = told.holds !== "text" && told.worst === "largest";
    asked.sort = key;
    draw();
  };

  const press = (bar) => {
    if (bar.dataset.bar) {
      const [key, at] = bar.dataset.bar.split(" ");
      const { low, high } = data.charts.find((one) => one.key === key).bars[Number(at)];
      const now = asked.ranges[key];
      if (now && now[0] === low && now[1] === high) delete asked.ranges[key];
      else asked.ranges[key] = [low, high];
    } else {
      const range = bar.dataset.range.split("..").map((end) => (end === "" ? null : Number(end)));
      const same = bar.getAttribute("aria-pressed") === "true";
      asked[asked.by] = same ? "" : bar.dataset.band;
      if (same) delete asked.ranges.concern;
      else asked.ranges.concern = range;
    }
    draw();
  };

  const unfold = (button) => {
    const at = Number(button.dataset.unfold);
    const row = data.rows[at];
    const open = button.getAttribute("aria-expanded") !== "true";
    button.setAttribute("aria-expanded", open);
    if (open) {
      unfolded.add(row.bridge);
      button.closest("tr").insertAdjacentHTML("afterend", folded(row, at));
      button.setAttribute("aria-controls", `stock-detail-${at}`);
    } else {
      unfolded.delete(row.bridge);
      button.removeAttribute("aria-controls");
      el(`stock-detail-${at}`)?.remove();
    }
  };

  const drop = (key) => {
    const none = usual();
    if (key === "") asked = { ...none, sort: asked.sort, down: asked.down, by: asked.by };
    else if (key in none) asked[key] = none[key];
    else delete asked.ranges[key];
    el("stock-find").value = asked.find;
    draw();
    el("stock-find").focus({ preventScroll: true });
  };

  document.addEventListener("click", (event) => {
    const on = (selector) => event.target.closest?.(`.stock-page ${selector}`);
    const [head, fold, bar, chip, by] = ["[data-sort]", "[data-unfold]", ".bar", "[data-drop]", "[data-by]"].map(on);
    if (head) sort(head.dataset.sort);
    else if (fold) unfold(fold);
    else if (bar) press(bar);
    else if (chip) drop(chip.dataset.drop);
    else if (by) {
      asked.by = by.dataset.by;
      draw();
    } else if (on("#stock-all")) {
      more(seen.length);
      el("stock-table").querySelector(`[aria-rowindex="${CHUNK + 2}"] a, [aria-rowindex="${CHUNK + 2}"] button`)?.focus({ preventScroll: true });
    } else if (on("#stock-turn")) {
      asked.down = !asked.down;
      draw();
    }
  });

  document.addEventListener("keydown", (event) => {
    const bar = event.target.closest?.(".stock-page .bar");
    if (!bar) return;
    if (event.key === "Enter" || event.key === " ") {
      event.preventDefault();
      press(bar);
    } else if (event.key.startsWith("Arrow")) {
      event.preventDefault();
      const all = [...bar.closest("svg").querySelectorAll(".bar")];
      const next = all[all.indexOf(bar) + (event.key === "ArrowRight" || event.key === "ArrowDown" ? 1 : -1)];
      if (next) rove(next);
    }
  });

  document.addEventListener("input", (event) => {
    if (event.target.id !== "stock-find") return;
    asked.find = event.target.value;
    draw();
  });

  document.addEventListener("change", (event) => {
    const key = event.target.matches?.("#stock-lists select") && event.target.id.replace("stock-", "");
    if (!key) return;
    const value = event.target.value;
    if (key === "concern" && value === "") return;
    if (key === "concern") {
      const ends = value.split("..").map((end) => (end === "" ? null : Number(end)));
      if (ends[0] === null && ends[1] === null) delete asked.ranges.concern;
      else asked.ranges.concern = ends;
    } else if (key === "sort") {
      asked.sort = ""; // another column: the order that asks for attention first
      sort(value);
      return;
    } else asked[key] = value;
    draw();
  });

  // More rows as soon as the end of those on the page comes near.
  const near = new IntersectionObserver(
    (told) => {
      if (!told.some((one) => one.isIntersecting) || !drawn || drawn >= seen.length) return;
      more(CHUNK);
      watched(); // it may still be near: watching it anew says so
    },
    { rootMargin: "400px" },
  );
  const watched = () => {
    const end = el("stock-rest");
    if (!end) return;
    near.unobserve(end);
    near.observe(end);
  };

  own.stock = {
    timings,
    load: (address) => {
      watched();
      return load(address);
    },
  };
})();
