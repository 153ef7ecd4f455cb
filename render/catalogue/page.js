
"use strict";
(() => {
  const byId = (id) => document.getElementById(id);
  const pieces = JSON.parse(byId("data").textContent);
  const grid = byId("grid");
  const fold = (text) => text.normalize("NFKD").replace(/\p{M}/gu, "").toLowerCase();
  const longer = (f) => Math.max(...f.size_mm);

  for (const piece of pieces) {
    piece.card = byId("card-" + piece.id);
    const f = piece.figures;
    piece.text = fold([
      piece.title, piece.maker, piece.notes, piece.path, piece.message,
      ...(f ? [f.mostly_label, f.ground, f.thread, ...Object.keys(f.stitches)] : []),
    ].join(" "));
  }

  // Choosing and ordering -----------------------------------------------------------------------
  const choice = (id) => byId(id).value.trim();
  const atMost = (id) => (choice(id) === "" ? Infinity : Number(choice(id)));

  function fits(piece) {
    const words = fold(choice("words")).split(/\s+/).filter(Boolean);
    if (!words.every((word) => piece.text.includes(word))) return false;
    const outcome = choice("outcome");
    if (outcome && (outcome === "worked") !== piece.worked) return false;
    const asked = ["pairs", "hours", "size", "technique", "ground", "thread"].some(choice);
    const f = piece.figures;
    if (!f) return !asked;
    const [how, technique] = choice("technique").split(":");
    return f.pairs <= atMost("pairs") && f.hours <= atMost("hours") && longer(f) <= atMost("size")
      && (!technique || (how === "mostly" ? f.mostly === technique : f.kinds.includes(technique)))
      && (!choice("ground") || f.ground === choice("ground"))
      && (!choice("thread") || f.thread_label === choice("thread"));
  }

  const keys = {
    path: (p) => p.path,
    title: (p) => p.title,
    pairs: (p) => p.figures?.pairs,
    hours: (p) => p.figures?.hours,
    size: (p) => p.figures && p.figures.size_mm[0] * p.figures.size_mm[1],
    technique: (p) => p.figures?.mostly,
    ground: (p) => p.figures?.ground,
    thread: (p) => p.figures?.gauge_mm,
  };
  const inWords = new Intl.Collator("en", { numeric: true });
  const compare = (a, b) => (typeof a === "string" ? inWords.compare(a, b) : a - b);

  function ordered() {
    const key = keys[choice("order")];
    const sign = byId("backwards").checked ? -1 : 1;
    return [...pieces].sort((p, q) => {
      const a = key(p), b = key(q);
      // What has no figure comes last either way.
      if (a === undefined || b === undefined || a === null || b === null) {
        const none = (v) => Number(v === undefined || v === null);
        return none(a) - none(b) || compare(p.path, q.path);
      }
      return sign * compare(a, b) || compare(p.path, q.path);
    });
  }

  let shown = [];
  function choose() {
    const all = ordered();
    shown = all.filter(fits);
    const kept = new Set(shown);
    for (const piece of pieces) piece.card.hidden = !kept.has(piece);
    grid.append(...all.map((piece) => piece.card));
    byId("nothing").hidden = shown.length > 0 || pieces.length === 0;
    const broken = pieces.filter((p) => !p.worked).length;
    byId("count").textContent =
      (shown.length === pieces.length ? `${pieces.length} patterns` : `${shown.length} of ${pieces.length} patterns`)
      + (broken ? `, ${broken} without a picture` : "");
  }
  const form = byId("choose");
  form.addEventListener("input", choose);
  byId("clear").addEventListener("click", () => {
    form.reset();
    choose();
  });
  form.addEventListener("submit", (event) => event.preventDefault());
  choose();

  // Arrow keys go from card to card --------------------------------------------------------------
  grid.addEventListener("keydown", (event) => {
    const here = shown.findIndex((piece) => piece.card.contains(document.activeElement));
    if (here < 0 || event.ctrlKey || event.metaKey || event.altKey) return;
    const columns = getComputedStyle(grid).gridTemplateColumns.split(" ").length;
    const steps = { ArrowRight: 1, ArrowLeft: -1, ArrowDown: columns, ArrowUp: -columns, Home: -here, End: shown.length - 1 - here };
    if (!(event.key in steps)) return;
    event.preventDefault();
    const there = shown[here + steps[event.key]];
    there?.card.querySelector(".open").focus();
  });
  document.addEventListener("keydown", (event) => {
    if (event.key === "/" && !event.target.closest("input, select, dialog")) {
      event.preventDefault();
      byId("words").focus();
    }
  });

  // One piece, large ----------------------------------------------------------------------------
  const dialog = byId("piece");
  const view = byId("view");
  const picture = byId("picture");
  let current = null;
  let scale = 1, fitting = 1, left = 0, top = 0;

  function place() {
    const width = picture.naturalWidth * scale, height = picture.naturalHeight * scale;
    const within = (at, size, room) => (size <= room ? (room - size) / 2 : Math.min(0, Math.max(room - size, at)));
    left = within(left, width, view.clientWidth);
    top = within(top, height, view.clientHeight);
    picture.style.transform = `translate(${left}px, ${top}px) scale(${scale})`;
    picture.style.imageRendering = scale > 3 ? "pixelated" : "auto";
    byId("scale").textContent = `${Math.round((100 * scale) / fitting)} %`;
  }
  function fit() {
    if (!picture.naturalWidth || !view.clientWidth) return;
    fitting = Math.min(view.clientWidth / picture.naturalWidth, view.clientHeight / picture.naturalHeight);
    scale = fitting;
    place();
  }
  function zoom(times, x = view.clientWidth / 2, y = view.clientHeight / 2) {
    const next = Math.min(Math.max(scale * times, fitting), Math.max(8, 4 * fitting));
    left = x - ((x - left) * next) / scale;
    top = y - ((y - top) * next) / scale;
    scale = next;
    place();
  }
  function move(right, down) {
    left -= right;
    top -= down;
    place();
  }
  picture.addEventListener("load", fit);
  new ResizeObserver(fit).observe(view);
  view.addEventListener("wheel", (event) => {
    event.preventDefault();
    const box = view.getBoundingClientRect();
    zoom(Math.exp(-event.deltaY / 400), event.clientX - box.left, event.clientY - box.top);
  }, { passive: false });
  const touching = new Map();
  view.addEventListener("pointerdown", (event) => {
    touching.set(event.pointerId, event);
    view.setPointerCapture(event.pointerId);
    view.classList.add("held");
  });
  view.addEventListener("pointermove", (event) => {
    const before = touching.get(event.pointerId);
    if (!before) return;
    const other = [...touching.values()].find((one) => one.pointerId !== event.pointerId);
    if (other) {
      const apart = (one) => Math.hypot(one.clientX - other.clientX, one.clientY - other.clientY);
      const box = view.getBoundingClientRect();
      zoom(apart(event) / Math.max(apart(before), 1), (event.clientX + other.clientX) / 2 - box.left, (event.clientY + other.clientY) / 2 - box.top);
    } else {
      move(before.clientX - event.clientX, before.clientY - event.clientY);
    }
    touching.set(event.pointerId, event);
  });
  for (const end of ["pointerup", "pointercancel"]) {
    view.addEventListener(end, (event) => {
      touching.delete(event.pointerId);
      if (!touching.size) view.classList.remove("held");
    });
  }
  view.addEventListener("keydown", (event) => {
    const step = 60;
    const act = {
      "+": () => zoom(1.4), "=": () => zoom(1.4), "-": () => zoom(1 / 1.4), 0: fit,
      ArrowLeft: () => move(-step, 0), ArrowRight: () => move(step, 0),
      ArrowUp: () => move(0, -step), ArrowDown: () => move(0, step),
    }[event.key];
    if (!act || event.ctrlKey || event.metaKey || event.altKey) return;
    event.preventDefault();
    act();
  });
  byId("closer").addEventListener("click", () => zoom(1.4));
  byId("farther").addEventListener("click", () => zoom(1 / 1.4));
  byId("fit").addEventListener("click", fit);

  function show(what) {
    byId("show-whole").setAttribute("aria-pressed", String(what === "whole"));
    byId("show-pricking").setAttribute("aria-pressed", String(what === "pricking"));
    picture.classList.toggle("drawing", what === "pricking");
    picture.alt = what === "whole" ? `${current.title}, worked` : `${current.title}, the marked pricking`;
    picture.src = current.pictures[what];
  }
  byId("show-whole").addEventListener("click", () => show("whole"));
  byId("show-pricking").addEventListener("click", () => show("pricking"));

  function rows(f) {
    const [width, height] = f.size_mm;
    const total = Object.values(f.stitches).reduce((sum, n) => sum + n, 0);
    return [
      ["Pairs", `${f.pairs}, ${f.most_pairs} at once at most`],
      ["Hours", `about ${f.hours}`],
      ["Size", `${width.toFixed(1)} × ${height.toFixed(1)} mm from hole to hole`],
      ["Holes", String(f.holes)],
      ["Ground", f.ground],
      ["Thread", `${f.thread_label}, ${f.thread}`],
      ["Stitches", String(total)],
      ...Object.entries(f.stitches).map(([word, n]) => [word, `${n} (${Math.round((100 * n) / total)} %)`]),
    ];
  }
  function open(piece) {
    current = piece;
    byId("piece-title").textContent = piece.title;
    byId("message").textContent = piece.message;
    byId("about").textContent = [piece.maker, piece.notes].filter(Boolean).join("\n");
    byId("figures").replaceChildren(...(piece.figures ? rows(piece.figures) : []).flatMap(([name, value]) => {
      const term = document.createElement("dt"), told = document.createElement("dd");
      term.textContent = name;
      told.textContent = value;
      return [term, told];
    }));
    byId("doubts").replaceChildren(...(piece.figures?.doubts ?? []).map((doubt) => {
      const item = document.createElement("li");
      item.textContent = doubt;
      return item;
    }));
    byId("file").href = piece.file;
    byId("file").textContent = piece.path;
    byId("looking").hidden = !piece.worked;
    const here = shown.indexOf(piece);
    byId("before").disabled = here <= 0;
    byId("after").disabled = here < 0 || here >= shown.length - 1;
    if (!dialog.open) dialog.showModal();
    if (piece.worked) show("whole");
  }
  const go = (by) => {
    const next = shown[shown.indexOf(current) + by];
    if (next) history.replaceState(null, "", "#" + next.id), open(next);
  };
  byId("before").addEventListener("click", () => go(-1));
  byId("after").addEventListener("click", () => go(1));
  byId("close").addEventListener("click", () => dialog.close());
  dialog.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    if (event.key === "n") go(1);
    if (event.key === "p") go(-1);
  });
  dialog.addEventListener("close", () => {
    history.replaceState(null, "", location.pathname + location.search);
    const link = current.card.querySelector(".open");
    current = null;
    link.focus();
  });
  function follow() {
    const piece = pieces.find((one) => one.id === location.hash.slice(1));
    if (piece) open(piece);
    else if (dialog.open) dialog.close();
  }
  addEventListener("hashchange", follow);
  // Opened again after it was closed, a card's link does not change the address.
  grid.addEventListener("click", (event) => {
    const link = event.target.closest(".open");
    if (link && link.hash === location.hash) follow();
  });
  addEventListener("beforeprint", () => {
    for (const image of grid.querySelectorAll("img")) image.loading = "eager";
  });
  follow();
})();
