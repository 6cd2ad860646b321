"use strict";
/* What the pages do with script beside what they do without: they show a new answer at once, lead through a list one
   stop at a time, and say when the program is not there any more. Nothing is calculated here. */
(function () {
  document.documentElement.classList.add("scripted-on");
  const one = (q, from) => (from || document).querySelector(q);
  const all = (q, from) => Array.prototype.slice.call((from || document).querySelectorAll(q));
  const link = one("#link");

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

  /* Why a file cannot be read. What was typed stays where it is until it can. */
  const told = broken => all("p", broken).map(p => p.textContent).join(" ");

  /* One request at a time; of those that come meanwhile the last is made then. */
  let under = false, waiting = null;
  const ask = (address, whole) => {
    if (under) { waiting = [address, whole]; return; }
    under = true;
    let unread = null;
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
          unread = one("#broken", page);
        }
        say(unread ? told(unread) + " This shows what was last answered." : "");
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

  /* The number pad of Measure types into the field that is in sight, or of several the one that was touched last. */
  let typed = null;
  const padded = ".panel .reading, [data-padded]", fields = () => all(padded).filter(e => e.offsetParent);
  const field = () => { const f = fields(); return f.indexOf(typed) < 0 ? f[0] : typed; };
  const turned = /(^|[ ,;])([-+]?)([0-9]+ [0-9]+\/[0-9]+|[^ ,;+-]*)$/; /* the last number, and its sign */
  const press = k => {
    const e = field();
    if (!e) return;
    if (k === "next") { /* what is missing in a row that was begun, behind this one or before it; else what sends them */
      const f = fields(), i = f.indexOf(e), opened = n => n.closest(".collar") && all("input", n.closest(".collar")).some(c => c.value);
      const go = f.slice(i + 1).concat(f.slice(0, i + 1)).filter(n => !n.value && opened(n))[0] || one("[type=submit].go", e.form);
      go.focus(); go.scrollIntoView({ block: "nearest" });
    } else if (k === "⌫") e.value = e.value.slice(0, -1);
    else if (k === "±") e.value = e.value.replace(turned, (m, before, sign, n) => before + (sign === "-" ? "" : "-") + n);
    else e.value += /^[a-zµ]/.test(k) && e.value ? " " + k : k;
    e.scrollLeft = e.scrollWidth; /* what was typed last is in sight */
  };

  /* What is taken down is sent without leaving the page, so that it stays here until it was taken. It is kept on the
     telephone as well: whoever opens the page of the program that was started anew finds it where it is asked for again,
     and sends it himself. */
  const lathe = (one(".lathe") || {}).textContent;
  const kept = value => {
    try {
      if (value === undefined) return JSON.parse(localStorage.getItem("wornway-kept"));
      if (value) localStorage.setItem("wornway-kept", JSON.stringify(value)); else localStorage.removeItem("wornway-kept");
    } catch (e) { }
    return null;
  };
  const tell = text => {
    const p = one("#kept");
    if (!p) { say(text); return; }
    p.hidden = !text; p.textContent = text;
  };
  const restore = () => {
    const k = kept(), form = one("#answering");
    if (!k || k.lathe !== lathe || !one("#answering, [action^='/measure']")) return;
    const text = k.typed.join(" ") + " at " + k.at;
    if (!form) { tell("Your " + text + " is kept here and was not taken. Go on with the survey, and take it there."); return; }
    const d = form.dataset, survey = p => p.split(" ").slice(0, 2).join(" ");
    if (d.place === k.place) {
      all("[name=answer]", form).forEach((e, i) => { e.value = k.typed[i] || ""; });
      tell("Your number is kept here and was not taken yet.");
    } else if (survey(d.place) === survey(k.place)) {
      kept(null);
      tell(d.where === k.at ? "At " + k.at + " the file has " + d.last + " already. Yours was not sent again."
        : "Your " + text + " is not asked for now, and was not sent.");
    }
  };
  let sending = false;
  const send = (form, button) => {
    if (sending) return; /* the second of two taps */
    sending = true;
    const body = new URLSearchParams(new FormData(form)), cells = all("[name=answer]", form).map(e => e.value);
    if (button && button.name) body.append(button.name, button.value);
    const reading = form.dataset.asks === "reading" && !body.has("word") && !body.has("elsewhere") && cells.some(c => c);
    if (reading) kept({ lathe: lathe, place: form.dataset.place, at: form.dataset.at, typed: cells });
    form.classList.add("sending");
    const stop = window.AbortController ? new AbortController() : null;
    const late = setTimeout(() => { if (stop) stop.abort(); }, 30000);
    fetch(form.getAttribute("action"), { method: "POST", credentials: "same-origin", body: body, signal: stop ? stop.signal : undefined })
      .then(r => r.text().then(text => {
        if (r.status === 403) { tell("Not taken: the program was started anew and has a new address. Open that here. What you typed is kept."); return; }
        if (!r.ok && r.status !== 409) throw new Error(String(r.status));
        const page = new DOMParser().parseFromString(text, "text/html"), now = one("main", page);
        if (!now) throw new Error("no page");
        if (one("#broken", page)) { tell(told(one("#broken", page)) + " What you typed stays here."); return; }
        if (r.ok && r.headers.get("Wornway-Taken") !== "no" && form.id === "answering") kept(null);
        say("");
        one("main").replaceWith(now);
        document.title = page.title;
        begun();
        one("#heard").textContent = all(".turnsaid p, #question, .faults, .said", now).map(e => e.textContent).join(" ").slice(0, 600);
        const top = one("#said");
        if (top) top.scrollIntoView(); else scrollTo(0, 0);
      }))
      .catch(() => tell(reading ? "Not connected. Your number is kept here: take it again when the program runs."
        : "Not connected: nothing was taken. What you typed stays here; try again when the program runs."))
      .then(() => { sending = false; clearTimeout(late); form.classList.remove("sending"); });
  };
  let tapped = null;
  document.addEventListener("click", e => {
    const b = e.target.closest && e.target.closest("button");
    tapped = b;
    if (b && b.dataset.key) press(b.dataset.key);
  });
  document.addEventListener("mousedown", e => { if (e.target.closest && e.target.closest("[data-key]")) e.preventDefault(); }); /* the field keeps its mark */
  document.addEventListener("focusin", e => { if (e.target.matches(padded)) typed = e.target; });
  document.addEventListener("submit", e => {
    const b = e.submitter || (tapped && tapped.form === e.target ? tapped : null);
    tapped = null;
    if (!("sent" in e.target.dataset)) return;
    e.preventDefault();
    const next = fields().filter(f => !f.value)[0];
    if (e.target.id === "answering" && fields().length > 1 && next && field().value && !(b && b.name)) { next.focus(); return; } /* of several numbers */
    send(e.target, b);
  });

  /* What a page needs once it stands here. */
  function begun() {
    all(".scripted").forEach(e => { e.hidden = false; });
    typed = null;
    if (one(".panel")) document.documentElement.style.setProperty("--panel", one(".panel").offsetHeight + "px");
    if (one(".pad")) all(padded).forEach(e => { e.inputMode = "none"; }); /* the telephone's own keys would cover these */
    const first = fields().filter(f => !f.value)[0] || field();
    if (first) first.focus({ preventScroll: true });
    if (first && first.closest(".padded")) first.scrollIntoView({ block: "nearest" }); /* above the keys */
    restore();
  }
  begun();

  /* A tap into the picture of places. */
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
