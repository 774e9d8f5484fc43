/* Hung garments in three dimensions, over the figure's own view (figure.js). */
const drapeView = (() => {
  "use strict";
  const CELL = 0.05, OWN = 0.008, ROOM = 21; /* m, m, px */
  const BACK = 0.0016; /* the body is drawn as if 4 mm deeper: its coarse triangles would come through cloth */

  /* a length, a JSON text, and the arrays it speaks of */
  function read(buffer, figure) {
    const long = new DataView(buffer).getUint32(0, true);
    const told = JSON.parse(new TextDecoder().decode(new Uint8Array(buffer, 4, long)));
    let at = 4 + long;
    const take = (kind, count) => {
      const found = new kind(buffer.slice(at, at + count * kind.BYTES_PER_ELEMENT));
      at += Math.ceil(count * kind.BYTES_PER_ELEMENT / 4) * 4;
      return found;
    };
    const points = n => Float32Array.from(take(Int16Array, 3 * n), v => v * told.fine);
    const corners = (t, n) => take(n < 0xffff ? Uint16Array : Uint32Array, 3 * t);
    const body = told.body ? { points: points(told.body[0]), corners: corners(told.body[1], told.body[0]) } : figure;
    const garments = told.garments.map(g => {
      const found = { ...g, at: points(g.points), corners: corners(g.triangles, g.points) };
      found.values = g.fields.map(f => Float32Array.from(take(Uint16Array, g.points), v => v === 0xffff ? NaN : f.low + f.span * v / 0xfffe));
      found.strokes = g.lines.map(([kind, n]) => ({ kind, points: points(n) }));
      return found;
    });
    return { points: body.points, corners: body.corners, tone: [236, 234, 231], lines: [], garments };
  }

  /* lines as ribbons, as the figure's are */
  function ribbons(lines) {
    const data = [], corners = [];
    for (const { points } of lines) for (let i = 0; i + 5 < points.length; i += 3) {
      const p = points.subarray(i, i + 3), q = points.subarray(i + 3, i + 6), at = data.length / 8;
      for (const end of [0, 1]) for (const side of [-1, 1]) data.push(...p, ...q, end, side);
      corners.push(at, at + 1, at + 2, at + 2, at + 1, at + 3);
    }
    return { data: new Float32Array(data), corners: new Uint16Array(corners) };
  }

  /* Whether a surface lies between a point and the eye: the triangles that are drawn stand in cells
     of CELL, so that a sight line meets only those beside it. What is nearer than OWN is the cloth
     that the point lies on. */
  function sight(surfaces) {
    const cells = new Map(), name = (i, j, k) => (i + 512) * 1048576 + (j + 512) * 1024 + k + 512, cell = v => Math.floor(v / CELL);
    const low = [Infinity, Infinity, Infinity], high = [-Infinity, -Infinity, -Infinity];
    for (const { points: p, corners } of surfaces) for (let t = 0; t < corners.length; t += 3) {
      const at = [3 * corners[t], 3 * corners[t + 1], 3 * corners[t + 2]];
      const [from, to] = [Math.min, Math.max].map(f => [0, 1, 2].map(i => cell(f(p[at[0] + i], p[at[1] + i], p[at[2] + i]))));
      for (let i = 0; i < 3; i++) { low[i] = Math.min(low[i], from[i]); high[i] = Math.max(high[i], to[i]); }
      for (let i = from[0]; i <= to[0]; i++) for (let j = from[1]; j <= to[1]; j++) for (let k = from[2]; k <= to[2]; k++) {
        const n = name(i, j, k), found = cells.get(n);
        if (found) found.push(p, ...at); else cells.set(n, [p, ...at]);
      }
    }
    /* where a line from o along d meets a triangle (Moeller and Trumbore, 1997) beyond OWN */
    const meets = (o, d, p, a, b, c) => {
      const e = [p[b] - p[a], p[b + 1] - p[a + 1], p[b + 2] - p[a + 2]], f = [p[c] - p[a], p[c + 1] - p[a + 1], p[c + 2] - p[a + 2]];
      const h = [d[1] * f[2] - d[2] * f[1], d[2] * f[0] - d[0] * f[2], d[0] * f[1] - d[1] * f[0]], det = e[0] * h[0] + e[1] * h[1] + e[2] * h[2];
      if (Math.abs(det) < 1e-12) return false;
      const s = [o[0] - p[a], o[1] - p[a + 1], o[2] - p[a + 2]], u = (s[0] * h[0] + s[1] * h[1] + s[2] * h[2]) / det;
      if (u < 0 || u > 1) return false;
      const q = [s[1] * e[2] - s[2] * e[1], s[2] * e[0] - s[0] * e[2], s[0] * e[1] - s[1] * e[0]], v = (d[0] * q[0] + d[1] * q[1] + d[2] * q[2]) / det;
      return v >= 0 && u + v <= 1 && (f[0] * q[0] + f[1] * q[1] + f[2] * q[2]) / det > OWN;
    };
    /* from cell to cell along the line (Amanatides and Woo, 1987) */
    return (o, eye) => {
      const long = Math.hypot(...o.map((v, i) => eye[i] - v)), d = o.map((v, i) => (eye[i] - v) / long);
      const at = o.map(cell), step = d.map(v => v < 0 ? -1 : 1), each = d.map(v => v ? CELL / Math.abs(v) : Infinity);
      const next = o.map((v, i) => d[i] ? ((at[i] + (d[i] > 0)) * CELL - v) / d[i] : Infinity);
      while (at.every((v, i) => d[i] > 0 ? v <= high[i] : v >= low[i])) {
        const found = cells.get(name(...at)) || [];
        for (let n = 0; n < found.length; n += 4) if (meets(o, d, found[n], found[n + 1], found[n + 2], found[n + 3])) return false;
        const i = next[0] < next[1] ? (next[0] < next[2] ? 0 : 2) : next[1] < next[2] ? 1 : 2;
        if (next[i] > long) break;
        at[i] += step[i]; next[i] += each[i];
      }
      return true;
    };
  }

  const CLOTH = [`
    attribute vec3 at, facing; attribute float value; uniform mat4 m; uniform vec4 turn; varying vec3 n; varying highp float v;
    void main() {
      gl_Position = m * vec4(at, 1.); v = value;
      vec3 a = vec3(turn.y * facing.x + turn.x * facing.z, facing.y, turn.y * facing.z - turn.x * facing.x);
      n = vec3(a.x, turn.w * a.y - turn.z * a.z, turn.w * a.z + turn.z * a.y);
    }`, `
    #extension GL_OES_standard_derivatives : enable
    precision highp float; uniform float steps[7]; uniform vec3 bands[8]; uniform int count; uniform float sharp; varying vec3 n; varying highp float v;
    void main() {
      vec3 k = normalize(n) * (gl_FrontFacing ? 1. : -1.);
      float key = .5 + .5 * dot(k, normalize(vec3(-.45, .55, .7))), light = key * (.55 + .45 * clamp(k.z / .35, 0., 1.));
      if (!gl_FrontFacing) { gl_FragColor = vec4(vec3(.55) * (.8 + .2 * light), 1.); return; }
      vec3 tone = v > -1e8 ? bands[0] : vec3(1.); float line = 0.;
      for (int i = 0; i < 7; i++) if (i < count && v > -1e8) {
        if (v >= steps[i]) tone = bands[i + 1];
        #ifdef GL_OES_standard_derivatives
        line = max(line, clamp(sharp * .3 + .5 - abs(v - steps[i]) / max(fwidth(v), 1e-9), 0., 1.));
        #endif
      }
      gl_FragColor = vec4(mix(tone * (.89 + .11 * light), vec3(0.), line * .85), 1.);
    }`];

  const grown = View => class extends View {
    constructor(box, model) {
      super(box, model);
      this.shown = { cloth: true, fold: true };
      const all = (q, does) => box.querySelectorAll(q).forEach(b => b.addEventListener("click", () => does(b)));
      all("[data-hung]", b => this.choose(+b.dataset.hung, this.field));
      all("[data-field]", b => this.choose(this.which, +b.dataset.field));
      this.choose(0, 0);
    }
    start() {
      if (!super.start()) return false;
      const gl = this.gl;
      gl.getExtension("OES_standard_derivatives");
      const wide = this.model.garments.some(g => g.corners instanceof Uint32Array);
      if (wide && !gl.getExtension("OES_element_index_uint")) return false;
      const made = gl.createProgram();
      for (const [kind, text] of [[gl.VERTEX_SHADER, CLOTH[0]], [gl.FRAGMENT_SHADER, CLOTH[1].trim()]]) {
        const part = gl.createShader(kind); gl.shaderSource(part, text); gl.compileShader(part); gl.attachShader(made, part);
      }
      gl.linkProgram(made);
      if (!gl.getProgramParameter(made, gl.LINK_STATUS) && !gl.isContextLost()) throw new Error("the shaders do not fit");
      this.weave = made; this.kept = [];
      if (this.which !== undefined) this.choose(this.which, this.field);
      return true;
    }
    /* what a garment needs on the card, made when it is first shown */
    held(k) {
      const gl = this.gl, g = this.model.garments[k];
      const keep = (kind, data) => { const b = gl.createBuffer(); gl.bindBuffer(kind, b); gl.bufferData(kind, data, gl.STATIC_DRAW); return b; };
      const strokes = kind => { const r = ribbons(g.strokes.filter(s => s.kind === kind)); return { count: r.corners.length, data: keep(gl.ARRAY_BUFFER, r.data), corners: keep(gl.ELEMENT_ARRAY_BUFFER, r.corners) }; };
      return this.kept[k] || (this.kept[k] = {
        at: keep(gl.ARRAY_BUFFER, g.at), out: keep(gl.ARRAY_BUFFER, figureView.normals(g.at, g.corners)),
        corners: keep(gl.ELEMENT_ARRAY_BUFFER, g.corners), kind: g.corners instanceof Uint32Array ? gl.UNSIGNED_INT : gl.UNSIGNED_SHORT,
        values: g.values.map(v => keep(gl.ARRAY_BUFFER, v.map(x => Number.isNaN(x) ? -1e9 : x))), fold: strokes("fold"), hem: strokes("hem"),
      });
    }
    choose(which, field) {
      this.which = which; this.field = field;
      const g = this.model.garments[which], f = g.fields[field];
      for (const [q, k] of [["hung", which], ["field", field]])
        for (const b of this.box.querySelectorAll(`[data-${q}]`)) b.setAttribute("aria-pressed", String(+b.dataset[q] === k));
      this.legend(f); this.mark(g, f); this.ask(); this.say();
    }
    legend(f) {
      this.names.querySelector("b").textContent = f.title;
      const bands = this.names.querySelector(".drape-bands"), make = (tag, into) => into.appendChild(document.createElement(tag));
      bands.replaceChildren();
      for (let k = f.colours.length - 1; k >= 0; k--) {
        make("i", bands).style.background = f.colours[k];
        make("span", bands).textContent = k ? f.labels[k - 1] : "";
      }
    }
    mark(g, f) {
      const over = this.box.querySelector(".drape-marks"), key = this.box.querySelector(".drape-key");
      const make = (tag, into, text) => { const e = document.createElement(tag); e.textContent = text; into.append(e); return e; };
      over.replaceChildren(); key.replaceChildren(); key.hidden = !f.places.length;
      const tag = (kind, text, spots, row) => { const e = make("span", over, text); e.className = kind; return { kind, spots, row, e }; };
      const lines = g.strokes.filter(s => s.kind === "fold");
      /* a fold's number may stand anywhere along it, first at its shallow end; its tick is the line after it */
      const along = ({ points: p }) => Array.from({ length: 9 }, (_, i) => 3 * Math.round(i / 8 * (p.length / 3 - 1))).map(i => [...p.subarray(i, i + 3)]);
      this.tags = f.places.map(([text, at, said]) => {
        const row = make("div", key, "");
        make("dt", row, text); make("dd", row, said);
        return tag("place", text, [at], row);
      }).concat(g.folds.map(([text, at], k) => tag("fold", text, [at, ...along(lines[2 * k])])));
    }
    label() { this.tags = []; }
    /* letters and numbers where nothing drawn lies between them and the eye, none over another */
    place(m, r) {
      const a = this.now.turned * Math.PI / 180, b = this.now.over * Math.PI / 180, far = figureView.FAR, up = this.size.tall / 2 + this.now.lift;
      const eye = [-Math.sin(a) * Math.cos(b) * far, up + Math.sin(b) * far, Math.cos(a) * Math.cos(b) * far];
      const g = this.model.garments[this.which], seen = g.seen || (g.seen = sight([this.model, { points: g.at, corners: g.corners }]));
      const taken = [], free = (x, y) => taken.every(q => Math.hypot(q[0] - x, q[1] - y) >= ROOM);
      const aside = ([x, y]) => [1, 1.5, 2].flatMap(n => [0, 4, 2, 6, 1, 3, 5, 7].map(i => [x + n * ROOM * Math.cos(i * Math.PI / 4), y + n * ROOM * Math.sin(i * Math.PI / 4)]))
        .find(q => free(...q)) || [x, y];
      for (const { kind, spots, row, e } of this.tags) {
        const may = this.shown.cloth && (kind !== "fold" || this.shown.fold);
        let stands = null, first = null;
        for (const at of may ? spots : []) {
          const [x, y] = figureView.project(m, ...at), here = [(x + 1) / 2 * r.width, (1 - y) / 2 * r.height];
          if (Math.abs(x) > 0.97 || Math.abs(y) > 0.97 || !seen(at, eye)) continue;
          first = first || here;
          if (free(...here)) { stands = here; break; }
        }
        stands = stands || first && aside(first);
        e.hidden = !stands;
        if (row) row.classList.toggle("away", !stands);
        if (stands) { taken.push(stands); e.style.left = `${stands[0]}px`; e.style.top = `${stands[1]}px`; }
      }
    }
    say() {
      super.say();
      if (this.which === undefined) return;
      const g = this.model.garments[this.which], f = g.fields[this.field];
      this.canvas.setAttribute("aria-label", `The ${g.name} on the figure in three dimensions, ${f.title}. ${figureView.told(this.now)} The numbers are in the table below.`);
    }
    draw() {
      const gl = this.gl, c = this.canvas, r = c.getBoundingClientRect();
      if (!r.width || gl.isContextLost() || this.which === undefined) return;
      const sharp = Math.min(devicePixelRatio || 1, 3), w = Math.round(r.width * sharp), h = Math.round(r.height * sharp);
      if (c.width !== w || c.height !== h) { c.width = w; c.height = h; }
      const m = figureView.matrix(this.now, w / h, this.size), rad = Math.PI / 180, a = this.now.turned * rad, b = this.now.over * rad;
      const back = m.map((v, i) => i % 4 === 2 ? v + BACK * m[i + 1] : v), turn = [Math.sin(a), Math.cos(a), Math.sin(b), Math.cos(b)];
      const uniform = (of, name) => gl.getUniformLocation(of, name);
      const feed = (of, name, buffer, size, stride, offset) => {
        const at = gl.getAttribLocation(of, name);
        gl.bindBuffer(gl.ARRAY_BUFFER, buffer); gl.enableVertexAttribArray(at); gl.vertexAttribPointer(at, size, gl.FLOAT, false, stride, offset);
      };
      /* attributes left on from another program would read past its end */
      const begin = of => { gl.useProgram(of); for (let i = 0; i < 8; i++) gl.disableVertexAttribArray(i); };
      gl.viewport(0, 0, w, h); gl.clearColor(0, 0, 0, 0); gl.clear(gl.COLOR_BUFFER_BIT | gl.DEPTH_BUFFER_BIT);
      begin(this.body);
      gl.uniformMatrix4fv(uniform(this.body, "m"), false, back); gl.uniform4f(uniform(this.body, "turn"), ...turn);
      gl.uniform3f(uniform(this.body, "tone"), ...this.model.tone.map(v => v / 255)); gl.uniform1f(uniform(this.body, "tall"), this.size.tall);
      feed(this.body, "at", this.at, 3, 0, 0); feed(this.body, "facing", this.out, 3, 0, 0);
      gl.bindBuffer(gl.ELEMENT_ARRAY_BUFFER, this.corners); gl.drawElements(gl.TRIANGLES, this.model.corners.length, this.kind, 0);
      const k = this.held(this.which), g = this.model.garments[this.which], f = g.fields[this.field];
      if (this.shown.cloth) {
        begin(this.weave);
        gl.uniformMatrix4fv(uniform(this.weave, "m"), false, m); gl.uniform4f(uniform(this.weave, "turn"), ...turn);
        gl.uniform1fv(uniform(this.weave, "steps"), Float32Array.from({ length: 7 }, (_, i) => f.steps[i] ?? 0));
        gl.uniform3fv(uniform(this.weave, "bands"), Float32Array.from(Array.from({ length: 8 }, (_, i) => f.colours[i] || "#000000").flatMap(t => [1, 3, 5].map(j => parseInt(t.slice(j, j + 2), 16) / 255))));
        gl.uniform1i(uniform(this.weave, "count"), f.steps.length); gl.uniform1f(uniform(this.weave, "sharp"), sharp);
        feed(this.weave, "at", k.at, 3, 0, 0); feed(this.weave, "facing", k.out, 3, 0, 0); feed(this.weave, "value", k.values[this.field], 1, 0, 0);
        gl.bindBuffer(gl.ELEMENT_ARRAY_BUFFER, k.corners); gl.drawElements(gl.TRIANGLES, g.corners.length, k.kind, 0);
      }
      begin(this.line);
      gl.uniformMatrix4fv(uniform(this.line, "m"), false, m); gl.uniform2f(uniform(this.line, "px"), 2 / w, 2 / h);
      const stroke = ({ count, data, corners }, width, ink) => {
        gl.uniform1f(uniform(this.line, "width"), width * sharp / 2); gl.uniform4f(uniform(this.line, "ink"), ...ink);
        feed(this.line, "p", data, 3, 32, 0); feed(this.line, "q", data, 3, 32, 12); feed(this.line, "corner", data, 2, 32, 24);
        gl.bindBuffer(gl.ELEMENT_ARRAY_BUFFER, corners); gl.drawElements(gl.TRIANGLES, count, gl.UNSIGNED_SHORT, 0);
      };
      const ink = (getComputedStyle(c).color.match(/[\d.]+/g) || [0, 0, 0]).slice(0, 3).map(v => v / 255);
      stroke(this.drawn.floor, 1.5, [...ink, 0.6]);
      if (this.shown.cloth) stroke(k.hem, 2.4, [0, 0, 0, 1]);
      if (this.shown.cloth && this.shown.fold) stroke(k.fold, 3.4, [0, 0, 0, 1]);
      this.place(m, r);
    }
  };

  /* where anything is missing the pictures stand as they are */
  async function open(box) {
    /* the figure's view is that which this one grows from */
    const kin = await figureView.ready;
    if (!kin) throw new Error("the figure has no view");
    const text = document.getElementById("drape-model").textContent.trim();
    const bytes = Uint8Array.from(atob(text), c => c.charCodeAt(0));
    const stream = new Blob([bytes]).stream().pipeThrough(new DecompressionStream("gzip"));
    const model = read(await new Response(stream).arrayBuffer(), kin.model);
    box.hidden = false;
    try { return new (grown(kin.constructor))(box, model); } catch (e) { box.hidden = true; throw e; }
  }
  const box = document.querySelector(".drape-turn");
  const ready = box ? open(box).catch(() => null) : Promise.resolve(null);
  return { read, sight, ready };
})();
