"use strict";
/* What the pages do with script beside what they do without: they show a new answer at once, lead through a list one
   stop at a time, and say when the program is not there any more. Nothing is calculated here. */
(function () {
  document.documentElement.classList.add("scripted-on");
  const one = (q, from) => (from || document).querySelector(q);
  const all = (q, from) => Array.prototype.slice.call((from || document).querySelectorAll(q));
  all(".scripted").forEach(e => { e.hidden = false; });
  const link = one("#link"), here = one("nav [aria-current]");
  if (here) here.closest("ul").scrollLeft = here.offsetLeft - 24; /* where the pages' names do not all fit */

  const say = (text, button, act) => {
    if (!link) return;
    link.hidden = !text;
    link.textContent = text || "";
    if (text && button) {
      const b = document.createElement("button");
      b.type = "button"; b.textContent = button; b.addEventListener("click", act);
      link.append(" ", b);
    }
  };

  let dragging = false; /* the bed stays as it is under the finger */

  /* Takes the parts of a page that are alive out of an answer. */
  const put = text => {
    const page = new DOMParser().parseFromString(text, "text/html");
    all("[data-live]").forEach(old => {
      const now = page.getElementById(old.id);
      if (now && !(dragging && old.id === "bed") && now.innerHTML !== old.innerHTML) {
        const open = all("details", old).map(d => d.open);
        old.innerHTML = now.innerHTML;
        all("details", old).forEach((d, i) => { d.open = !!open[i]; });
      }
    });
    all("a[href*='?']", page).forEach(a => {
      const mine = all("nav a").filter(n => n.pathname === new URL(a.getAttribute("href"), location).pathname)[0];
      if (mine && a.closest("nav")) mine.setAttribute("href", a.getAttribute("href"));
    });
    return page;
  };

  /* One request at a time; of those that come meanwhile the last is made then. */
  let under = false, waiting = null;
  const ask = (address, whole) => {
    if (under) { waiting = [address, whole]; return; }
    under = true;
    fetch(address, { credentials: "same-origin" }).then(r => {
      if (!r.ok) throw new Error(String(r.status));
      return r.text().then(text => {
        if (!waiting) {
          const page = put(text);
          if (whole) all("#choices input[name], #choices select").forEach(i => {
            const now = page.getElementById(i.id);
            if (now) i.value = now.tagName === "SELECT" ? (one("[selected]", now) || now.options[0]).value : now.getAttribute("value");
          });
          /* some browsers take only so many of these in a while */
          if (!dragging) try { history.replaceState(null, "", r.url); } catch (e) { }
          sliders(); grips();
        }
        say("");
      });
    }).catch(() => say("Not connected: this shows what was last answered."))
      .then(() => { under = false; if (waiting) { const w = waiting; waiting = null; ask(w[0], w[1]); } });
  };

  const form = one("#choices");
  const address = more => {
    const q = new URLSearchParams(new FormData(form));
    all("[name]", form).forEach(i => { if (!i.value) q.delete(i.name); });
    if (more) q.set("step", more);
    return form.getAttribute("action") + "?" + q;
  };
  const number = s => { const m = /^\s*(-?[0-9]*\.?[0-9]+)\s*$/.exec(s); return m ? +m[1] : null; };
  const sliders = () => all("input[data-for]").forEach(r => {
    const n = number(one("#" + r.dataset.for).value);
    if (n !== null) r.value = n;
  });
  if (form) {
    let soon;
    const later = wait => { clearTimeout(soon); soon = setTimeout(() => ask(address()), wait); };
    let pressed = null; /* older browsers do not say which button it was */
    form.addEventListener("click", e => { pressed = e.target.closest("button"); });
    form.addEventListener("submit", e => {
      e.preventDefault();
      const b = e.submitter || pressed;
      pressed = null;
      if (b && b.name === "step") ask(address(b.value), true); else ask(address(), true);
    });
    form.addEventListener("input", e => {
      const r = e.target;
      if (r.dataset.for) { one("#" + r.dataset.for).value = String(+(+r.value).toFixed(4)); later(30); } else { sliders(); later(250); }
    });
    form.addEventListener("change", e => {
      if (e.target.name === "feature") location.assign(address()); else later(0); /* another form belongs to it */
    });
    sliders();
  }

  /* The part is dragged along the bed. */
  function grips() {
    const bed = one("#bed .bed");
    if (!bed || !form || bed.dataset.grip) return;
    /* A length is dragged by its two ends, a job's part by its own end. */
    const part = one(".part", bed), from = one("#at") || one("#from"), to = one("#to");
    if (!part || !from) return;
    bed.dataset.grip = "1"; part.classList.add("held");
    const d = bed.dataset, left = +d.left, right = +d.right, low = +d.from, high = +d.to;
    const at = x => { const b = bed.getBoundingClientRect(); return low + ((x - b.left) / b.width - left) / (right - left) * (high - low); };
    let start = null;
    bed.addEventListener("pointerdown", e => {
      const a = number(from.value || d.start), b = to ? number(to.value) : +d.end;
      if (a === null || b === null) return;
      start = { at: at(e.clientX), a: a, b: b, by: 0, x: all(".part, .stock", bed).map(p => [p, +p.getAttribute("x")]) };
      dragging = true;
      if (bed.setPointerCapture) bed.setPointerCapture(e.pointerId);
      e.preventDefault();
    });
    const step = +d.step;
    bed.addEventListener("pointermove", e => {
      if (!start) return;
      const by = Math.round((at(e.clientX) - start.at) / step) * step;
      const a = Math.max(low, Math.min(high - (start.b - start.a), start.a + by));
      if (a - start.a === start.by) return;
      start.by = a - start.a;
      from.value = String(+a.toFixed(4));
      if (to) to.value = String(+(a + start.b - start.a).toFixed(4));
      const scale = (right - left) * bed.viewBox.baseVal.width / (high - low);
      start.x.forEach(p => p[0].setAttribute("x", p[1] + start.by * scale));
      sliders();
      ask(address());
    });
    const end = () => { if (start) { start = null; dragging = false; ask(address()); } };
    bed.addEventListener("pointerup", end); bed.addEventListener("pointercancel", end);
  }
  grips();

  /* The number pad of Measure, and a tap into the picture of places. */
  const typed = one(".reading");
  if (one(".padded")) one(".padded").inputMode = "none"; /* the telephone's own keys would cover these */
  all("[data-key]").forEach(b => b.addEventListener("click", () => {
    const k = b.dataset.key;
    if (k === "⌫") typed.value = typed.value.slice(0, -1); else typed.value += k === "␣" ? " " : k;
  }));
  const places = one("#places .figure");
  if (places) places.addEventListener("click", e => {
    const b = places.getBoundingClientRect(), d = places.dataset;
    const x = +d.left + ((e.clientX - b.left) / b.width - d.x0) / (d.x1 - d.x0) * (d.right - d.left);
    const near = all("#starts a").sort((p, q) => Math.abs(p.dataset.at - x) - Math.abs(q.dataset.at - x))[0];
    if (near) location.assign(near.href);
  });

  /* At the machine: one stop at a time. */
  const cards = all(".card");
  if (cards.length && one("#next")) {
    document.body.classList.add("one");
    let now = Math.min(cards.length - 1, Math.max(0, parseInt(location.hash.replace("#stop-", ""), 10) || 0));
    const show = by => {
      now = Math.max(0, Math.min(cards.length - 1, now + by));
      cards.forEach((c, i) => c.classList.toggle("shown", i === now));
      one("#back").disabled = now === 0;
      one("#next").disabled = now === cards.length - 1;
      one("#next").textContent = now === 0 ? "Read: next" : now === cards.length - 1 ? "The end" : "Done: next";
      history.replaceState(null, "", "#stop-" + now);
      if (by) cards[now].focus({ preventScroll: true });
    };
    one("#back").addEventListener("click", () => show(-1));
    one("#next").addEventListener("click", () => show(1));
    one("#cards").addEventListener("click", e => {
      if (e.target.closest("a, button")) return;
      show(e.clientX < innerWidth / 2 ? -1 : 1);
    });
    document.addEventListener("keydown", e => {
      if (e.altKey || e.ctrlKey || e.metaKey) return;
      const forth = { ArrowRight: 1, ArrowDown: 1, PageDown: 1, ArrowLeft: -1, ArrowUp: -1, PageUp: -1 }[e.key];
      if (forth) { e.preventDefault(); show(forth); }
    });
    show(0);

    const awake = one("#awake");
    const hold = () => navigator.wakeLock.request("screen").then(() => { awake.textContent = "The screen stays on."; })
      .catch(() => { awake.textContent = "Set the phone so that its screen stays on: display, screen off after, at the longest."; });
    if (navigator.wakeLock) {
      hold();
      document.addEventListener("visibilitychange", () => { if (document.visibilityState === "visible") hold(); });
    } else {
      awake.textContent = "This browser cannot keep the screen on here. Set the phone: display, screen off after, at the longest.";
    }

    const was = document.body.dataset.state;
    const look = () => fetch("/state" + (location.search || "?") + "&at=machine", { credentials: "same-origin", cache: "no-store" })
      .then(r => { if (!r.ok) throw new Error(); return r.json(); })
      .then(j => {
        if (j.state === was) { say(""); return; }
        say("The profile has changed since. This is still the list from before.", "Show the new list", () => { location.hash = "#stop-0"; location.reload(); });
      })
      .catch(() => say("Not connected. The list stays as it is."))
      .then(() => setTimeout(look, 5000));
    setTimeout(look, 3000);
  }
})();
