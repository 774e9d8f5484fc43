/* The figure in three dimensions: a glTF file read and drawn by hand (WebGL 1, OpenGL ES 2.0). */
const figureView = (() => {
  "use strict";
  const FAR = 4.5, AIR = 1.09, STEEPEST = 40, NEAREST = 6, CHIN = 0.86, RAD = Math.PI / 180;
  const whole = turned => { const d = ((Math.round(turned) % 360) + 540) % 360 - 180; return d === -180 ? 180 : d; };

  /* Clip space from metres, column by column. turned: degrees to her left; over: degrees the lens
     stands above; lift: m over the middle that it looks at; wide: width by height of the picture.
     The lens stands FAR metres away; nearer only narrows what it takes in. */
  function matrix({ turned, over, nearer, lift }, wide, size) {
    const a = turned * RAD, b = over * RAD, [s, c, t, k] = [Math.sin(a), Math.cos(a), Math.sin(b), Math.cos(b)];
    const f = nearer * FAR / AIR / Math.max(size.tall / 2, size.round / wide), m = size.tall / 2 + lift;
    const near = FAR - 2, deep = FAR + 2, z = (near + deep) / (near - deep), w = 2 * near * deep / (near - deep);
    const rows = [
      [c, 0, s, 0],
      [s * t, k, -c * t, -m * k],
      [-s * k, t, c * k, -m * t - FAR],
    ];
    const clip = [rows[0].map(v => v * f / wide), rows[1].map(v => v * f), rows[2].map(v => v * z), rows[2].map(v => -v)];
    clip[2][3] += w;
    return new Float32Array([0, 1, 2, 3].flatMap(i => clip.map(row => row[i])));
  }
  const project = (m, x, y, z) => {
    const [px, py, , pw] = [0, 1, 2, 3].map(i => m[i] * x + m[4 + i] * y + m[8 + i] * z + m[12 + i]);
    return [px / pw, py / pw];
  };

  /* the view in words */
  function told({ turned, over, nearer }) {
    const d = whole(turned), o = Math.round(over);
    const side = { 0: "Seen from the front", 180: "Seen from the back", 90: "Seen from her right side", "-90": "Seen from her left side" }[d]
      || `Turned ${Math.abs(d)}° to her ${d > 0 ? "left" : "right"}`;
    return side + (o ? `, from ${Math.abs(o)}° ${o > 0 ? "above" : "below"}` : "") +
      (nearer > 1.01 ? `, ${nearer.toFixed(1)} times nearer` : "") + ".";
  }

  /* a binary glTF file: points in metres, corners, and the lines with their words */
  function read(buffer) {
    const head = new DataView(buffer);
    if (head.getUint32(0, true) !== 0x46546c67) throw new Error("not a binary glTF file");
    const long = head.getUint32(12, true), start = 28 + long;
    const file = JSON.parse(new TextDecoder().decode(new Uint8Array(buffer, 20, long)));
    const KINDS = { 5122: ["getInt16", 2], 5123: ["getUint16", 2], 5125: ["getUint32", 4], 5126: ["getFloat32", 4] };
    const values = (number, scale = 1) => {
      const a = file.accessors[number], v = file.bufferViews[a.bufferView];
      const [get, bytes] = KINDS[a.componentType], of = a.type === "VEC3" ? 3 : 1, step = v.byteStride || of * bytes;
      const out = new (get === "getFloat32" || of === 3 ? Float32Array : bytes === 2 ? Uint16Array : Uint32Array)(a.count * of);
      const at = start + (v.byteOffset || 0) + (a.byteOffset || 0);
      for (let i = 0; i < a.count; i++) for (let k = 0; k < of; k++)
        out[i * of + k] = head[get](at + i * step + k * bytes, true) * scale;
      return out;
    };
    const found = { lines: [], tone: file.extras.tone };
    for (const node of file.nodes) {
      const part = file.meshes[node.mesh].primitives[0], points = values(part.attributes.POSITION, node.scale ? node.scale[0] : 1);
      if (part.mode === 4) { found.points = points; found.corners = values(part.indices); }
      else found.lines.push({ points, closed: part.mode === 2, ...node.extras });
    }
    return found;
  }

  /* the way the surface faces at each point: the mean of its triangles by their area */
  function normals(p, corners) {
    const n = new Float32Array(p.length);
    for (let t = 0; t < corners.length; t += 3) {
      const [a, b, c] = [3 * corners[t], 3 * corners[t + 1], 3 * corners[t + 2]];
      const [x, y, z, u, v, w] = [p[b] - p[a], p[b + 1] - p[a + 1], p[b + 2] - p[a + 2], p[c] - p[a], p[c + 1] - p[a + 1], p[c + 2] - p[a + 2]];
      const across = [y * w - z * v, z * u - x * w, x * v - y * u];
      for (const i of [a, b, c]) for (let k = 0; k < 3; k++) n[i + k] += across[k];
    }
    for (let i = 0; i < n.length; i += 3) {
      const l = Math.hypot(n[i], n[i + 1], n[i + 2]) || 1;
      for (let k = 0; k < 3; k++) n[i + k] /= l;
    }
    return n;
  }

  /* lines as ribbons: of each stretch both ends at four corners, which the shader spreads */
  function ribbons(lines) {
    const data = [], corners = [];
    for (const { points, closed } of lines) {
      const count = points.length / 3;
      for (let i = 0; i + (closed ? 0 : 1) < count; i++) {
        const p = points.subarray(3 * i, 3 * i + 3), j = (i + 1) % count, q = points.subarray(3 * j, 3 * j + 3);
        const at = data.length / 8;
        for (const end of [0, 1]) for (const side of [-1, 1]) data.push(...p, ...q, end, side);
        corners.push(at, at + 1, at + 2, at + 2, at + 1, at + 3);
      }
    }
    return { data: new Float32Array(data), corners: new Uint16Array(corners) };
  }

  const BODY = [`
    attribute vec3 at, facing; uniform mat4 m; uniform vec4 turn; uniform float tall; varying vec3 n, eye; varying float head;
    vec3 turned(vec3 v) {
      vec3 a = vec3(turn.y * v.x + turn.x * v.z, v.y, turn.y * v.z - turn.x * v.x);
      return vec3(a.x, turn.w * a.y - turn.z * a.z, turn.w * a.z + turn.z * a.y);
    }
    void main() { gl_Position = m * vec4(at, 1.); n = turned(facing); head = smoothstep(${CHIN}, ${CHIN} + .02, at.y / tall); eye = vec3(0., 0., ${FAR.toFixed(1)}) - turned(at - vec3(0., .85, 0.)); }`, `
    precision mediump float; uniform vec3 tone; varying vec3 n, eye; varying float head;
    void main() {
      vec3 k = normalize(n); float face = dot(k, normalize(eye));
      float key = dot(k, normalize(vec3(-.55, .6, .75))), fill = dot(k, normalize(vec3(.8, .1, .5)));
      float light = .5 + .34 * (.5 + .5 * key) * (.5 + .5 * key) + .16 * max(key, 0.) + .07 * (.5 + .5 * fill);
      /* darker where it turns away, so that it stands out on any ground; on the face that would be streaks */
      light *= mix(mix(.5, .92, head), 1., smoothstep(.0, mix(.5, .25, head), face));
      gl_FragColor = vec4(tone * min(light, 1.), 1.);
    }`];
  const LINE = [`
    attribute vec3 p, q; attribute vec2 corner; uniform mat4 m; uniform vec2 px; uniform float width;
    void main() {
      vec4 a = m * vec4(p, 1.), b = m * vec4(q, 1.); vec2 along = (b.xy / b.w - a.xy / a.w) / px;
      along = along / max(length(along), 1e-4);
      gl_Position = corner.x < .5 ? a : b;
      vec2 out_ = vec2(-along.y, along.x) * corner.y + along * (corner.x * 2. - 1.) * .5;
      gl_Position.xy += out_ * px * width * gl_Position.w; gl_Position.z -= .006 * gl_Position.w;
    }`, `
    precision mediump float; uniform vec4 ink; void main() { gl_FragColor = vec4(ink.rgb * ink.a, ink.a); }`];

  class View {
    constructor(box, model) {
      this.box = box; this.model = model;
      this.canvas = box.querySelector("canvas"); this.names = box.querySelector(".turn-levels"); this.words = box.querySelector(".turn-view");
      this.now = { turned: 0, over: 0, nearer: 1, lift: 0 };
      this.aim = { ...this.now };
      this.shown = { level: true, plumb: false };
      const p = model.points; let tall = 0, round = 0;
      for (let i = 0; i < p.length; i += 3) { tall = Math.max(tall, p[i + 1]); round = Math.max(round, Math.hypot(p[i], p[i + 2])); }
      this.size = { tall, round };
      this.facing = normals(p, model.corners);
      this.floor = { closed: true, points: new Float32Array(Array.from({ length: 72 }, (_, i) => [0.36 * Math.sin(i * 5 * RAD), 0, 0.27 * Math.cos(i * 5 * RAD)]).flat()) };
      if (!this.start()) throw new Error("no WebGL");
      this.label(); this.listen(); this.say();
    }
    start() {
      const gl = this.gl = this.canvas.getContext("webgl", { antialias: true, alpha: true, powerPreference: "low-power" });
      if (!gl) return false;
      const wide = this.model.corners instanceof Uint32Array;
      if (wide && !gl.getExtension("OES_element_index_uint")) return false;
      const build = ([vertex, fragment]) => {
        const made = gl.createProgram();
        for (const [kind, text] of [[gl.VERTEX_SHADER, vertex], [gl.FRAGMENT_SHADER, fragment]]) {
          const part = gl.createShader(kind); gl.shaderSource(part, text); gl.compileShader(part); gl.attachShader(made, part);
        }
        gl.linkProgram(made);
        if (!gl.getProgramParameter(made, gl.LINK_STATUS) && !gl.isContextLost()) throw new Error("the shaders do not fit");
        return made;
      };
      const keep = (kind, data) => { const b = gl.createBuffer(); gl.bindBuffer(kind, b); gl.bufferData(kind, data, gl.STATIC_DRAW); return b; };
      const strokes = lines => { const r = ribbons(lines); return { count: r.corners.length, data: keep(gl.ARRAY_BUFFER, r.data), corners: keep(gl.ELEMENT_ARRAY_BUFFER, r.corners) }; };
      this.body = build(BODY); this.line = build(LINE);
      this.at = keep(gl.ARRAY_BUFFER, this.model.points); this.out = keep(gl.ARRAY_BUFFER, this.facing);
      this.corners = keep(gl.ELEMENT_ARRAY_BUFFER, this.model.corners); this.kind = wide ? gl.UNSIGNED_INT : gl.UNSIGNED_SHORT;
      this.drawn = { floor: strokes([this.floor]) };
      for (const kind of ["level", "plumb"]) this.drawn[kind] = strokes(this.model.lines.filter(l => l.kind === kind));
      gl.enable(gl.DEPTH_TEST); gl.enable(gl.BLEND); gl.blendFunc(gl.ONE, gl.ONE_MINUS_SRC_ALPHA);
      return true;
    }
    ask() { if (!this.waiting) this.waiting = requestAnimationFrame(() => { this.waiting = 0; this.draw(); }); }
    draw() {
      const gl = this.gl, c = this.canvas, r = c.getBoundingClientRect();
      if (!r.width || gl.isContextLost()) return;
      const sharp = Math.min(devicePixelRatio || 1, 3), w = Math.round(r.width * sharp), h = Math.round(r.height * sharp);
      if (c.width !== w || c.height !== h) { c.width = w; c.height = h; }
      const m = matrix(this.now, w / h, this.size), a = this.now.turned * RAD, b = this.now.over * RAD;
      gl.viewport(0, 0, w, h); gl.clearColor(0, 0, 0, 0); gl.clear(gl.COLOR_BUFFER_BIT | gl.DEPTH_BUFFER_BIT);
      gl.useProgram(this.body);
      const uniform = (of, name) => gl.getUniformLocation(of, name);
      gl.uniformMatrix4fv(uniform(this.body, "m"), false, m);
      gl.uniform4f(uniform(this.body, "turn"), Math.sin(a), Math.cos(a), Math.sin(b), Math.cos(b));
      gl.uniform3f(uniform(this.body, "tone"), ...this.model.tone.map(v => v / 255));
      gl.uniform1f(uniform(this.body, "tall"), this.size.tall);
      const feed = (of, name, buffer, size, stride, offset) => {
        const at = gl.getAttribLocation(of, name);
        gl.bindBuffer(gl.ARRAY_BUFFER, buffer); gl.enableVertexAttribArray(at); gl.vertexAttribPointer(at, size, gl.FLOAT, false, stride, offset);
      };
      feed(this.body, "at", this.at, 3, 0, 0); feed(this.body, "facing", this.out, 3, 0, 0);
      gl.bindBuffer(gl.ELEMENT_ARRAY_BUFFER, this.corners);
      gl.drawElements(gl.TRIANGLES, this.model.corners.length, this.kind, 0);
      gl.useProgram(this.line);
      gl.uniformMatrix4fv(uniform(this.line, "m"), false, m); gl.uniform2f(uniform(this.line, "px"), 2 / w, 2 / h);
      const stroke = (what, width, ink) => {
        const { count, data, corners } = this.drawn[what];
        gl.uniform1f(uniform(this.line, "width"), width * sharp / 2); gl.uniform4f(uniform(this.line, "ink"), ...ink);
        feed(this.line, "p", data, 3, 32, 0); feed(this.line, "q", data, 3, 32, 12); feed(this.line, "corner", data, 2, 32, 24);
        gl.bindBuffer(gl.ELEMENT_ARRAY_BUFFER, corners); gl.drawElements(gl.TRIANGLES, count, gl.UNSIGNED_SHORT, 0);
      };
      /* the body is as light as calico in either look: its levels are dark on it */
      const ink = (getComputedStyle(c).color.match(/[\d.]+/g) || [0, 0, 0]).slice(0, 3).map(v => v / 255);
      stroke("floor", 1.5, [...ink, 0.6]);
      if (this.shown.level) stroke("level", 1.7, [0.5, 0.05, 0.16, 1]);
      if (this.shown.plumb) stroke("plumb", 1.4, [...ink, 1]);
      this.place(m, r);
    }
    /* the names of the levels in a column of their own, none over another */
    label() {
      this.tags = []; this.head = this.names.firstElementChild;
      for (const l of this.model.lines) {
        if (l.kind !== "level" || this.tags.some(t => t.name === l.name)) continue;
        const e = document.createElement("span"), height = document.createElement("small");
        height.textContent = l.height; e.append(l.name + " ", height); this.names.append(e);
        this.tags.push({ name: l.name, y: l.y, e });
      }
    }
    place(m, r) {
      const room = 15; let last = this.head.offsetHeight;
      this.tags.map(t => ({ ...t, top: (1 - project(m, 0, t.y, 0)[1]) / 2 * r.height })).sort((a, b) => a.top - b.top).forEach(t => {
        const seen = this.shown.level && t.top > 0 && t.top < r.height;
        const top = Math.max(t.top, last + room);
        t.e.hidden = !seen || top > r.height - 6;
        if (!t.e.hidden) { t.e.style.top = `${top}px`; last = top; }
      });
    }
    limit(v) {
      v.over = Math.max(-STEEPEST, Math.min(STEEPEST, v.over));
      v.nearer = Math.max(1, Math.min(NEAREST, v.nearer));
      const free = this.size.tall / 2 * (1 - 1 / v.nearer);
      v.lift = Math.max(-free, Math.min(free, v.lift));
      return v;
    }
    go(change, quick) {
      cancelAnimationFrame(this.frame);
      /* what is asked on the way adds to where it was going */
      const from = { ...this.now }, to = this.limit({ ...this.aim, ...change });
      this.aim = to;
      if (change.side !== undefined) { to.turned = from.turned + whole(change.side - from.turned); delete to.side; }
      const end = () => { to.turned = ((to.turned % 360) + 360) % 360; this.now = to; this.aim = { ...to }; this.ask(); this.say(); };
      if (quick || this.calm.matches) { end(); return; }
      const began = performance.now();
      const run = now => {
        const t = Math.min(1, (now - began) / 300), u = 1 - (1 - t) ** 3;
        if (t >= 1) { end(); return; }
        for (const k in to) this.now[k] = from[k] + (to[k] - from[k]) * u;
        this.draw(); this.frame = requestAnimationFrame(run);
      };
      this.frame = requestAnimationFrame(run);
    }
    /* told once the hand rests, not at every step */
    say() {
      const words = told(this.now), line = this.words;
      this.canvas.setAttribute("aria-label", `The client's figure in three dimensions. ${words}`);
      clearTimeout(this.late);
      this.late = setTimeout(() => { if (line.textContent !== words) line.textContent = words; }, 250);
      this.canvas.classList.toggle("near", this.now.nearer > 1.01);
      for (const b of this.box.querySelectorAll("[data-side]"))
        b.setAttribute("aria-pressed", String(whole(+b.dataset.side) === whole(this.now.turned) && !Math.round(this.now.over)));
    }
    zoom(by, quick) { this.go({ nearer: this.aim.nearer * by }, quick); }
    listen() {
      const c = this.canvas, media = q => matchMedia(q);
      this.calm = media("(prefers-reduced-motion: reduce)");
      let held = null;
      c.addEventListener("pointerdown", e => {
        if (held || e.button) return;
        held = { id: e.pointerId, x: e.clientX, y: e.clientY }; c.setPointerCapture(e.pointerId); c.classList.add("held");
        cancelAnimationFrame(this.frame); this.aim = { ...this.now };
      });
      c.addEventListener("pointermove", e => {
        if (!held || e.pointerId !== held.id) return;
        const dx = e.clientX - held.x, dy = e.clientY - held.y, near = this.now.nearer, r = c.getBoundingClientRect();
        const move = { turned: this.now.turned + dx * 0.5 / near };
        if (near > 1.01) move.lift = this.now.lift + dy / r.height * this.size.tall * AIR / near;
        else move.over = this.now.over + dy * 0.3;
        held.x = e.clientX; held.y = e.clientY; this.go(move, true);
      });
      const let_go = e => { if (held && e.pointerId === held.id) { held = null; c.classList.remove("held"); } };
      for (const what of ["pointerup", "pointercancel", "lostpointercapture"]) c.addEventListener(what, let_go);
      /* the page scrolls on unless Ctrl is held */
      c.addEventListener("wheel", e => {
        if (!e.ctrlKey || document.activeElement !== c) return;
        e.preventDefault(); this.zoom(Math.exp(Math.max(-60, Math.min(60, -e.deltaY)) * 0.005), true);
      }, { passive: false });
      c.addEventListener("keydown", e => {
        if (e.ctrlKey || e.metaKey || e.altKey) return;
        const step = e.shiftKey ? 5 : 15, v = this.aim, up = this.size.tall * 0.06;
        const tilt = e.shiftKey || v.nearer <= 1.01;
        const does = {
          ArrowLeft: () => this.go({ turned: v.turned - step }), ArrowRight: () => this.go({ turned: v.turned + step }),
          ArrowUp: () => this.go(tilt ? { over: v.over + 10 } : { lift: v.lift + up }),
          ArrowDown: () => this.go(tilt ? { over: v.over - 10 } : { lift: v.lift - up }),
          "+": () => this.zoom(1.3), "=": () => this.zoom(1.3), "-": () => this.zoom(1 / 1.3),
          0: () => this.go({ side: 0, over: 0, nearer: 1, lift: 0 }), Home: () => this.go({ side: 0, over: 0, nearer: 1, lift: 0 }),
        }[e.key];
        if (does) { e.preventDefault(); does(); }
      });
      const all = (q, does) => this.box.querySelectorAll(q).forEach(b => b.addEventListener("click", () => does(b)));
      all("[data-side]", b => this.go({ side: +b.dataset.side, over: 0 }));
      all("[data-nearer]", b => b.dataset.nearer === "whole" ? this.go({ over: 0, nearer: 1, lift: 0 }) : this.zoom(+b.dataset.nearer));
      all("[data-line]", b => {
        const on = b.getAttribute("aria-pressed") !== "true";
        b.setAttribute("aria-pressed", String(on)); this.shown[b.dataset.line] = on; this.ask();
      });
      c.addEventListener("webglcontextlost", e => { e.preventDefault(); this.box.classList.add("lost"); });
      c.addEventListener("webglcontextrestored", () => { if (this.start()) { this.box.classList.remove("lost"); this.ask(); } });
      new ResizeObserver(() => this.draw()).observe(c);
      new MutationObserver(() => this.ask()).observe(document.documentElement, { attributes: true, attributeFilter: ["data-look"] });
      for (const q of ["(prefers-color-scheme: dark)", "(forced-colors: active)"]) media(q).addEventListener("change", () => this.ask());
    }
  }

  /* where anything is missing the pictures stand as they are */
  async function open(box) {
    const text = document.getElementById("figure-model").textContent.trim();
    const bytes = Uint8Array.from(atob(text), c => c.charCodeAt(0));
    const stream = new Blob([bytes]).stream().pipeThrough(new DecompressionStream("gzip"));
    const model = read(await new Response(stream).arrayBuffer());
    box.hidden = false;
    try {
      const view = new View(box, model);
      box.parentElement.classList.add("with-turn");
      return view;
    } catch (e) { box.hidden = true; throw e; }
  }
  const box = document.querySelector(".turn");
  const ready = box ? open(box).catch(() => null) : Promise.resolve(null);
  return { FAR, matrix, project, told, read, normals, ready };
})();
