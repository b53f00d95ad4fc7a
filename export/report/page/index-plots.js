"use strict";
// Plots over time can be read and enlarged: a line that the mouse, a finger or the arrow keys move, with the figures that stand there; a
// stretch that is dragged over, or + and −. Figures are read off the traces themselves, which keep the shortest and the longest frame
// of each of their columns; nothing else is in the page. Without this script a plot is the picture that it is on paper.
(function () {
  var said = document.createElement("p");
  said.className = "aside";
  said.setAttribute("role", "status");
  said.setAttribute("aria-live", "polite");
  document.querySelector("main").appendChild(said);
  var hint = document.createElement("p");
  hint.className = "aside";
  hint.id = "plot-keys";
  hint.textContent = "The arrow keys move a reading line, with Shift in larger steps; Home and End go to the ends; plus and minus enlarge and shrink; Escape shows all.";
  document.querySelector("main").appendChild(hint);
  var later = 0;
  function say(words) {
    clearTimeout(later);
    later = setTimeout(function () { said.textContent = words; }, 200);
  }
  function make(name, attributes, parent) {
    var e = document.createElementNS(parent.namespaceURI, name);
    Object.keys(attributes).forEach(function (k) { e.setAttribute(k, attributes[k]); });
    return parent.appendChild(e);
  }
  function fixed(x, decimals) {
    var s = x.toFixed(decimals).replace("-", "−");
    return /^−[0.]*$/.test(s) ? s.slice(1) : s;
  }

  // A trace is a list of points in tenths of a unit, each the end of a line or (up) the begin of another.
  function points(d) {
    var out = [], x = 0, y = 0, step = /([Mlv])(-?\d+)(?: ?(-?\d+))?/g, m;
    while ((m = step.exec(d))) {
      if (m[1] === "M") { x = +m[2]; y = +m[3]; }
      else if (m[1] === "v") { y += +m[2]; }
      else { x += +m[2]; y += +m[3]; }
      out.push({ x: x, y: y, up: m[1] === "M" });
    }
    return out;
  }
  // The trace again, with the stretch from a to b stretched over the whole width.
  function stretched(list, left, right, a, b) {
    var out = [], before = null, open = false;
    function at(x) { return left + (x - a) / (b - a) * (right - left); }
    function put(x, y) {
      out.push((open ? "L" : "M") + at(x).toFixed(1) + " " + y.toFixed(1));
      open = true;
    }
    list.forEach(function (p) {
      if (p.up) { before = null; open = false; }
      [a, b].forEach(function (edge) {
        if (before && (before.x - edge) * (p.x - edge) < 0) { put(edge, before.y + (edge - before.x) / (p.x - before.x) * (p.y - before.y)); }
      });
      if (p.x >= a && p.x <= b) { put(p.x, p.y); } else { open = open && before && before.x < a && p.x > a; }
      before = p;
    });
    return out.join("");
  }

  function trackOf(layer) {
    var n = layer.getAttribute("data-plot").split(" ");
    var traces = Array.prototype.map.call(layer.querySelectorAll(":scope > .trace"), function (path) {
      return { path: path, whole: path.getAttribute("d"), list: points(path.getAttribute("d")) };
    });
    return {
      name: layer.querySelector(":scope > title").textContent, traces: traces, hue: traces.length ? traces[0].path.getAttribute("stroke") : "",
      left: +n[0], top: +n[1], right: +n[2], bottom: +n[3], from: +n[4], to: +n[5], low: +n[6], high: +n[7],
      log: n[8] === "log", minutes: n[9] === "min", unit: n.slice(10).join(" ")
    };
  }
  function figureAt(track, y) {
    var share = (track.bottom - y) / (track.bottom - track.top);
    return track.log ? track.low * Math.pow(track.high / track.low, share) : track.low + share * (track.high - track.low);
  }
  // What stands nearest to a place: the least and the most of one column, or null where nothing was measured.
  function readAt(track, x) {
    var list = track.traces.length ? track.traces[0].list : [], lo = 0, hi = list.length - 1;
    if (hi < 0) { return null; }
    while (hi - lo > 1) {
      var mid = (lo + hi) >> 1;
      if (list[mid].x < x) { lo = mid; } else { hi = mid; }
    }
    var near = Math.abs(list[lo].x - x) < Math.abs(list[hi].x - x) ? lo : hi;
    if (Math.abs(list[near].x - x) > 0.01 * 10 * (track.right - track.left)) { return null; }
    var first = near, last = near, least = list[near].y, most = list[near].y;
    while (first > 0 && list[first - 1].x === list[near].x) { first--; }
    while (last < list.length - 1 && list[last + 1].x === list[near].x) { last++; }
    for (var i = first; i <= last; i++) { least = Math.max(least, list[i].y); most = Math.min(most, list[i].y); }
    // A place is a tenth of a unit wide: no more digits than that tells apart.
    var low = figureAt(track, least / 10), high = figureAt(track, most / 10), step = figureAt(track, most / 10 - 0.1) - high;
    return { x: list[near].x, low: low, high: high, y: (least + most) / 20, decimals: step > 0.3 ? 0 : step > 0.03 || high >= 10 ? 1 : 2 };
  }
  function words(reading, unit) {
    if (!reading) { return "nothing"; }
    var low = fixed(reading.low, reading.decimals), high = fixed(reading.high, reading.decimals);
    return (low === high ? low : low + " to " + high) + " " + unit;
  }

  function Plot(figure) {
    var svg = figure.querySelector("svg"), self = this;
    this.figure = figure;
    this.svg = svg;
    this.bar = this.toolbar();
    figure.setAttribute("role", "application");
    figure.setAttribute("aria-roledescription", "plot");
    figure.setAttribute("aria-labelledby", svg.querySelector("title").id);
    figure.setAttribute("aria-describedby", "plot-keys");
    figure.addEventListener("keydown", function (e) { self.key(e); });
    svg.addEventListener("pointerdown", function (e) { self.press(e); });
    svg.addEventListener("pointermove", function (e) { self.move(e); });
    svg.addEventListener("pointerup", function (e) { self.release(e); });
    svg.addEventListener("pointercancel", function () { self.drop(); });
    svg.addEventListener("pointerleave", function (e) { if (e.pointerType === "mouse" && !self.held && document.activeElement !== figure) { self.hide(); } });
    svg.addEventListener("dblclick", function () { self.all(); });
  }
  Plot.prototype.toolbar = function () {
    var bar = document.createElement("div"), self = this;
    bar.className = "plot-bar";
    [["◂", "earlier", function () { self.step(-1, 5); }], ["▸", "later", function () { self.step(1, 5); }], ["+", "enlarge", function () { self.zoom(0.5); }],
      ["−", "shrink", function () { self.zoom(2); }], ["all", "show all", function () { self.all(); }]].forEach(function (b) {
      var button = document.createElement("button");
      button.type = "button";
      button.tabIndex = -1; // its keys are those of the plot
      button.textContent = b[0];
      button.setAttribute("aria-label", b[1]);
      button.addEventListener("click", b[2]);
      bar.appendChild(button);
    });
    this.words = document.createElement("span");
    this.words.textContent = window.matchMedia("(hover: hover)").matches ? "point at the plot to read it, drag over a stretch to enlarge it" : "tap the plot to read it";
    bar.appendChild(this.words);
    this.figure.parentNode.insertBefore(bar, this.figure.nextSibling);
    return bar;
  };
  // The traces are taken apart when they are first asked for: a page may have a hundred plots.
  Plot.prototype.open = function () {
    if (this.tracks) { return; }
    this.tracks = Array.prototype.map.call(this.svg.querySelectorAll("[data-plot]"), trackOf);
    var t = this.tracks[0];
    this.from = this.a = t.from;
    this.to = this.b = t.to;
    this.left = t.left;
    this.right = t.right;
    this.top = Math.min.apply(null, this.tracks.map(function (k) { return k.top; }));
    this.bottom = Math.max.apply(null, this.tracks.map(function (k) { return k.bottom; }));
    this.lanes = this.tracks.length > 1 && this.tracks[1].top !== t.top;
    this.size = +this.svg.querySelector("text.tick").getAttribute("font-size");
    this.least = this.closest();
  };
  // No stretch is enlarged to less than some columns of the trace.
  Plot.prototype.closest = function () {
    var step = Infinity;
    this.tracks.forEach(function (t) {
      t.traces.forEach(function (trace) {
        for (var i = 1; i < trace.list.length; i++) {
          var d = trace.list[i].x - trace.list[i - 1].x;
          if (d > 0 && !trace.list[i].up) { step = Math.min(step, d / 10); }
        }
      });
    });
    return isFinite(step) ? Math.min(this.to - this.from, 20 * step / (this.right - this.left) * (this.to - this.from)) : this.to - this.from;
  };
  Plot.prototype.place = function (t) { return this.left + (t - this.a) / (this.b - this.a) * (this.right - this.left); };
  Plot.prototype.timeAt = function (e) {
    var box = this.svg.getBoundingClientRect(), x = (e.clientX - box.left) / box.width * this.svg.viewBox.baseVal.width;
    return Math.min(this.b, Math.max(this.a, this.a + (x - this.left) / (this.right - this.left) * (this.b - this.a)));
  };
  Plot.prototype.time = function (t) {
    var most = this.b - this.a;
    if (this.tracks[0].minutes) { return fixed(t / 60, most > 600 ? 1 : 2) + " min"; }
    return fixed(t, most > 10 ? 2 : 3) + " s";
  };

  Plot.prototype.read = function (t) {
    this.open();
    this.t = Math.min(this.to, Math.max(this.from, t));
    if (this.t < this.a || this.t > this.b) {
      var wide = this.b - this.a;
      this.show(this.t < this.a ? this.t : this.t - wide, this.t < this.a ? this.t + wide : this.t);
    }
    this.draw();
  };
  Plot.prototype.draw = function () {
    if (this.line) { this.line.remove(); }
    if (this.t === undefined) { return this.tell(); }
    var x = this.place(this.t), size = this.size, right = x < (this.left + this.right) / 2, self = this;
    this.line = make("g", { "class": "reading", "aria-hidden": "true" }, this.svg);
    make("path", { d: "M" + x + " " + this.top + "V" + this.bottom, "class": "hair" }, this.line);
    var whole = this.left + (this.t - this.from) / (this.to - this.from) * (this.right - this.left);
    var list = this.tracks.map(function (t) { return { track: t, reading: readAt(t, 10 * whole) }; });
    this.readings = list;
    var marks = list.filter(function (l) { return l.reading; });
    this.spread(marks);
    marks.forEach(function (m) {
      make("circle", { cx: x, cy: m.reading.y, r: 0.25 * size, fill: m.track.hue }, self.line);
      if (!self.lanes) { make("circle", { cx: x + (right ? 0.8 : -0.8) * size, cy: m.at, r: 0.25 * size, fill: m.track.hue }, self.line); }
      var beside = (self.lanes ? 0.5 : 1.3) * size;
      var text = make("text", { x: right ? x + beside : x - beside, y: m.at + 0.35 * size, "font-size": size, "text-anchor": right ? "start" : "end" }, self.line);
      text.textContent = (self.lanes ? "" : m.track.name + ": ") + words(m.reading, m.track.unit);
    });
    this.follow(x);
    this.tell();
  };
  // Where figures stand: in a lane under its trace if there is room; where curves share a box, parted so that none lies on another.
  Plot.prototype.spread = function (marks) {
    var size = this.size, place = -Infinity;
    if (this.lanes) {
      marks.forEach(function (m) {
        var under = m.reading.y + 0.9 * size;
        m.at = under < m.track.bottom - 0.4 * size ? under : Math.max(m.track.top + 0.5 * size, m.reading.y - 0.9 * size);
      });
      return;
    }
    marks.sort(function (p, q) { return p.reading.y - q.reading.y; });
    marks.forEach(function (m) { m.at = place = Math.max(m.reading.y, place + 1.15 * size); });
    place = this.bottom;
    marks.reverse().forEach(function (m) {
      m.at = Math.min(m.at, place);
      place = m.at - 1.15 * size;
    });
  };
  // On a narrow screen the plot is wider than its box, which goes along with the line.
  Plot.prototype.follow = function (x) {
    var f = this.figure, wide = this.svg.getBoundingClientRect().width, at = x / this.svg.viewBox.baseVal.width * wide;
    if (wide <= f.clientWidth || this.by !== "key") { return; }
    if (at < f.scrollLeft + 40) { f.scrollLeft = at - f.clientWidth / 2; }
    if (at > f.scrollLeft + f.clientWidth - 40) { f.scrollLeft = at - f.clientWidth / 2; }
  };
  Plot.prototype.tell = function () {
    var out = [];
    if (this.t !== undefined) { out.push("read at " + this.time(this.t)); }
    if (this.a > this.from || this.b < this.to) { out.push("shown " + this.time(this.a) + " to " + this.time(this.b)); }
    this.words.textContent = out.join("; ");
    if (this.t !== undefined && this.by !== "mouse") {
      say(this.time(this.t) + ": " + this.readings.map(function (l) { return l.track.name + " " + words(l.reading, l.track.unit); }).join(", "));
    }
  };
  Plot.prototype.hide = function () {
    this.t = undefined;
    if (this.tracks) { this.draw(); }
  };

  // Shows the stretch from a to b.
  Plot.prototype.show = function (a, b) {
    this.open();
    var wide = Math.min(this.to - this.from, Math.max(this.least, b - a));
    a = Math.max(this.from, Math.min(this.to - wide, (a + b) / 2 - wide / 2));
    this.a = a;
    this.b = a + wide;
    var whole = wide > (this.to - this.from) * 0.9999, self = this;
    if (whole) { this.a = this.from; this.b = this.to; }
    this.tracks.forEach(function (t) {
      function place(s) { return 10 * (t.left + (s - t.from) / (t.to - t.from) * (t.right - t.left)); }
      t.traces.forEach(function (trace) {
        trace.path.setAttribute("d", whole ? trace.whole : stretched(trace.list, 10 * t.left, 10 * t.right, place(self.a), place(self.b)));
      });
    });
    this.svg.querySelectorAll(".whole, .tick").forEach(function (e) { e.setAttribute("visibility", whole ? "visible" : "hidden"); });
    this.svg.querySelectorAll(".timed").forEach(function (e) { self.shift(e); });
    this.ticks(whole);
  };
  // What stands at a moment goes along, and is left out where the moment is.
  Plot.prototype.shift = function (e) {
    var x = +(e.getAttribute("x") || /^M([\d.]+)/.exec(e.getAttribute("d"))[1]);
    var t = this.from + (x - this.left) / (this.right - this.left) * (this.to - this.from);
    e.setAttribute("transform", "translate(" + (this.place(t) - x) + " 0)");
    e.setAttribute("visibility", t >= this.a && t <= this.b ? "visible" : "hidden");
  };
  Plot.prototype.ticks = function (whole) {
    if (this.own) { this.own.remove(); this.own = null; }
    if (whole) { return; }
    var model = this.svg.querySelector("text.tick"), unit = this.tracks[0].minutes ? 60 : 1, step = 0.001, k = 0, self = this;
    while ((this.b - this.a) / unit / step > 8) { step *= [2, 2.5, 2][k++ % 3]; }
    this.own = make("g", { "aria-hidden": "true" }, this.svg);
    var decimals = Math.max(0, Math.ceil(-Math.log10(step) - 1e-9));
    for (var i = Math.ceil(this.a / unit / step - 1e-9); i * step * unit <= this.b + 1e-9; i++) {
      var text = make("text", { x: self.place(i * step * unit), y: model.getAttribute("y"), "font-size": self.size, fill: model.getAttribute("fill"), "text-anchor": "middle" }, self.own);
      text.textContent = fixed(i * step, decimals) + (unit === 60 ? " min" : " s");
    }
  };
  Plot.prototype.zoom = function (by) {
    this.open();
    var middle = this.t === undefined ? (this.a + this.b) / 2 : this.t, share = (middle - this.a) / (this.b - this.a);
    var wide = Math.max(this.least, Math.min(this.to - this.from, (this.b - this.a) * by));
    this.show(middle - share * wide, middle + (1 - share) * wide);
    this.draw();
    say("shown " + this.time(this.a) + " to " + this.time(this.b));
  };
  Plot.prototype.all = function () {
    this.open();
    this.t = undefined;
    this.show(this.from, this.to);
    this.draw();
    say("all shown");
  };
  Plot.prototype.step = function (way, hundredths) {
    this.open();
    this.by = "key";
    var from = this.t === undefined ? (way > 0 ? this.a : this.b) : this.t + way * hundredths * (this.b - this.a) / 100;
    this.read(from);
  };

  Plot.prototype.key = function (e) {
    if (e.ctrlKey || e.metaKey || e.altKey) { return; }
    var self = this, far = e.shiftKey ? 10 : 1;
    var act = {
      ArrowLeft: function () { self.step(-1, far); }, ArrowRight: function () { self.step(1, far); },
      Home: function () { self.open(); self.read(self.from); }, End: function () { self.open(); self.read(self.to); },
      "+": function () { self.zoom(0.5); }, "=": function () { self.zoom(0.5); }, "-": function () { self.zoom(2); }, "−": function () { self.zoom(2); },
      Escape: function () { self.drop(); self.all(); }
    }[e.key];
    if (!act) { return; }
    this.by = "key";
    e.preventDefault();
    act();
  };
  Plot.prototype.press = function (e) {
    this.open();
    this.by = e.pointerType;
    if (e.pointerType === "mouse" && e.button === 0) {
      this.held = { t: this.timeAt(e), x: e.clientX };
      this.svg.setPointerCapture(e.pointerId);
    }
    this.read(this.timeAt(e));
  };
  Plot.prototype.move = function (e) {
    this.open();
    this.by = e.pointerType;
    this.read(this.timeAt(e));
    if (!this.held || Math.abs(e.clientX - this.held.x) < 6) { return; }
    if (!this.band) { this.band = make("rect", { "class": "band", y: this.top, height: this.bottom - this.top }, this.svg); }
    var x = this.place(this.held.t), to = this.place(this.t);
    this.band.setAttribute("x", Math.min(x, to));
    this.band.setAttribute("width", Math.abs(to - x));
  };
  Plot.prototype.release = function (e) {
    var from = this.held && this.band ? this.held.t : undefined, to = this.timeAt(e);
    this.drop();
    if (from !== undefined) {
      this.show(Math.min(from, to), Math.max(from, to));
      this.read(to);
    }
  };
  Plot.prototype.drop = function () {
    this.held = null;
    if (this.band) { this.band.remove(); this.band = null; }
  };

  var plots = [];
  document.querySelectorAll(".charts figure").forEach(function (figure) {
    if (figure.querySelector("[data-plot]") && figure.querySelector("text.tick")) { plots.push(new Plot(figure)); }
  });
  // On paper a plot is whole.
  window.addEventListener("beforeprint", function () { plots.forEach(function (p) { if (p.tracks) { p.all(); } }); });
})();
