"use strict";
// Moves the cursor along a run. All that is shown was worked out beforehand and stands in the data;
// this looks it up by tick, and lets what a timer has left fall between two entries.
{
  const data = JSON.parse(document.getElementById("data").textContent);
  const by = (id) => document.getElementById(id);
  const svg = "http://www.w3.org/2000/svg";
  const SECOND = 1e9;
  const shownNow = new Map();
  const things = data.things.map((ids) => ids.map(by).filter(Boolean).map(parts));
  let tale = 0;
  let tick = 0;
  let panels = [];
  let lines = [];
  let rows = [];
  let plumb = null;

  // --- times, as report/clock.py writes them ---

  function decimal(ns, places) {
    const text = String(ns % SECOND).padStart(9, "0").slice(0, places);
    return String(Math.floor(ns / SECOND)) + (places ? "." + text : "");
  }

  function span(ticks) {
    const ns = ticks * data.tick;
    const whole = Math.floor(ns / SECOND);
    const [hours, minutes] = [Math.floor(whole / 3600), Math.floor(whole / 60) % 60];
    const words = [];
    if (hours) words.push(hours + " h");
    if (minutes) words.push(minutes + " min");
    const rest = ns - (hours * 3600 + minutes * 60) * SECOND;
    if (rest || !words.length) words.push(decimal(rest, 9).replace(/\.?0+$/, "") + " s");
    return words.join(" ");
  }

  function moment(at) {
    return at * data.tick < 60 * SECOND ? decimal(at * data.tick, data.places) + " s" : span(at);
  }

  // --- looking up ---

  // The last place whose value is not above `wanted`, in a list that rises; each entry is `step` long.
  function place(list, wanted, step) {
    let low = 0;
    let high = list.length / step;
    while (high - low > 1) {
      const middle = (low + high) >> 1;
      if (list[middle * step] <= wanted) low = middle;
      else high = middle;
    }
    return low * step;
  }

  function parts(element) {
    return {
      element,
      words: element.matches("td") ? element : element.querySelector(".state, .amount, .now"),
      strip: element.querySelector(".strip"),
    };
  }

  function show(one, course, at) {
    const found = place(course, at, 2);
    const look = data.looks[course[found + 1]];
    const [classes, words, first, full, falls] = look;
    const left = falls ? Math.max(0, first - (at - course[found])) : first;
    const before = shownNow.get(one.element);
    if (before && before.look === look && before.left === left) return;
    if (!before || before.look !== look) {
      if (before && before.look[0]) one.element.classList.remove(...before.look[0].split(" "));
      if (classes) one.element.classList.add(...classes.split(" "));
    }
    shownNow.set(one.element, { look, left });
    if (one.words) one.words.textContent = words.replace("{}", span(left));
    if (one.strip) one.strip.style.transform = full ? `scaleX(${left / full})` : "";
  }

  // --- the cursor ---

  function go(wanted) {
    const run = data.tales[tale];
    tick = Math.max(0, Math.min(run.length - 1, wanted));
    run.courses.forEach((course, at) => things[at].forEach((one) => show(one, course, tick)));
    turnTo(run);
    run.rows.forEach((course, at) => rows[at] && show(rows[at], course, tick));
    tell(run);
  }

  // Show the panel of the time diagram that holds the tick, and no other.
  function turnTo(run) {
    const wanted = run.ends.findIndex((end) => tick < end);
    const panel = panels[wanted];
    if (!plumb || plumb.panel !== panel) {
      if (plumb) plumb.panel.hidden = true;
      panel.hidden = false;
      const which = panel.parentElement.querySelector(".which");
      if (which) which.textContent = `Part ${wanted + 1} of ${panels.length}; it follows the cursor.`;
      hang(panel);
    }
    plumb.move(x(plumb, tick));
  }

  // Hang a plumb line over a panel: a rider on the rule, a bob below.
  function hang(panel) {
    if (plumb) plumb.line.remove();
    const drawing = panel.querySelector("svg");
    const width = Number(drawing.getAttribute("width"));
    drawing.style.minWidth = `${width}px`; // a little larger is fine, smaller is not
    drawing.style.maxWidth = `${1.35 * width}px`;
    const group = panel.querySelector("g.panel");
    const bottom = drawing.viewBox.baseVal.height;
    const line = draw("g", { class: "cursor" });
    line.append(
      draw("path", { class: "plumb", d: `M0 60V${bottom - 22}` }),
      draw("path", { class: "rider", d: "M-7 56h14v8L0 69L-7 64Z" }),
      draw("path", { class: "rider", d: `M-4 ${bottom - 24}h8l1 9L0 ${bottom - 4}L-5 ${bottom - 15}Z` }),
    );
    drawing.append(line);
    const numbers = (name) => group.dataset[name].split(" ").map(Number);
    plumb = {
      line,
      panel,
      drawing,
      ticks: numbers("ticks"),
      places: numbers("places"),
      move: (at) => line.setAttribute("transform", `translate(${at})`),
    };
    rows = [...panel.querySelectorAll("g.row")].map(parts);
  }

  // Put the marks of the why beside the names of the parts that they are about.
  function tag() {
    document.querySelectorAll(".wiring .tag").forEach((one) => one.remove());
    // The last mark stands next to the name, so that they read from left to right.
    for (const line of [...lines].reverse()) {
      for (const id of line.dataset.on.split(" ").filter(Boolean)) {
        const part = by(id);
        const body = part.querySelector(".body");
        const before = 18 * part.querySelectorAll(".tag").length;
        const x = Number(body.getAttribute("x")) - 19 - before;
        const y = Number(body.getAttribute("y")) - 22;
        const one = draw("g", { class: "tag", transform: `translate(${x} ${y})` });
        const label = draw("text", { x: 8, y: 12 });
        label.textContent = line.querySelector(".tag").textContent;
        one.append(draw("path", { class: "point", d: "M0 0h16v13L8 19L0 13Z" }), label);
        part.append(one);
      }
    }
  }

  function draw(name, attributes) {
    const one = document.createElementNS(svg, name);
    for (const [key, value] of Object.entries(attributes)) one.setAttribute(key, value);
    return one;
  }

  function between(value, from, to) {
    const at = Math.min(place(from, value, 1), from.length - 2);
    const share = (value - from[at]) / (from[at + 1] - from[at]);
    return to[at] + share * (to[at + 1] - to[at]);
  }

  const x = (on, at) => between(at, on.ticks, on.places);

  function tell(run) {
    const at = place(run.ticks, tick, 1);
    const exact = run.ticks[at] === tick;
    const now = moment(tick);
    const count = `${exact ? "" : "after "}event ${at + 1} of ${run.ticks.length}`;
    by("time").textContent = now;
    by("count").textContent = count;
    by("what").replaceChildren(...(exact ? happenings(run.said[at]) : ["nothing changes"]));
    const cursor = by("cursor");
    cursor.setAttribute("aria-valuemax", run.length - 1);
    cursor.setAttribute("aria-valuenow", tick);
    cursor.setAttribute("aria-valuetext", `${now}, ${count}: ${by("what").textContent}`);
    const last = Math.max(1, run.ticks.length - 1);
    const beyond = exact || at === last ? 0 : 0.5;
    by("knob").style.left = `${(100 * (at + beyond)) / last}%`;
    for (const line of lines) {
      line.classList.toggle("now", Number(line.dataset.at) === tick);
    }
  }

  // A list holds three entries for each thing that happens: its kind, what it is, and what by.
  function happenings(list) {
    const found = [];
    for (let at = 0; at < list.length; at += 3) {
      const part = document.createElement("span");
      part.className = list[at];
      const reasons = data.words[list[at + 2]];
      part.textContent = data.words[list[at + 1]] + (reasons ? ", " + reasons : "");
      found.push(...(found.length ? ["; "] : []), part);
    }
    return found.length ? found : [tick ? "only wires between parts change" : "the start"];
  }

  function step(way) {
    const ticks = data.tales[tale].ticks;
    const at = place(ticks, tick, 1);
    const back = ticks[at] === tick ? at - 1 : at;
    go(ticks[Math.max(0, Math.min(ticks.length - 1, way < 0 ? back : at + 1))]);
  }

  function choose(number) {
    tale = number;
    for (const one of document.querySelectorAll(".of-tale")) {
      one.hidden = Number(one.dataset.of) !== number;
    }
    const run = data.tales[number];
    by("stop").hidden = run.stop === null;
    by("stop").textContent = run.broken ? "to the ×" : "to the goal";
    by("stop").classList.toggle("to-break", run.broken);
    panels = [...document.querySelectorAll(`.time-of[data-of="${number}"] .panel-of`)];
    panels.forEach((one) => (one.hidden = true));
    lines = [...document.querySelectorAll(`.why[data-of="${number}"] li`)];
    if (plumb) plumb.line.remove();
    plumb = null;
    tag();
    go(run.stop === null ? 0 : run.stop);
  }

  // --- hands ---

  const keys = {
    ArrowLeft: (shift) => (shift ? go(tick - 1) : step(-1)),
    ArrowRight: (shift) => (shift ? go(tick + 1) : step(1)),
    Home: () => go(0),
    End: () => go(data.tales[tale].length - 1),
    x: () => data.tales[tale].stop !== null && go(data.tales[tale].stop),
  };

  by("story").addEventListener("keydown", (event) => {
    if (event.altKey || event.ctrlKey || event.metaKey) return;
    const marks = data.tales[tale].marks;
    const mark = /^[1-9]$/.test(event.key) && marks[Number(event.key) - 1];
    if (event.target.closest(".scroll") && event.key.startsWith("Arrow")) return;
    if (keys[event.key]) keys[event.key](event.shiftKey);
    else if (typeof mark === "number") go(mark);
    else return;
    event.preventDefault();
  });

  by("back").addEventListener("click", () => step(-1));
  by("on").addEventListener("click", () => step(1));
  by("stop").addEventListener("click", () => keys.x());

  document.addEventListener("click", (event) => {
    const link = event.target.closest("a[data-tale], a[data-tick]");
    if (!link) return;
    if (link.dataset.tale !== undefined) return choose(Number(link.dataset.tale));
    event.preventDefault();
    return go(Number(link.dataset.tick));
  });

  // Where the pointer is on the track: the nearest event.
  function onTrack(event) {
    const box = by("cursor").getBoundingClientRect();
    const share = Math.max(0, Math.min(1, (event.clientX - box.left) / box.width));
    const ticks = data.tales[tale].ticks;
    go(ticks[Math.round(share * (ticks.length - 1))]);
  }

  // Where it is on the time diagram: the tick there.
  function onDiagram(event) {
    if (!plumb || !plumb.panel.contains(event.target)) return;
    const point = new DOMPoint(event.clientX, 0).matrixTransform(
      plumb.drawing.getScreenCTM().inverse(),
    );
    const { ticks, places } = plumb;
    const inside = Math.max(places[0], Math.min(places[places.length - 1], point.x));
    go(Math.min(Math.round(between(inside, places, ticks)), ticks[ticks.length - 1] - 1));
  }

  for (const [target, follow] of [
    [by("cursor"), onTrack],
    ...[...document.querySelectorAll(".time-of")].map((one) => [one, onDiagram]),
  ]) {
    target.addEventListener("pointerdown", (event) => {
      if (event.button) return;
      follow(event);
      by("cursor").focus({ preventScroll: true });
      event.preventDefault();
    });
    target.addEventListener("pointermove", (event) => event.buttons === 1 && follow(event));
  }

  choose(0);
}
