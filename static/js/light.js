// The page of a room's light: scenes, sliders, the wall to look from, two scenes side by side, the map.

import { aspectOf, fetchBasis, lightOf, mix, paint, planeOf, stageOf, weightsOf } from "./light-core.js";
import { drawMap, figuresOf, valueAt } from "./light-map.js";

const FINE_PX = 1440, QUICK_PX = 440, LEAST_PX = 200, FADE_MS = 700, REST_MS = 140, USUAL_K = 2900;
// A frame that takes longer makes the next smaller; a row of frames with this much to spare makes it larger again.
const FRAME_MS = 14, SMALLER = 0.75, SPARE = 0.8, EASY_FRAMES = 12;

const place = document.getElementById("light-stage");
const still = matchMedia("(prefers-reduced-motion: reduce)");

if (place) start().catch(showStill);

// Without what the picture needs, the server's own picture takes its place.
function showStill() {
  document.getElementById("light-wait").hidden = true;
  for (const fallen of document.querySelectorAll("noscript")) {
    const held = new DOMParser().parseFromString(fallen.textContent, "text/html").body;
    fallen.after(...held.childNodes);
  }
}

async function start() {
  const wait = document.getElementById("light-wait");
  wait.hidden = false;
  const values = JSON.parse(document.getElementById("light-values").textContent);
  const basis = await fetchBasis(place.dataset.basis);
  wait.hidden = true;
  const page = new LightPage(basis, values);
  page.listen();
  page.settle();
  window.gloamingLight = { basis, page, lightOf, mix, paint, stageOf, weightsOf };
  place.dataset.ready = "yes";
}

class LightPage {
  constructor(basis, values) {
    Object.assign(this, { basis, values, view: values.view, scene: values.scene, other: values.other });
    this.levels = this.of(this.scene);
    this.canvas = document.getElementById("light-picture");
    this.map = document.getElementById("light-map");
    this.stages = new Map();
    this.mark = null;
    this.quick = QUICK_PX;
    this.easy = 0;
    this.canvas.hidden = false;
    this.map.hidden = false;
    document.getElementById("light-sliders").hidden = false;
    this.divide = document.getElementById("light-divide");
    this.compare();
  }

  of(scene) {
    return structuredClone(this.values.scenes[scene] ?? {});
  }

  weights(levels) {
    return weightsOf(this.basis, this.values.controls, levels, this.values.curves);
  }

  // A tall room is drawn less wide, so that every picture has about as many pixels.
  width(most) {
    return Math.round(Math.min(most, most * Math.sqrt(aspectOf(this.basis, this.view) / 1.2)));
  }

  key(most) {
    return `${this.view} ${this.width(most)}`;
  }

  stage(most) {
    const key = this.key(most);
    if (!this.stages.has(key)) {
      if (this.stages.size > 5) this.stages.clear();
      this.stages.set(key, stageOf(this.basis, this.view, this.width(most)));
    }
    return this.stages.get(key);
  }

  // ---------- Drawing ----------

  // While it moves, a picture keeps within a frame: where the machine is slow, by fewer pixels.
  drawQuick(weights) {
    const begun = performance.now();
    const isKnown = this.stages.has(this.key(this.quick));
    this.draw(this.quick, weights);
    if (isKnown) this.pace(performance.now() - begun);
  }

  // Larger again only where the larger picture would fit as well: pixels cost their share of the frame.
  pace(taken) {
    const larger = Math.min(QUICK_PX, Math.round(this.quick / SMALLER));
    if (taken > FRAME_MS) {
      this.quick = Math.max(LEAST_PX, Math.round(this.quick * SMALLER));
      this.easy = 0;
    } else if (larger > this.quick && taken * (larger / this.quick) ** 2 < FRAME_MS * SPARE) {
      this.easy += 1;
      if (this.easy >= EASY_FRAMES) {
        this.quick = larger;
        this.easy = 0;
      }
    } else this.easy = 0;
  }

  draw(width, weights) {
    const stage = this.stage(width);
    const image = paint(this.basis, stage, weights);
    if (this.canvas.width !== image.width || this.canvas.height !== image.height) {
      Object.assign(this.canvas, { width: image.width, height: image.height });
    }
    const context = this.canvas.getContext("2d");
    context.putImageData(image, 0, 0);
    if (!this.other) return;
    const cut = Math.round((image.width * Number(this.divide.value)) / 100);
    const beside = paint(this.basis, stage, this.weights(this.of(this.other)));
    context.putImageData(beside, 0, 0, cut, 0, image.width - cut, image.height);
    context.fillStyle = "#ffffff";
    context.fillRect(cut - 1, 0, 2, image.height);
  }

  drawPlan(weights) {
    const { rows, columns, head } = this.basis;
    this.plane = planeOf(this.basis, weights, this.values.maintenance);
    const { bands, stops, standing } = this.values;
    drawMap(this.map, this.plane, { rows, columns, size: head.size_m, bands, stops, standing, mark: this.mark });
    for (const [name, value] of Object.entries(figuresOf(this.plane))) {
      const shown = document.querySelector(`[data-figure="${name}"]`);
      if (shown) shown.textContent = value.toFixed(name === "uniformity" ? 2 : value < 10 ? 1 : 0);
    }
  }

  // While something moves: small and at once. At rest: fine, with the map.
  moving(weights = this.weights(this.levels)) {
    cancelAnimationFrame(this.frame);
    clearTimeout(this.resting);
    this.frame = requestAnimationFrame(() => this.drawQuick(weights));
    this.resting = setTimeout(() => this.settle(), REST_MS);
  }

  settle() {
    const weights = this.weights(this.levels);
    this.draw(FINE_PX, weights);
    this.drawPlan(weights);
  }

  fadeTo(levels) {
    const from = this.weights(this.levels), to = this.weights(levels);
    this.levels = levels;
    cancelAnimationFrame(this.fading);
    clearTimeout(this.resting);
    if (still.matches) {
      this.settle();
      return;
    }
    const begun = performance.now();
    const step = (now) => {
      const share = Math.min(1, (now - begun) / FADE_MS);
      const eased = share * share * (3 - 2 * share);
      if (share < 1) {
        this.drawQuick(from.map((weight, number) => weight + eased * (to[number] - weight)));
        this.fading = requestAnimationFrame(step);
      } else this.settle();
    };
    this.fading = requestAnimationFrame(step);
  }

  // ---------- What people do ----------

  play(link) {
    this.scene = link.dataset.scene;
    const levels = this.of(this.scene);
    for (const each of place.querySelectorAll("[data-scene]")) each.removeAttribute("aria-current");
    link.setAttribute("aria-current", "true");
    for (const row of place.querySelectorAll("[data-row]")) this.set(row, levels[row.dataset.row]);
    this.offer();
    const name = link.textContent.trim();
    const words = this.values.words?.[this.scene] || name;
    document.getElementById("light-words").textContent = words;
    this.canvas.setAttribute("aria-label", `${this.canvas.dataset.room}, ${name}. ${words}`);
    for (const field of place.querySelectorAll("[name=scene]")) field.value = this.scene;
    this.fadeTo(levels);
    this.remember();
  }

  show(slider, value) {
    slider.value = value;
    slider.previousElementSibling.textContent = `${slider.value} ${slider.dataset.unit}`;
  }

  // All sliders of a circuit as a scene has them.
  set(row, [share, kelvin, colour] = [0, 0, ""]) {
    for (const slider of row.querySelectorAll("[type=range]")) {
      if (slider.dataset.circuit) this.show(slider, Math.round(100 * share));
      else if (slider.dataset.white) this.show(slider, kelvin || USUAL_K);
    }
    const hue = row.querySelector("[data-hue]");
    if (!hue) return;
    hue.value = colour;
    row.querySelectorAll("[data-channel]").forEach((slider, number) => {
      const part = parseInt((colour || "ffffff").slice(2 * number, 2 * number + 2), 16);
      this.show(slider, Math.round(part / 2.55));
    });
  }

  turn(slider) {
    const row = slider.closest("[data-row]"), circuit = row.dataset.row;
    const [share, kelvin, colour] = this.levels[circuit] ?? [0, 0, ""];
    const { dataset, value } = slider;
    if (dataset.circuit) this.levels[circuit] = [Number(value) / 100, kelvin, colour];
    else if (dataset.white) this.levels[circuit] = [share, Number(value), colour];
    else this.levels[circuit] = [share, kelvin, this.hue(row)];
    this.show(slider, value);
    this.moving();
  }

  // Six digits from the three colour sliders of a circuit.
  hue(row) {
    const parts = [...row.querySelectorAll("[data-channel]")].map((slider) => Math.round(2.55 * slider.value));
    const hue = parts.map((part) => part.toString(16).padStart(2, "0")).join("");
    row.querySelector("[data-hue]").value = hue;
    return hue;
  }

  whiten(row) {
    const [share, kelvin] = this.levels[row.dataset.row] ?? [0, 0];
    this.levels[row.dataset.row] = [share, kelvin, ""];
    this.set(row, this.levels[row.dataset.row]);
    this.moving();
  }

  // Levels are kept in a scene of the room; not in 'all on' and 'all off'.
  offer() {
    const form = document.getElementById("light-keep");
    form.hidden = !form.dataset.scenes.split(" ").includes(this.scene);
    const link = place.querySelector(`[data-scene="${this.scene}"]`);
    document.getElementById("light-keep-name").textContent = link?.textContent.trim() ?? "";
  }

  compare() {
    document.getElementById("light-divide-field").hidden = !this.other;
  }

  remember() {
    const address = new URL(location.href);
    for (const name of ["scene", "view", "other"]) {
      if (this[name]) address.searchParams.set(name, this[name]);
      else address.searchParams.delete(name);
    }
    history.replaceState(null, "", address);
  }

  read(x, y) {
    this.mark = [Math.min(1, Math.max(0, x)), Math.min(1, Math.max(0, y))];
    const { rows, columns, head } = this.basis;
    const lux = valueAt(this.plane, rows, columns, ...this.mark);
    const said = document.getElementById("light-reading");
    said.textContent = said.dataset.words
      .replace("{x}", (this.mark[0] * head.size_m[0]).toFixed(1))
      .replace("{y}", (this.mark[1] * head.size_m[1]).toFixed(1))
      .replace("{lx}", lux.toFixed(lux < 10 ? 1 : 0));
    this.drawPlan(this.weights(this.levels));
  }

  listen() {
    place.addEventListener("click", (event) => {
      const plain = event.target.closest("[data-plain]");
      if (plain) this.whiten(plain.closest("[data-row]"));
      const link = event.target.closest("[data-scene]");
      if (!link || event.metaKey || event.ctrlKey) return;
      event.preventDefault();
      this.play(link);
    });
    place.addEventListener("input", (event) => {
      if (event.target.closest("[data-row]")) this.turn(event.target);
      else if (event.target === this.divide) this.moving();
    });
    document.getElementById("light-from").addEventListener("change", (event) => {
      this.view = event.target.value;
      document.querySelector("#light-keep [name=view]").value = this.view;
      this.settle();
      this.remember();
    });
    document.getElementById("light-other").addEventListener("change", (event) => {
      this.other = event.target.value;
      this.compare();
      this.settle();
      this.remember();
    });
    place.querySelector(".light-levels").addEventListener("submit", (event) => event.preventDefault());
    this.map.addEventListener("click", (event) => {
      const box = this.map.getBoundingClientRect();
      this.read((event.clientX - box.left) / box.width, 1 - (event.clientY - box.top) / box.height);
    });
    this.map.addEventListener("keydown", (event) => {
      const steps = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] }[event.key];
      if (!steps) return;
      event.preventDefault();
      const [x, y] = this.mark ?? [0.5, 0.5];
      this.read(x + steps[0] / this.basis.columns, y + steps[1] / this.basis.rows);
    });
    addEventListener("resize", () => this.moving());
  }
}
