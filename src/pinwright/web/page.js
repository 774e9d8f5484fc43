(() => {
  "use strict";
  const root = document.documentElement;
  const all = (q, from = document) => Array.from(from.querySelectorAll(q));
  const one = (q, from = document) => from.querySelector(q);
  const NS = "http://www.w3.org/2000/svg";
  const calm = matchMedia("(prefers-reduced-motion: reduce)");
  root.classList.add("js");
  all(".look,.tools,.step,.filter").forEach(e => { e.hidden = false; });

  /* paper or cloth: light or dark */
  const theme = one("#theme");
  const dark = () => root.dataset.look ? root.dataset.look === "cloth"
    : matchMedia("(prefers-color-scheme: dark)").matches;
  const named = () => { theme.textContent = dark() ? "Show on paper" : "Show on cloth"; };
  try { const kept = localStorage.getItem("pinwright-look"); if (kept) root.dataset.look = kept; } catch { /* private */ }
  named();
  theme.addEventListener("click", () => {
    root.dataset.look = dark() ? "paper" : "cloth";
    try { localStorage.setItem("pinwright-look", root.dataset.look); } catch { /* private */ }
    named(); stages.forEach(s => s.draw());
  });

  /* one drawing: its window on the table, in cm */
  const cloth = one(".cloth");
  const picked = one("#picked");
  const tape = one("#tape");
  const make = (name, attrs, into, text) => {
    const e = document.createElementNS(NS, name);
    for (const k in attrs) e.setAttribute(k, attrs[k]);
    if (text !== undefined) e.textContent = text;
    into.append(e);
    return e;
  };

  const TAPE = 17; /* the tapes along the edges, px wide */
  /* where else a name may stand, inside its piece or under it: parts of its width aside, and px lower */
  const ASIDE = [[0, 14, -14, 28, -28].map(down => [0, down]), [0, 14, 28, 42].flatMap(down => [0, 0.3, -0.3, 0.6, -0.6].map(part => [part, down]))];
  /* how far a pin may lean, rad, and how long it may be, px, in the order they are tried */
  const LEANS = [26, 46].flatMap(long => [0, 0.5, -0.5, 1, -1, 1.6, -1.6, 2.3, -2.3, 3.1].map(turn => [turn, long]));

  class Stage {
    constructor(figure) {
      this.figure = figure;
      this.svg = one("svg.table", figure);
      this.garment = figure.dataset.garment;
      const w = +this.svg.dataset.w, h = +this.svg.dataset.h;
      /* at the left there is room for the head of a pin beside the ruler */
      this.full = { x: -0.05 * w, y: -0.03 * h, w: 1.05 * w, h: 1.03 * h };
      this.view = { ...this.full };
      this.fingers = new Map();
      this.line = null;
      this.svg.tabIndex = 0;
      this.over = make("svg", { class: "rulers", "aria-hidden": "true" }, figure);
      this.basting = document.createElementNS(NS, "g");
      this.basting.setAttribute("class", "basting");
      this.svg.insertBefore(this.basting, one(".pins", this.svg));
      this.listen();
      new ResizeObserver(() => this.draw()).observe(this.svg);
    }
    size() { const r = this.svg.getBoundingClientRect(); return { w: r.width || 1, h: r.height || 1 }; }
    k() { const s = this.size(); return Math.max(this.view.w / s.w, this.view.h / s.h); }
    /* what is seen, the window widened to the shape of the screen */
    seen() {
      const k = this.k(), s = this.size(), v = this.view;
      const w = k * s.w, h = k * s.h;
      return { x: v.x + (v.w - w) / 2, y: v.y + (v.h - h) / 2, w, h, k };
    }
    at(e) {
      const r = this.svg.getBoundingClientRect(), s = this.seen();
      return { x: s.x + (e.clientX - r.left) * s.k, y: s.y + (e.clientY - r.top) * s.k };
    }
    draw() {
      if (this.paper || !this.svg.getClientRects().length) return;
      const v = this.view;
      this.svg.setAttribute("viewBox", `${v.x} ${v.y} ${v.w} ${v.h}`);
      const k = this.k();
      this.svg.style.setProperty("--k", k);
      this.svg.classList.toggle("far", k > 0.26);
      this.svg.classList.toggle("farther", k > 0.4);
      this.figure.classList.toggle("near", v.w < this.full.w * 0.9);
      this.letter(k);
      this.heads(this.seen(), TAPE);
      this.tapes();
    }
    /* Names of pieces and lines, none over another: a piece's moves aside or lower, and what then still
       has no room waits until it is nearer, but on paper. */
    letter(k, paper = []) {
      const m = +getComputedStyle(this.svg).getPropertyValue("--m") || 1, taken = [...paper];
      const far = this.svg.classList.contains("far"), farther = this.svg.classList.contains("farther");
      const both = (a, b) => Math.max(0, Math.min(a[2], b[2]) - Math.max(a[0], b[0])) * Math.max(0, Math.min(a[3], b[3]) - Math.max(a[1], b[1]));
      const free = b => taken.every(t => !both(b, t));
      const long = t => (t.long && t.long[+farther]) || ((t.long = t.long || [])[+farther] = t.getComputedTextLength());
      const at = e => (e.at || (e.at = e.getAttribute("transform").match(/-?[\d.]+/g).map(Number))).map(v => v / k);
      const pieces = this.boxes || (this.boxes = all(".piece", this.svg).map(e => { const b = one(".cut", e).getBBox(); return [e.dataset.of, [b.x, b.y, b.x + b.width, b.y + b.height]]; }));
      const labels = this.labels || (this.labels = all(".label", this.svg).sort((a, b) => a.classList.contains("under") - b.classList.contains("under")));
      for (const label of labels) {
        const [title, count] = all("text", label), under = label.classList.contains("under"), [x, y] = at(label);
        if (getComputedStyle(label).display === "none") continue;
        const wide = m * Math.max(long(title), far ? 0 : long(count)) + 4, first = under ? 14 : -2, last = under ? 27 : 13;
        const others = pieces.filter(([of]) => of !== label.dataset.of).map(([, b]) => b.map(v => v / k));
        const [, own] = pieces.find(([of]) => of === label.dataset.of);
        let best = null;
        for (const [part, down] of ASIDE[+under]) {
          if (!under && (y + m * down < own[1] / k || y + m * down > own[3] / k)) continue;
          const left = x + part * wide - wide / 2, box = [left, y + m * (first + down - 12), left + wide, y + m * ((far ? first : last) + down + 4)];
          const cost = taken.reduce((s, t) => s + 20 * both(box, t), 0) + others.reduce((s, o) => s + both(box, o), 0) + 3 * (Math.abs(part * wide) + Math.abs(down));
          if (!best || cost < best.cost) best = { cost, box, aside: part * wide / m, down };
        }
        /* a name much wider than its piece would seem to be its neighbour's */
        const room = paper.length || free(best.box) && (under || wide <= 1.4 * (own[2] - own[0]) / k);
        label.classList.toggle("small", !room);
        for (const [text, line] of [[title, first], [count, last]]) { text.setAttribute("x", best.aside); text.setAttribute("y", line + best.down); }
        if (room) taken.push(best.box);
      }
      if (cloth.classList.contains("names-on")) for (const n of this.named || (this.named = all("[data-room]", this.svg))) {
        const t = n.firstElementChild, wide = m * long(t), [x, y] = at(n);
        const left = x + m * (+t.getAttribute("x") || 0) - (t.matches(".from") ? 0 : t.matches(".to") ? wide : wide / 2), base = y + m * (+t.getAttribute("y") || 0);
        const box = [left - 2, base - 10 * m, left + wide + 2, base + 3 * m], room = n.dataset.room / k >= wide + 6 && free(box);
        n.classList.toggle("small", !room);
        if (room) taken.push(box);
      }
    }
    /* The heads of pins, none over another or under the tapes at the edges: a pin leans until its head is clear. */
    heads({ x, y, w, h, k }, edge) {
      const m = +getComputedStyle(this.svg).getPropertyValue("--m") || 1, R = 11, taken = [];
      for (const p of this.pins || (this.pins = all(".pin", this.svg).map(e => {
        const circle = one("circle", e), way = Math.atan2(+circle.getAttribute("cy"), +circle.getAttribute("cx"));
        return { e, circle, way, shaft: one(".shaft", e), text: one("text", e), tip: e.getAttribute("transform").match(/-?[\d.]+/g).map(Number) };
      }))) {
        if (getComputedStyle(p.e).display === "none") continue;
        const tip = [(p.tip[0] - x) / k, (p.tip[1] - y) / k], size = [w / k, h / k];
        const inside = tip.every((v, i) => v >= edge && v <= size[i]);
        const head = ([turn, long]) => [0, 1].map(i => long * (i ? Math.sin : Math.cos)(p.way + turn));
        const clear = c => {
          const at = head(c).map((v, i) => tip[i] + m * v);
          return taken.every(q => Math.hypot(q[0] - at[0], q[1] - at[1]) >= 2 * R * m) && (!inside || at.every((v, i) => v >= edge + R && v <= size[i] - R));
        };
        const lean = LEANS.find(clear) || LEANS[0], [hx, hy] = head(lean);
        taken.push([tip[0] + m * hx, tip[1] + m * hy]);
        const d = `M${(-9 * hx / lean[1]).toFixed(1)} ${(-9 * hy / lean[1]).toFixed(1)}L${hx.toFixed(1)} ${hy.toFixed(1)}`;
        if (p.shaft.getAttribute("d") === d) continue;
        p.shaft.setAttribute("d", d);
        p.circle.setAttribute("cx", hx.toFixed(1)); p.circle.setAttribute("cy", hy.toFixed(1));
        p.text.setAttribute("x", hx.toFixed(1)); p.text.setAttribute("y", (hy + 3.8).toFixed(1));
      }
    }
    go(to, quick) {
      cancelAnimationFrame(this.frame);
      if (quick || calm.matches) { this.view = to; this.draw(); return; }
      const from = { ...this.view }, start = performance.now();
      const run = now => {
        const t = Math.min(1, (now - start) / 260), u = 1 - (1 - t) ** 3;
        for (const i of ["x", "y", "w", "h"]) this.view[i] = from[i] + (to[i] - from[i]) * u;
        this.draw();
        if (t < 1) this.frame = requestAnimationFrame(run);
      };
      this.frame = requestAnimationFrame(run);
    }
    fit(quick) { this.go({ ...this.full }, quick); }
    zoom(by, where, quick) {
      const s = this.seen(), c = where || { x: s.x + s.w / 2, y: s.y + s.h / 2 };
      const w = Math.min(this.full.w * 2, Math.max(4, s.w * by)), f = w / s.w;
      this.go({ x: c.x - (c.x - s.x) * f, y: c.y - (c.y - s.y) * f, w, h: s.h * f }, quick);
    }
    pan(dx, dy, quick) { const v = this.view; this.go({ x: v.x + dx, y: v.y + dy, w: v.w, h: v.h }, quick); }
    show(box) {
      const pad = Math.max(6, 0.12 * Math.max(box.w, box.h));
      const w = Math.max(box.w + 2 * pad, 34), h = Math.max(box.h + 2 * pad, 26);
      this.go({ x: box.x + box.w / 2 - w / 2, y: box.y + box.h / 2 - h / 2, w, h });
    }
    listen() {
      const svg = this.svg;
      svg.addEventListener("wheel", e => {
        if (!(e.ctrlKey || e.metaKey || document.activeElement === svg)) return;
        e.preventDefault();
        this.zoom(Math.exp(Math.max(-60, Math.min(60, e.deltaY)) * 0.004), this.at(e), true);
      }, { passive: false });
      svg.addEventListener("pointerdown", e => {
        if (e.button) return;
        const pin = e.target.closest(".pin");
        if (pin && !measuring()) { pick(+pin.dataset.note, true); return; }
        this.fingers.set(e.pointerId, { x: e.clientX, y: e.clientY });
        if (measuring()) { const p = this.at(e); this.line = [p, p]; }
        svg.setPointerCapture(e.pointerId);
        this.figure.classList.add("dragging");
      });
      svg.addEventListener("pointermove", e => {
        const f = this.fingers.get(e.pointerId);
        if (!f) return;
        if (measuring()) { this.line[1] = this.at(e); this.tapes(); return; }
        const k = this.k();
        if (this.fingers.size === 1) this.pan((f.x - e.clientX) * k, (f.y - e.clientY) * k, true);
        else {
          const [a, b] = [...this.fingers.values()], other = f === a ? b : a;
          const was = Math.hypot(f.x - other.x, f.y - other.y);
          const now = Math.hypot(e.clientX - other.x, e.clientY - other.y);
          const mid = { clientX: (e.clientX + other.x) / 2, clientY: (e.clientY + other.y) / 2 };
          if (was > 8 && now > 8) this.zoom(was / now, this.at(mid), true);
        }
        f.x = e.clientX; f.y = e.clientY;
      });
      const up = e => { this.fingers.delete(e.pointerId); this.figure.classList.remove("dragging"); };
      svg.addEventListener("pointerup", up);
      svg.addEventListener("pointercancel", up);
      svg.addEventListener("dblclick", e => this.zoom(0.5, this.at(e)));
      svg.addEventListener("keydown", e => {
        const s = this.seen(), way = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[e.key];
        if (e.ctrlKey || e.metaKey || e.altKey) return;
        if (way && measuring()) {
          const step = e.shiftKey ? 0.1 : 1;
          if (!this.line) { const c = { x: s.x + s.w / 2, y: s.y + s.h / 2 }; this.line = [c, { ...c }]; }
          this.line[1] = { x: this.line[1].x + way[0] * step, y: this.line[1].y + way[1] * step };
          this.tapes(true);
        } else if (e.key === " " && measuring() && this.line) { this.line[0] = { ...this.line[1] }; this.tapes(true); }
        else if (way) this.pan(way[0] * s.w * 0.12, way[1] * s.h * 0.12);
        else if (e.key === "+" || e.key === "=") this.zoom(0.7);
        else if (e.key === "-" || e.key === "−") this.zoom(1 / 0.7);
        else if (e.key === "0") this.fit();
        else if (e.key === "t" || e.key === "T") tape.click();
        else if (e.key === "Escape") { if (measuring()) tape.click(); else pick(0); }
        else return;
        e.preventDefault();
      });
    }
    /* the tapes along the edges, and the tape laid on the cloth */
    tapes(say) {
      if (!this.svg.getClientRects().length) return;
      const { w, h } = this.size(), s = this.seen(), o = this.over;
      if (Math.min(w, h) <= TAPE) return;
      o.replaceChildren();
      o.setAttribute("viewBox", `0 0 ${w} ${h}`);
      o.style.height = h + "px";
      const T = TAPE, px = 1 / s.k, every = [1, 2, 5, 10, 20, 50, 100].find(n => n * px > 34) || 100;
      const fine = every === 1 ? (px > 60 ? 0.1 : 0.5) : every / (every === 2 || every === 20 ? 2 : 5);
      make("rect", { x: 0, y: 0, width: w, height: T }, o);
      make("rect", { x: 0, y: T, width: T, height: h - T }, o);
      let d = "";
      const ticks = (from, to, f) => {
        for (let i = Math.ceil(from / fine - 1e-9); i * fine <= to; i++) {
          const at = i * fine, whole = Math.abs(at / every - Math.round(at / every)) < 1e-6;
          f(at, whole);
        }
      };
      ticks(s.x + T * s.k, s.x + s.w, (at, whole) => {
        const x = (at - s.x) * px;
        d += `M${x} ${T}V${whole ? 4 : T - 5}`;
        if (whole) make("text", { x: x + 3, y: 11 }, o, Math.round(at));
      });
      ticks(s.y + T * s.k, s.y + s.h, (at, whole) => {
        const y = (at - s.y) * px;
        d += `M${T} ${y}H${whole ? 4 : T - 5}`;
        if (whole) make("text", { transform: `translate(11 ${y - 3}) rotate(-90)` }, o, Math.round(at));
      });
      make("path", { d }, o);
      make("rect", { x: 0, y: 0, width: T, height: T }, o);
      if (this.line) {
        const [a, b] = this.line.map(p => ({ x: (p.x - s.x) * px, y: (p.y - s.y) * px }));
        const cm = Math.hypot(this.line[1].x - this.line[0].x, this.line[1].y - this.line[0].y).toFixed(1);
        make("path", { class: "laid", d: `M${a.x} ${a.y}L${b.x} ${b.y}` }, o);
        for (const p of [a, b]) make("circle", { class: "end", cx: p.x, cy: p.y, r: 5 }, o);
        make("rect", { class: "plate", x: b.x + 10, y: b.y - 24, width: 72, height: 22, rx: 3 }, o);
        make("text", { class: "sum", x: b.x + 17, y: b.y - 8 }, o, cm + " cm");
        if (say) picked.textContent = `Tape: ${cm} cm.`;
      }
    }
  }
  const measuring = () => tape.getAttribute("aria-pressed") === "true";
  const stages = all(".stage").map(f => new Stage(f));
  let open = stages[0];
  const turn = garment => {
    open = stages.find(s => s.garment === garment) || open;
    stages.forEach(s => s.figure.toggleAttribute("data-off", s !== open));
    all(".tab").forEach(t => t.setAttribute("aria-pressed", String(t.dataset.garment === open.garment)));
    open.draw();
  };
  all(".tab").forEach(t => t.addEventListener("click", () => { pick(0); turn(t.dataset.garment); }));
  turn(open.garment);

  all("[data-show]").forEach(b => b.addEventListener("click", () => {
    const on = b.getAttribute("aria-pressed") !== "true", what = b.dataset.show;
    b.setAttribute("aria-pressed", String(on));
    if (what === "names") { cloth.classList.toggle("names-on", on); open.draw(); }
    else cloth.classList.toggle("no-" + what, !on);
  }));
  all("[data-zoom]").forEach(b => b.addEventListener("click", () => {
    if (b.dataset.zoom === "fit") open.fit();
    else open.zoom(b.dataset.zoom === "in" ? 0.7 : 1 / 0.7);
  }));
  tape.addEventListener("click", () => {
    const on = !measuring();
    tape.setAttribute("aria-pressed", String(on));
    stages.forEach(s => { s.figure.classList.toggle("measuring", on); if (!on) { s.line = null; s.tapes(); } });
    picked.textContent = on ? "Tape: drag on the drawing; by keyboard, arrows draw it out (with shift by millimetres), space starts anew." : "";
  });

  /* picking a note */
  const notes = all(".note");
  let now = 0;
  function pick(number, fromDrawing) {
    now = number === now && !fromDrawing ? 0 : number;
    notes.forEach(n => {
      const on = +n.dataset.note === now;
      n.classList.toggle("on", on);
      one(".pick", n).setAttribute("aria-pressed", String(on));
    });
    all(".touched").forEach(e => e.classList.remove("touched"));
    all(".pin,.wanted").forEach(e => e.classList.toggle("on", +e.dataset.note === now));
    stages.forEach(s => { s.basting.replaceChildren(); s.svg.classList.remove("picking"); });
    const note = notes.find(n => +n.dataset.note === now);
    if (!note) { picked.textContent = "Pick a note, or a pin, to see what it moved."; return; }
    const said = one(".said", note).textContent, status = one(".status", note).textContent;
    if (note.dataset.garment) turn(note.dataset.garment);
    const keys = new Set(note.dataset.moves.split(" ").filter(Boolean).map(k => k.replaceAll("~", " ")));
    let box = null;
    const touched = new Set();
    all(".piece", open.svg).forEach(piece => {
      if (getComputedStyle(piece).display === "none") return;
      all("[data-k]", piece).forEach(path => {
        if (!keys.has(piece.dataset.side + "|" + path.dataset.k)) return;
        piece.classList.add("touched");
        touched.add(piece.dataset.piece);
        for (const kind of ["wash", "baste"]) make("path", { class: kind, d: path.getAttribute("d") }, open.basting);
        const b = path.getBBox();
        box = box ? join(box, b) : { x: b.x, y: b.y, w: b.width, h: b.height };
      });
    });
    const what = touched.size ? ` It moves ${[...touched].map(t => t.replaceAll("_", " ")).join(", ")}.` : " It moves nothing.";
    picked.textContent = `${now}. “${said}” ${status}.${note.classList.contains("short") ? what.replace("moves", "would move") : what}`;
    if (box) {
      open.svg.classList.add("picking");
      open.show(box);
    }
    if (fromDrawing && matchMedia("(min-width: 1001px)").matches)
      note.scrollIntoView({ block: "nearest", behavior: calm.matches ? "auto" : "smooth" });
    else if (!fromDrawing && matchMedia("(max-width: 1000px)").matches && box)
      open.figure.scrollIntoView({ block: "start", behavior: calm.matches ? "auto" : "smooth" });
  }
  const join = (a, b) => {
    const x = Math.min(a.x, b.x), y = Math.min(a.y, b.y);
    return { x, y, w: Math.max(a.x + a.w, b.x + b.width) - x, h: Math.max(a.y + a.h, b.y + b.height) - y };
  };
  notes.forEach(n => one(".pick", n).addEventListener("click", () => pick(+n.dataset.note)));
  all(".waiting a").forEach(a => a.addEventListener("click", () => {
    const n = +a.hash.slice(6);
    if (n !== now) pick(n);
  }));
  all("[data-step]").forEach(b => b.addEventListener("click", () => {
    const count = notes.length, to = now + Number(b.dataset.step);
    pick(to < 1 ? count : to > count ? 1 : to, true);
  }));
  const asked = /^#note-(\d+)$/.exec(location.hash);
  if (asked) pick(+asked[1], true);

  /* the checks */
  const find = one("#find"), found = one("#found");
  const groups = all(".group"), rows = all(".checks tbody tr");
  const stood = new Map(groups.map(g => [g, g.open]));
  const sift = () => {
    const words = find.value.toLowerCase().split(/\s+/).filter(Boolean);
    const which = one("input[name=which]:checked").value;
    let shown = 0;
    rows.forEach(r => {
      const ok = words.every(w => r.dataset.t.includes(w)) &&
        (which === "all" || (which === "off" ? r.dataset.v !== "good" : r.hasAttribute("data-c")));
      r.hidden = !ok;
      shown += ok;
    });
    const sifting = words.length > 0 || which !== "all";
    groups.forEach(g => {
      const some = all("tbody tr", g).some(r => !r.hidden);
      g.hidden = sifting && !some;
      g.open = sifting ? some : stood.get(g);
    });
    found.textContent = sifting ? `${shown} of ${rows.length} checks` : `${rows.length} checks`;
  };
  one(".filter").addEventListener("input", sift);
  one(".filter").addEventListener("submit", e => e.preventDefault());
  sift();

  /* where the pieces stand over the notes they come first for the Tab key too */
  const narrow = matchMedia("screen and (max-width: 1000px)"), bench = one(".bench"), book = one(".notebook");
  const order = () => {
    const held = document.activeElement;
    if ((book === bench.lastElementChild) === narrow.matches) return;
    bench.insertBefore(book, narrow.matches ? null : bench.firstElementChild);
    if (book.contains(held)) held.focus({ preventScroll: true });
  };
  narrow.addEventListener("change", order);
  order();

  /* paper wants every garment whole, and all that is folded away */
  let shut = [];
  addEventListener("beforeprint", () => {
    bench.prepend(book);
    shut = all("details:not([open])");
    shut.forEach(d => { d.open = true; });
    stages.forEach(s => {
      const f = s.full, k = f.w / 1000;
      s.paper = true; s.kept = { ...s.view }; s.view = { ...f };
      s.figure.classList.remove("measuring"); s.svg.setAttribute("viewBox", `${f.x} ${f.y} ${f.w} ${f.h}`);
      s.svg.classList.remove("far", "farther"); s.svg.style.setProperty("--k", k);
      /* the words of those that are not open can be measured only once they are shown */
      const off = s.figure.hasAttribute("data-off");
      s.figure.removeAttribute("data-off");
      const foot = (+s.svg.dataset.h - 1.2) / k;
      s.letter(k, [[5 / k, foot - 14, 16 / k + 40, foot + 4]]);
      s.heads({ ...f, k }, 0);
      s.figure.toggleAttribute("data-off", off);
    });
  });
  addEventListener("afterprint", () => {
    shut.forEach(d => { d.open = false; });
    order();
    stages.forEach(s => { s.paper = false; if (s.kept) s.view = s.kept; s.draw(); });
  });
})();
