/* Hung garments in three dimensions, over the figure's own view (figure.js). */
const drapeView = (() => {
  "use strict";
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
      const over = this.box.querySelector(".drape-marks");
      over.replaceChildren();
      this.tags = [...g.folds.map(m => ["fold", ...m]), ...f.places.map(m => ["place", ...m])].map(([kind, text, at, way]) => {
        const e = document.createElement("span"); e.className = kind; e.textContent = text; over.append(e);
        return { kind, at, way, e };
      });
    }
    label() { this.tags = []; }
    /* letters and numbers where the cloth under them faces the eye */
    place(m, r) {
      const a = this.now.turned * Math.PI / 180, b = this.now.over * Math.PI / 180;
      for (const { kind, at, way, e } of this.tags) {
        const away = Math.cos(a) * way[2] - Math.sin(a) * way[0], faces = Math.cos(b) * away + Math.sin(b) * way[1];
        const [x, y] = figureView.project(m, ...at);
        e.hidden = !this.shown.cloth || (kind === "fold" && !this.shown.fold) || faces < 0.15 || Math.abs(x) > 0.97 || Math.abs(y) > 0.97;
        e.style.left = `${(x + 1) / 2 * r.width}px`; e.style.top = `${(1 - y) / 2 * r.height}px`;
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
  return { read, ready };
})();
