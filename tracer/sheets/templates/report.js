(() => {
"use strict";
const NEAREST = 24, STEP = 1.5;     // times that a picture may be enlarged; by a press of a key or a button
const SWEEP = 45, SLOWEST = 20;     // seconds for all runs; figure units a second at least
const REST = 300, STILL = 1500;     // ms between two runs; for each run where nothing may move
const calm = matchMedia("(prefers-reduced-motion: reduce)");
const clamp = (value, low, high) => Math.min(Math.max(value, low), high);

/* What is seen of one picture. */
class View {
  constructor(svg) {
    this.svg = svg;
    [, , this.width, this.height] = svg.getAttribute("viewBox").split(" ").map(Number);
    this.whole();
  }

  whole() { this.look(this.width / 2, this.height / 2, this.width); }

  look(x, y, wide) {
    const w = clamp(wide, this.width / NEAREST, this.width), h = w * this.height / this.width;
    this.x = clamp(x, w / 2, this.width - w / 2);
    this.y = clamp(y, h / 2, this.height - h / 2);
    this.wide = w;
    this.svg.setAttribute("viewBox", [this.x - w / 2, this.y - h / 2, w, h].map(n => n.toFixed(3)).join(" "));
    const small = (w / this.width) ** .7;
    this.svg.style.setProperty("--small", small.toFixed(3));
    this.svg.style.setProperty("--mid", (.55 * small).toFixed(3));
    this.svg.classList.toggle("near", this.near);
  }

  get near() { return this.wide < this.width * .999; }

  /* Enlarge about a point, which stays where it is. */
  zoom(times, x = this.x, y = this.y) {
    const share = clamp(this.wide / times, this.width / NEAREST, this.width) / this.wide;
    this.look(x + (this.x - x) * share, y + (this.y - y) * share, this.wide * share);
  }

  move(dx, dy) { this.look(this.x + dx, this.y + dy, this.wide); }

  place(event) {
    return new DOMPoint(event.clientX, event.clientY).matrixTransform(this.svg.getScreenCTM().inverse());
  }

  holds(x, y) {
    return Math.abs(x - this.x) < this.wide * .47 &&
      Math.abs(y - this.y) < this.wide * .47 * this.height / this.width;
  }
}

/* The runs of one picture, cut one after the other. */
class Player {
  constructor(figure, view) {
    Object.assign(this, { figure, view, at: 0, share: 1, timer: 0 });
    this.runs = [...figure.querySelectorAll(".pane .run")];
    this.ways = this.runs.map(run => run.querySelector(".way"));
    this.bit = figure.querySelector(".bit");
    this.slider = figure.querySelector("input[type=range]");
    this.told = figure.querySelector(".told");
    this.hint = this.told.textContent;
    this.button = figure.querySelector("[data-do=play]");
  }

  get lengths() {
    this.measured ??= this.ways.map(way => way.getTotalLength());
    return this.measured;
  }

  /* Show `at` runs as cut, of the last one the `share`. */
  show(at, share = 1) {
    const changed = at !== this.at;
    this.at = clamp(at, 0, this.runs.length);
    this.share = share;
    this.figure.classList.toggle("playing", this.at > 0);
    if (this.at) turnOn(this.figure, "runs");
    this.runs.forEach((run, k) => {
      run.classList.toggle("done", k < this.at - 1);
      run.classList.toggle("now", k === this.at - 1);
      if (k !== this.at - 1 || share === 1) this.ways[k].removeAttribute("stroke-dasharray");
    });
    if (this.at) this.drawBit();
    if (!changed) return;
    this.slider.value = this.at;
    this.slider.setAttribute("aria-valuetext", `${this.at} of ${this.runs.length}`);
    this.told.textContent = this.words();
  }

  drawBit() {
    const way = this.ways[this.at - 1], length = this.lengths[this.at - 1], along = length * this.share;
    if (this.share < 1) way.setAttribute("stroke-dasharray", `${along} ${length + 1}`);
    const { x, y } = way.getPointAtLength(along);
    this.bit.setAttribute("cx", x);
    this.bit.setAttribute("cy", y);
    if (!this.view.holds(x, y)) this.view.look(x, y, this.view.wide);
  }

  words() {
    if (!this.at) return this.hint;
    const number = this.runs[this.at - 1].dataset.run, row = document.getElementById(`plunge-${number}`);
    const [start, way] = [...row.querySelectorAll("td")].map(cell => cell.textContent);
    const place = start[0].toLowerCase() + start.slice(1);
    return `Plunge ${number}, ${this.at} of ${this.runs.length} here. Down at ${place}. ${way}`;
  }

  get playing() { return this.button.getAttribute("aria-pressed") === "true"; }

  play() {
    if (this.at === this.runs.length && this.share === 1) this.show(0);
    this.press(true);
    const speed = Math.max(SLOWEST, this.lengths.reduce((a, b) => a + b, 0) / SWEEP);
    let last = performance.now(), rest = 0;
    const frame = now => {
      if (!this.playing) return;
      const ms = Math.min(now - last, 100);
      last = now;
      if (rest > 0) rest -= ms;
      else rest = this.advance(ms, speed);
      if (this.at === this.runs.length && this.share === 1) this.pause();
      else requestAnimationFrame(frame);
    };
    requestAnimationFrame(frame);
  }

  /* Go on for so many ms; return how long to rest then. */
  advance(ms, speed) {
    if (this.share === 1) {
      this.show(this.at + 1, calm.matches ? 1 : 0);
      return calm.matches ? STILL : 0;
    }
    const share = Math.min(1, this.share + speed * ms / 1000 / (this.lengths[this.at - 1] || 1));
    this.show(this.at, share);
    return share === 1 ? REST : 0;
  }

  pause() { this.press(false); }

  /* What is told is read out only where the user goes from run to run. */
  press(down) {
    this.button.setAttribute("aria-pressed", down);
    this.button.textContent = down ? "Pause" : "Play the runs";
    this.told.setAttribute("aria-live", down ? "off" : "polite");
  }

  step(by) {
    this.pause();
    this.show(this.at + by);
  }
}

const looks = new Map();

function turnOn(figure, layer) { figure.querySelector(`.show-${layer}`).checked = true; }

function enliven(figure) {
  const view = new View(figure.querySelector("svg.art")), pane = figure.querySelector(".pane");
  const slider = figure.querySelector("input[type=range]"), player = slider && new Player(figure, view);
  looks.set(figure, { view, player });
  figure.querySelector(".tools").hidden = false;
  pane.tabIndex = 0;
  pane.setAttribute("role", "group");
  pane.setAttribute("aria-label", "Picture: plus and minus bring it closer and farther, arrows move it, 0 shows all");
  const does = {
    closer: () => view.zoom(STEP),
    farther: () => view.zoom(1 / STEP),
    whole: () => view.whole(),
    play: () => player.playing ? player.pause() : player.play(),
    back: () => player.step(-1),
    on: () => player.step(1),
  };
  figure.querySelectorAll("[data-do]").forEach(button => button.addEventListener("click", does[button.dataset.do]));
  slider?.addEventListener("input", () => { player.pause(); player.show(Number(slider.value)); });
  pane.addEventListener("keydown", event => keyed(event, view));
  byHand(view);
}

function keyed(event, view) {
  if (event.ctrlKey || event.altKey || event.metaKey) return;
  const far = view.wide / 6;
  const does = {
    "+": () => view.zoom(STEP), "=": () => view.zoom(STEP), "-": () => view.zoom(1 / STEP), "0": () => view.whole(),
  };
  const moves = {
    ArrowLeft: () => view.move(-far, 0), ArrowRight: () => view.move(far, 0),
    ArrowUp: () => view.move(0, -far), ArrowDown: () => view.move(0, far),
  };
  const act = does[event.key] || (view.near && moves[event.key]);
  if (!act) return;
  event.preventDefault();
  act();
}

/* Wheel with Ctrl, two presses, and dragging. */
function byHand(view) {
  const svg = view.svg;
  let held = null, moved = false;
  svg.addEventListener("wheel", event => {
    if (!event.ctrlKey) return;
    event.preventDefault();
    const { x, y } = view.place(event);
    view.zoom(Math.exp(-event.deltaY / 300), x, y);
  }, { passive: false });
  svg.addEventListener("dblclick", event => {
    const { x, y } = view.place(event);
    view.zoom(event.shiftKey ? 1 / STEP : STEP, x, y);
  });
  svg.addEventListener("pointerdown", event => {
    held = view.near && event.button === 0 ? view.place(event) : null;
    moved = false;
  });
  svg.addEventListener("pointermove", event => {
    if (!held) return;
    if (!(event.buttons & 1)) { held = null; return; }
    const { x, y } = view.place(event);
    if (!moved && Math.hypot(x - held.x, y - held.y) < view.wide / 150) return;
    moved = true;
    svg.setPointerCapture(event.pointerId);
    view.move(held.x - x, held.y - y);
  });
  svg.addEventListener("pointerup", () => { held = null; });
  svg.addEventListener("pointercancel", () => { held = null; });
  svg.addEventListener("dragstart", event => event.preventDefault());
  svg.addEventListener("click", event => { if (moved) event.preventDefault(); moved = false; }, true);
}

/* Bring what a link leads to into sight: a finding, a stroke, a run, wood that breaks out. */
function goTo(id) {
  if (id === "picture") looks.forEach(look => look.view.whole());
  const target = document.getElementById(id), figure = target?.closest("figure.look");
  if (!figure) return;
  const layer = [...target.closest("[class*=of-]").classList].find(name => name.startsWith("of-")).slice(3);
  const { view, player } = looks.get(figure);
  turnOn(figure, layer);
  player?.pause();
  player?.show(0);
  const box = target.getBBox(), wide = Math.max(box.width, box.height * view.width / view.height);
  view.look(box.x + box.width / 2, box.y + box.height / 2, Math.max(2 * wide, view.width / 5));
  requestAnimationFrame(() => figure.querySelector(".pane").scrollIntoView({ block: "center" }));
}

document.documentElement.classList.add("scripted");
document.querySelectorAll("figure.look").forEach(enliven);
document.addEventListener("click", event => {
  const link = event.target.closest?.('a[href^="#"]');
  if (link) goTo(link.getAttribute("href").slice(1));
});
addEventListener("beforeprint", () => {
  looks.forEach(({ view, player }) => {
    player?.pause();
    player?.show(0);
    view.whole();
  });
  const folded = document.querySelectorAll("details:not([open], .long)");
  folded.forEach(one => { one.open = true; });
  addEventListener("afterprint", () => folded.forEach(one => { one.open = false; }), { once: true });
});
if (location.hash) goTo(decodeURIComponent(location.hash.slice(1)));
})();
