(() => {
  "use strict";
  const one = id => document.getElementById(id);
  const known = JSON.parse(one("known").textContent);
  document.documentElement.classList.add("js");
  const KEPT = "pinwright-photo-marks", OUTLINE = "outline", FINE = 500, GLASS = 160, TIMES = 4;
  const picture = one("picture"), stage = one("stage"), sheet = one("sheet"), over = one("over"), glass = one("glass"), text = one("text");

  /* marks: by name [x, y] in px of the picture, from its upper left corner; done: blocks that are ready */
  const fresh = view => ({ view, size: null, distance: "350", lens: "100", marks: {}, skipped: [], outline: [] });
  let photo = fresh("front"), done = [], at = "", point = -1, scale = 1, opened = false, saved = true, address = "", held = null;
  const places = () => known.views[photo.view];
  const place = name => places().find(p => p.name === name);
  const label = name => name === OUTLINE ? "outline" : place(name).label;
  const capital = s => s[0].toUpperCase() + s.slice(1);
  const round = v => Math.round(v * 10) / 10;
  const inside = ([x, y]) => [round(Math.min(Math.max(x, 0), photo.size[0])), round(Math.min(Math.max(y, 0), photo.size[1]))];
  const any = () => Object.keys(photo.marks).length + photo.outline.length > 0;
  const here = () => at === OUTLINE ? photo.outline[point] : photo.marks[at];
  const number = s => /^\s*\d+([.,]\d+)?\s*$/.test(s) ? Number(s.replace(",", ".")) : NaN;

  /* what does not hold, each as a sentence; without the needed marks there is nothing to copy */
  function faults() {
    const m = photo.marks, found = [], has = n => m[n] !== undefined;
    if (!photo.size) return ["Choose a picture first."];
    const missing = places().filter(p => p.needed && !has(p.name)).map(p => p.label);
    if (missing.length) found.push(`Still to be put: ${missing.join(" and ")}.`);
    for (const [of, [low, high], who] of [["distance", known.distance, "The lens is"], ["lens", known.lens, "The lens stands"]]) {
      const v = number(photo[of]), what = of === "distance" ? "away from her" : "over the floor";
      if (!(v >= low && v <= high)) found.push(`${who} between ${low} and ${high} cm ${what}: write how far, in cm.`);
    }
    if (has("crown") && has("floor") && m.crown[1] >= m.floor[1]) found.push("The crown lies below the floor: put them again, or turn the picture first.");
    else if (has("crown") && has("floor") && tall() < known.tall) found.push(`Crown and floor are ${Math.round(tall())} px apart: at least ${known.tall} are needed.`);
    const [top, bottom] = known.plumb;
    if (has("crown") && has("floor") && m.crown[1] < m.floor[1]) {
      const lies = (a, b) => Math.atan2(b[0] - a[0], b[1] - a[1]) * 180 / Math.PI;
      const aslant = lies(m.crown, m.floor) - (has(top) && has(bottom) ? lies(m[top], m[bottom]) : 0);
      if (Math.abs(aslant) > known.aslant) found.push(`The crown lies ${Math.abs(aslant).toFixed(0)}° off the plumb line over the floor: turn the picture upright, or put them again.`);
    }
    if (has(top) !== has(bottom)) found.push("The plumb line needs both its points: put the other one, or delete this one.");
    if (has(top) && has(bottom) && m[top][1] >= m[bottom][1]) found.push("The upper point of the plumb line lies below the lower one: put them again.");
    const n = photo.outline.length;
    if (n > 0 && n < 3) found.push("An outline needs at least three points: put more, or delete them.");
    return found;
  }
  const tall = () => Math.hypot(photo.marks.floor[0] - photo.marks.crown[0], photo.marks.floor[1] - photo.marks.crown[1]);
  /* what looks odd: the order may refuse it */
  function doubts() {
    const m = photo.marks, found = [], given = places().map(p => p.name).filter(n => m[n]);
    const bare = n => n.replace(/_(left|right)$/, "");
    const rows = known.order.map(row => given.filter(n => row.includes(bare(n)))).filter(row => row.length);
    rows.slice(1).forEach((row, i) => {
      for (const upper of rows[i]) for (const lower of row)
        if (m[upper][1] >= m[lower][1]) found.push(`${capital(label(upper))} is marked below ${label(lower)}: on a client it is over it.`);
    });
    for (const before of known.before) for (const behind of known.behind) {
      if (!given.includes(before) || !given.includes(behind)) continue;
      if ((photo.view === "left" ? 1 : -1) * (m[before][0] - m[behind][0]) >= 0)
        found.push(`${capital(label(before))} lies behind ${label(behind)}: from her ${photo.view} side she faces the ${photo.view} of the picture.`);
    }
    if (photo.view === "front" || photo.view === "back") {
      const sign = photo.view === "front" ? 1 : -1;
      const turned = Object.keys(m).filter(n => n.endsWith("_left") && place(n) && m[n.replace(/_left$/, "_right")])
        .filter(n => sign * (m[n][0] - m[n.replace(/_left$/, "_right")][0]) < 0);
      if (turned.length) found.push(`Left and right look exchanged (${turned.map(n => place(n).label.replace(/^left /, "")).join(", ")}): from the ${photo.view} her left is on the ${sign > 0 ? "right" : "left"} of the picture. A mirrored picture must be turned back first.`);
    }
    if (m.crown && m.floor && tall() < FINE)
      found.push(`She is only ${Math.round(tall())} px tall in this picture: a mark cannot be better than some millimetres. A larger picture does better.`);
    return found;
  }
  const pair = p => `[${p[0].toFixed(1)}, ${p[1].toFixed(1)}]`;
  function block() {
    const named = places().filter(p => photo.marks[p.name]).map(p => `${p.name} = ${pair(photo.marks[p.name])}`);
    const lines = ["[[figure.photographs]]", `view = "${photo.view}"`, `size = [${photo.size.join(", ")}]`,
      `distance = ${number(photo.distance)}`, `lens = ${number(photo.lens)}`, `marks = { ${named.join(", ")} }`];
    if (photo.outline.length) lines.push(`outline = [${photo.outline.map(pair).join(", ")}]`);
    return lines.join("\n") + "\n";
  }

  /* saying things */
  const wrong = words => { const e = one("wrong"); e.textContent = words || ""; e.hidden = !words; };
  let late = 0;
  const hear = (words, wait = 0) => { clearTimeout(late); late = setTimeout(() => { one("heard").textContent = words; }, wait); };

  /* everything that is shown follows from the state */
  function show() {
    const list = one("places"), order = [...places().map(p => p.name), OUTLINE];
    if (list.dataset.view !== photo.view) {
      list.dataset.view = photo.view;
      list.replaceChildren(...order.map(name => {
        const li = document.createElement("li"), b = document.createElement("button"), words = document.createElement("span"), state = document.createElement("small");
        b.type = "button"; b.dataset.name = name; words.textContent = capital(label(name)); b.append(words, state); li.append(b);
        b.addEventListener("click", () => { choose(name); reveal(); });
        return li;
      }));
    }
    for (const b of list.querySelectorAll("button")) {
      const name = b.dataset.name, n = photo.outline.length, put = name === OUTLINE ? n > 0 : !!photo.marks[name];
      const needed = name !== OUTLINE && place(name).needed && !put, skipped = photo.skipped.includes(name) && !put;
      b.className = put ? "put" : needed ? "needed" : "";
      b.lastChild.textContent = name === OUTLINE ? `${n || "no"} point${n === 1 ? "" : "s"}` : put ? "put" : needed ? "needed" : skipped ? "skipped" : "open";
      if (name === at) b.setAttribute("aria-current", "step"); else b.removeAttribute("aria-current");
    }
    const put = places().filter(p => photo.marks[p.name]).length;
    one("count").textContent = `${put} of ${places().length} places put` + (done.length ? `; ${done.length} photograph${done.length === 1 ? "" : "s"} ready in the text.` : ".");
    const ask = one("ask"), side = photo.view === "front" ? " Her left is on the right of the picture." : photo.view === "back" ? " Her left is on the left of the picture." : "";
    const sentence = at === OUTLINE ? "Any number of points on the edge of her body, one after the other; leave it out if the edge is not clear."
      : place(at).where + (/^(left|right) /.test(label(at)) ? side : "");
    const title = document.createElement("b"); title.textContent = capital(label(at));
    const key = at + photo.view; if (ask.dataset.key !== key) { ask.dataset.key = key; ask.replaceChildren(title, sentence); }
    one("remove").disabled = !here(); one("skip").disabled = at === OUTLINE || !!here();
    const f = faults(), ready = !f.length;
    one("doubt").textContent = [...(any() || photo.size ? f : []), ...(photo.size ? doubts() : [])].join("\n");
    one("doubt").hidden = !one("doubt").textContent;
    const words = [...done, ...(ready ? [block()] : [])].join("\n");
    if (text.value !== words) { text.value = words; one("copied").textContent = ""; }
    one("copy").disabled = !words; one("another").disabled = !ready;
    for (const of of ["distance", "lens"]) if (one(of).value !== photo[of]) one(of).value = photo[of];
    document.querySelector(`input[name=view][value=${photo.view}]`).checked = true;
    stage.setAttribute("aria-label", `The picture; ${label(at)}${here() ? `, at ${here().join(", ")}` : ", not put"}`);
    draw();
  }
  const NS = "http://www.w3.org/2000/svg";
  const make = (name, attrs, into) => { const e = document.createElementNS(NS, name); for (const k in attrs) e.setAttribute(k, attrs[k]); into.append(e); return e; };
  function draw() {
    over.replaceChildren();
    if (!opened) return;
    sheet.style.width = `${photo.size[0] * scale}px`; sheet.style.height = `${photo.size[1] * scale}px`;
    if (photo.outline.length > 1) make("path", { class: "run", d: "M" + photo.outline.map(([x, y]) => `${x * scale} ${y * scale}`).join("L") }, over);
    const mark = (kind, name, i, [x, y], on) => {
      const g = make("g", { class: `${kind}${on ? " on" : ""}`, transform: `translate(${x * scale} ${y * scale})` }, over);
      make("circle", { class: "grip", r: kind === OUTLINE ? 10 : 15, "data-name": name, "data-i": i }, g);
      const d = kind === OUTLINE ? "M-4 0H4M0-4V4" : "M-10 0H-2.5M2.5 0H10M0-10V-2.5M0 2.5V10";
      make("path", { class: "under", d }, g); make("path", { class: "line", d }, g);
      if (on && kind !== OUTLINE) { const t = make("text", { x: 13, y: -7 }, g); t.textContent = label(name); }
    };
    /* what is in the hand is lit, else what is current; the current lies on top, to be taken hold of first */
    const [lit, which] = held && held.moved && held.grip ? [held.grip.name, held.grip.i] : [at, point];
    const names = places().map(p => p.name).filter(n => photo.marks[n]);
    const run = () => photo.outline.forEach((p, i) => mark(OUTLINE, OUTLINE, i, p, lit === OUTLINE && i === which));
    if (at !== OUTLINE) run();
    for (const n of [...names.filter(n => n !== at), ...names.filter(n => n === at)]) mark("mark", n, -1, photo.marks[n], n === lit);
    if (at === OUTLINE) run();
  }

  /* the state changes */
  function changed() { saved = false; store(); show(); }
  function store() {
    try {
      if (one("keep").checked) localStorage.setItem(KEPT, JSON.stringify({ photo, done })); else localStorage.removeItem(KEPT);
    } catch { /* no store here */ }
  }
  function choose(name, i) {
    at = name; point = name === OUTLINE ? (i === undefined ? photo.outline.length - 1 : i) : -1;
    show(); hear(`${capital(label(at))}${here() ? `, at ${here().join(", ")}` : ", not put"}.`);
  }
  function step(by) {
    const order = [...places().map(p => p.name), OUTLINE];
    choose(order[Math.min(Math.max(order.indexOf(at) + by, 0), order.length - 1)]);
  }
  function onward() {
    const names = places().map(p => p.name), from = names.indexOf(at);
    const open = n => !photo.marks[n] && !photo.skipped.includes(n);
    const to = [...names.slice(from + 1), ...names.slice(0, Math.max(from, 0))].find(open);
    at = to || OUTLINE; point = at === OUTLINE ? photo.outline.length - 1 : -1;
  }
  function put(p) {
    const was = at, where = inside(p);
    if (at === OUTLINE) { point += 1; photo.outline.splice(point, 0, where); hear(`Point ${point + 1} of the outline put.`); changed(); return; }
    const again = !!photo.marks[at];
    photo.marks[at] = where; photo.skipped = photo.skipped.filter(n => n !== at);
    if (!again) onward();
    hear(`${capital(label(was))} ${again ? "moved" : "put"} at ${where.join(", ")}.${again ? "" : ` Next: ${label(at)}.`}`);
    changed();
  }
  function move(p, name = at, i = point) {
    const where = inside(p);
    if (name === OUTLINE) photo.outline[i] = where; else photo.marks[name] = where;
    changed();
    return where;
  }
  function remove() {
    if (!here()) return;
    const what = label(at);
    if (at === OUTLINE) { photo.outline.splice(point, 1); point = Math.min(point, photo.outline.length - 1); } else delete photo.marks[at];
    hear(`${capital(what)}${at === OUTLINE ? ": point" : ""} deleted.`); changed();
  }
  function skip() {
    if (at === OUTLINE || here()) return;
    if (!photo.skipped.includes(at)) photo.skipped.push(at);
    const what = label(at); onward(); hear(`${capital(what)} skipped. Next: ${label(at)}.`); changed();
  }

  /* the picture */
  function open(file) {
    wrong("");
    if (!file) return;
    const url = URL.createObjectURL(file), trial = new Image();
    const refuse = words => { URL.revokeObjectURL(url); wrong(words); one("file").value = ""; };
    trial.onerror = () => refuse("This file is not a picture that the browser can show: choose a JPEG, PNG or WebP file.");
    trial.onload = () => {
      const size = [trial.naturalWidth, trial.naturalHeight];
      if (size[0] < known.tall / 4 || size[1] < known.tall) { refuse(`This picture is too small (${size.join(" × ")} px): at least ${known.tall / 4} × ${known.tall} px are needed, and 1000 px of height do better.`); return; }
      if (any() && opened && !confirm("Begin anew with this picture? The marks on the present one are not kept.")) { URL.revokeObjectURL(url); return; }
      if (any() && !opened && photo.size && photo.size.join() !== size.join()) {
        refuse(`This picture has ${size.join(" × ")} px, but the marks were put on one of ${photo.size.join(" × ")} px: choose that one, or begin anew.`); return;
      }
      if (opened) { photo = { ...fresh(photo.view), distance: photo.distance, lens: photo.lens }; at = places()[0].name; }
      URL.revokeObjectURL(address); address = url;
      photo.size = size; opened = true; picture.src = url; picture.hidden = false; one("empty").hidden = true;
      if (!at) at = places()[0].name;
      one("advice").open = false;
      fit(); store(); show(); hear(`The picture is open, ${size.join(" by ")} px. ${capital(label(at))}.`);
    };
    trial.src = url;
  }
  function close() {
    URL.revokeObjectURL(address); address = ""; opened = false; picture.removeAttribute("src"); picture.hidden = true;
    one("empty").hidden = false; sheet.style.width = sheet.style.height = ""; one("file").value = ""; glass.hidden = true;
  }
  const whole = () => Math.min(stage.clientWidth / photo.size[0], stage.clientHeight / photo.size[1]);
  function fit() { scale = whole(); draw(); }
  function zoom(by) {
    if (!opened) return;
    const r = stage.getBoundingClientRect(), p = here(), s = sheet.getBoundingClientRect();
    const c = p ? [p[0] * scale, p[1] * scale] : [r.left + r.width / 2 - s.left, r.top + r.height / 2 - s.top];
    const to = Math.min(Math.max(scale * by, whole()), 8), f = to / scale;
    scale = to; draw(); pocket();
    stage.scrollLeft = c[0] * f - r.width / 2; stage.scrollTop = c[1] * f - r.height / 2;
  }
  function reveal() {
    const p = here();
    if (!p || !opened) return;
    const x = p[0] * scale, y = p[1] * scale, edge = 30;
    if (x < stage.scrollLeft + edge || x > stage.scrollLeft + stage.clientWidth - edge) stage.scrollLeft = x - stage.clientWidth / 2;
    if (y < stage.scrollTop + edge || y > stage.scrollTop + stage.clientHeight - edge) stage.scrollTop = y - stage.clientHeight / 2;
  }
  /* from the window to px of the picture, however large it is shown */
  const spot = e => { const r = sheet.getBoundingClientRect(); return [(e.clientX - r.left) * photo.size[0] / r.width, (e.clientY - r.top) * photo.size[1] / r.height]; };

  /* the magnifying glass, beside the hand */
  function magnify(p) {
    const sharp = Math.min(devicePixelRatio || 1, 3), c = glass.getContext("2d"), n = GLASS * sharp;
    glass.hidden = false; if (glass.width !== n) { glass.width = n; glass.height = n; }
    const part = GLASS / TIMES, r = sheet.getBoundingClientRect(), w = glass.parentElement.getBoundingClientRect();
    c.fillStyle = "#888"; c.fillRect(0, 0, n, n); c.imageSmoothingEnabled = false;
    c.drawImage(picture, p[0] - part / 2, p[1] - part / 2, part, part, 0, 0, n, n);
    for (const [ink, wide] of [["#000", 3 * sharp], ["#ffd23c", sharp]]) {
      c.strokeStyle = ink; c.lineWidth = wide; c.beginPath();
      for (const [a, b] of [[0, n / 2 - 7 * sharp], [n / 2 + 7 * sharp, n]]) { c.moveTo(a, n / 2); c.lineTo(b, n / 2); c.moveTo(n / 2, a); c.lineTo(n / 2, b); }
      c.stroke();
    }
    const x = r.left + p[0] * scale - w.left, y = r.top + p[1] * scale - w.top, off = 34, top = y - off - GLASS;
    glass.style.left = `${x + off + GLASS > w.width ? x - off - GLASS : x + off}px`;
    glass.style.top = `${top < stage.offsetTop ? y + off : top}px`;
  }
  const pocket = () => { glass.hidden = true; };

  /* a click puts what is current, however near to other marks; only a drag takes hold of one, and
     what is current stays so */
  sheet.addEventListener("pointerdown", e => {
    if (!opened || e.button || held) return;
    const grip = e.target.closest(".grip");
    held = { id: e.pointerId, x: e.clientX, y: e.clientY, grip: grip && { name: grip.dataset.name, i: +grip.dataset.i }, moved: false };
    sheet.setPointerCapture(e.pointerId);
  });
  sheet.addEventListener("pointermove", e => {
    if (!opened) return;
    if (!held) { if (e.pointerType === "mouse") magnify(spot(e)); return; }
    if (e.pointerId !== held.id) return;
    if (!held.moved && Math.hypot(e.clientX - held.x, e.clientY - held.y) > 4) {
      held.moved = true;
      if (held.grip) held.from = held.grip.name === OUTLINE ? photo.outline[held.grip.i] : photo.marks[held.grip.name];
    }
    if (held.moved && held.grip) {
      const r = sheet.getBoundingClientRect(), k = photo.size[0] / r.width;
      held.to = move([held.from[0] + (e.clientX - held.x) * k, held.from[1] + (e.clientY - held.y) * k], held.grip.name, held.grip.i);
      magnify(held.to);
    } else if (e.pointerType === "mouse") magnify(spot(e));
  });
  sheet.addEventListener("pointerup", e => {
    if (!held || e.pointerId !== held.id) return;
    const { moved, grip, to } = held; held = null;
    if (moved && grip) { show(); hear(`${capital(label(grip.name))} moved to ${to.join(", ")}.`); }
    else put(spot(e));
    if (e.pointerType !== "mouse") pocket();
    stage.focus({ preventScroll: true });
  });
  sheet.addEventListener("pointercancel", () => { held = null; pocket(); draw(); });
  sheet.addEventListener("pointerleave", () => { if (!held) pocket(); });
  stage.addEventListener("blur", pocket);
  stage.addEventListener("wheel", e => { if (!e.ctrlKey || !opened) return; e.preventDefault(); zoom(Math.exp(-e.deltaY * 0.004)); }, { passive: false });
  stage.addEventListener("keydown", e => {
    if (!opened || held || e.ctrlKey || e.metaKey || e.altKey) return;
    const far = e.shiftKey ? 10 : 1, to = { ArrowLeft: [-far, 0], ArrowRight: [far, 0], ArrowUp: [0, -far], ArrowDown: [0, far] }[e.key];
    const walk = by => { if (at === OUTLINE && photo.outline.length) choose(OUTLINE, Math.min(Math.max(point + by, 0), photo.outline.length - 1)); };
    const does = to ? () => {
      const p = here(), s = sheet.getBoundingClientRect(), r = stage.getBoundingClientRect();
      const middle = { clientX: Math.max(r.left, s.left) / 2 + Math.min(r.right, s.right) / 2, clientY: Math.max(r.top, s.top) / 2 + Math.min(r.bottom, s.bottom) / 2 };
      if (p) move([p[0] + to[0], p[1] + to[1]]);
      else if (at === OUTLINE) { point = 0; photo.outline.push(inside(spot(middle))); changed(); }
      else { photo.skipped = photo.skipped.filter(n => n !== at); move(spot(middle)); }
      reveal(); magnify(here()); hear(`${label(at)} ${here().join(", ")}`, 400);
    } : {
      Enter: () => { if (at === OUTLINE && here()) { put([here()[0] + 20, here()[1]]); magnify(here()); } else { pocket(); onwardOr(); } },
      s: skip, S: skip, Delete: remove, Backspace: remove, PageUp: () => step(-1), PageDown: () => step(1),
      "+": () => zoom(1.5), "=": () => zoom(1.5), "-": () => zoom(1 / 1.5), 0: () => fit(),
      ",": () => walk(-1), ".": () => walk(1), Escape: pocket,
    }[e.key];
    if (does) { e.preventDefault(); does(); }
  });
  function onwardOr() { onward(); choose(at, at === OUTLINE ? photo.outline.length - 1 : undefined); }

  one("skip").addEventListener("click", skip);
  one("remove").addEventListener("click", remove);
  one("next").addEventListener("click", () => step(1));
  for (const b of document.querySelectorAll("[data-zoom]")) b.addEventListener("click", () => { if (opened) { if (b.dataset.zoom === "fit") fit(); else zoom(b.dataset.zoom === "in" ? 1.5 : 1 / 1.5); } });
  one("file").addEventListener("change", e => open(e.target.files[0]));
  one("about").addEventListener("submit", e => e.preventDefault());
  for (const of of ["distance", "lens"]) one(of).addEventListener("input", e => { photo[of] = e.target.value; if (any()) saved = false; store(); show(); });
  for (const b of document.querySelectorAll("input[name=view]")) b.addEventListener("change", () => {
    photo.view = b.value; if (any()) saved = false;
    at = (places().find(p => !photo.marks[p.name]) || places()[0]).name; point = -1; store(); show();
  });
  one("copy").addEventListener("click", async () => {
    let done_ = false;
    try { await navigator.clipboard.writeText(text.value); done_ = true; } catch {
      text.focus(); text.select();
      try { done_ = document.execCommand("copy"); } catch { /* by hand then */ }
    }
    if (done_) saved = true;
    one("copied").textContent = done_ ? "Copied." : "The browser does not let this page copy: the text is selected, copy it by hand.";
  });
  /* copied by hand counts as well */
  text.addEventListener("copy", () => { saved = true; });
  one("another").addEventListener("click", () => {
    if (faults().length) return;
    done.push(block());
    const taken = done.map(d => /view = "(\w+)"/.exec(d)[1]), left = Object.keys(known.views).find(v => !taken.includes(v));
    photo = { ...fresh(left || photo.view), distance: photo.distance, lens: photo.lens };
    at = places()[0].name; point = -1; close(); store(); show();
    one("file").focus(); hear("Ready in the text. Choose the next picture.");
  });
  one("anew").addEventListener("click", () => {
    if ((any() || done.length) && !confirm("Begin anew? All marks and the text on this page are erased.")) return;
    photo = fresh(photo.view); done = []; at = places()[0].name; point = -1; saved = true; close(); wrong(""); store(); show();
  });
  one("keep").addEventListener("change", store);
  addEventListener("beforeunload", e => { if (!saved && (any() || done.length) && !one("keep").checked) { e.preventDefault(); e.returnValue = ""; } });
  new ResizeObserver(() => { if (opened && scale < whole()) fit(); }).observe(stage);

  try {
    const kept = JSON.parse(localStorage.getItem(KEPT) || "null");
    if (kept && known.views[kept.photo.view]) {
      photo = { ...fresh("front"), ...kept.photo }; done = kept.done; saved = false; one("keep").checked = true;
      if (any()) one("empty").textContent = "The marks of last time are here. Choose the same picture again to see them.";
    }
  } catch { /* nothing kept */ }
  at = (places().find(p => !photo.marks[p.name]) || places()[0]).name;
  show();
})();
