"use strict";
// The page works without this. With it: a press is sent again until it is answered, those
// that wait are sent in their order when the line is back, and what others did shows at once.
(() => {
  const QUEUE = "longpoint.presses";
  const PATIENCE = 8000;
  const line = document.getElementById("line");
  if (!line) return;
  let sending = false;
  let lost = false;
  let wait = 500;
  let wake = () => {};

  // What a browser does not keep, or not so much, is kept as long as the page is open.
  let memory;
  const waiting = () => {
    if (memory) return memory;
    try { return JSON.parse(localStorage.getItem(QUEUE) || "[]"); } catch { return []; }
  };
  const keep = (all) => {
    try {
      localStorage.setItem(QUEUE, JSON.stringify(all));
      memory = undefined;
    } catch { memory = all; }
  };
  addEventListener("beforeunload", (event) => { if (memory?.length) event.preventDefault(); });

  // A finger that bounces, or comes down as the page changes under it, presses nothing.
  const BOUNCE = 200;
  const SETTLED = 400;
  let pressed = 0;
  let changed = 0;

  // Says in plain sight whether the line stands, and what is kept until it does.
  const say = () => {
    const kept = waiting().length;
    const words = kept === 1 ? "1 press is kept" : `${kept} presses are kept`;
    const only = memory?.length ? " This device has no room to store that: leave this page open until then." : "";
    line.hidden = !lost;
    line.textContent = lost
      ? `NO CONNECTION. ${kept ? `${words} and sent when it is back.${only}` : "What you see may be old."}`
      : "";
  };

  const ask = (where, how) => {
    const ended = new AbortController();
    const timer = setTimeout(() => ended.abort(), PATIENCE);
    return fetch(where, { ...how, credentials: "same-origin", signal: ended.signal })
      .then(async (answer) => ({ answer, text: await answer.text() }))
      .finally(() => clearTimeout(timer));
  };

  // Shows another page, or the same as it is now, without loading all of it.
  const show = (text, where) => {
    const next = new DOMParser().parseFromString(text, "text/html");
    const main = next.getElementById("main");
    if (!main || !next.body.dataset.version) return location.assign(where);
    const here = location.pathname + location.search;
    // What somebody opened to read stays open on the same page.
    const folds = () => [...document.querySelectorAll("#main details")];
    const name = (one) => one.querySelector("summary")?.textContent;
    const open = where === here ? folds().filter((one) => one.open).map(name) : [];
    document.getElementById("main").replaceWith(document.adoptNode(main));
    for (const one of folds()) if (open.includes(name(one))) one.open = true;
    // What was done is read aloud where it changes in a place that stays.
    const said = next.getElementById("said");
    if (said) document.getElementById("said")?.replaceChildren(...said.childNodes);
    const ways = next.querySelector("header");
    if (ways) document.querySelector("header")?.replaceWith(document.adoptNode(ways));
    document.title = next.title;
    document.body.className = next.body.className;
    for (const name of ["version", "turn", "to"]) {
      const said = next.body.dataset[name];
      if (said === undefined) delete document.body.dataset[name];
      else document.body.dataset[name] = said;
    }
    if (where !== here) {
      history.pushState(null, "", where);
      scrollTo(0, 0);
    }
    const field = document.querySelector("#main [autofocus]");
    if (field) field.focus({ preventScroll: true });
    else document.getElementById("main").focus({ preventScroll: true });
    turn();
  };

  const local = (url) => { const at = new URL(url, location.href); return at.pathname + at.search; };

  // What may be otherwise in a moment: too fast, too slow, busy, or whoever stands between.
  const again = (status) => [408, 429, 502, 503, 504].includes(status);

  const look = async (where, unasked) => {
    // What was refused stays in sight until somebody looks on.
    if (unasked && document.querySelector("#main[data-held]")) return;
    try {
      const { answer, text } = await ask(where, {});
      if (again(answer.status)) throw new Error("again");
      lost = false;
      if (unasked) changed = Date.now();
      // It may have been refused while this was asked for.
      const held = unasked && document.querySelector("#main[data-held]");
      if (!waiting().length && !held) show(text, local(answer.url));
    } catch { lost = true; }
    say();
  };

  // With the line down the next cut of the stick is at hand already, and the one before it,
  // of which what was pressed is taken back.
  let last;
  const goOn = () => {
    const own = last?.closest("[data-cut]");
    if (!own || own.hidden) return;
    const anew = last.querySelector("input.again");
    const isCut = ["/bench/cut", "/bench/chip"].includes(last.getAttribute("action"));
    const next = isCut ? own.nextElementSibling
      : anew ? own.previousElementSibling
        : document.querySelector("[data-cut='wait']");
    if (!next?.matches("[data-cut]")) return;
    if (isCut) {
      const back = next.querySelector("input[name=press]");
      if (back) back.value = last.elements.token.value;
    } else if (anew) {
      // What was pressed there has its token; pressed again it is another press.
      for (const form of next.querySelectorAll("form[action='/bench/cut'], form[action='/bench/chip']")) {
        form.elements.token.value = anew.value;
        for (const button of form.querySelectorAll("button")) button.disabled = false;
      }
      last.remove();
    }
    own.hidden = true;
    next.hidden = false;
    document.getElementById("main").focus({ preventScroll: true });
  };

  // Sends what waits, in its order, each until it is answered.
  const send = async () => {
    if (sending) return;
    sending = true;
    while (waiting().length) {
      const [first] = waiting();
      try {
        const { answer, text } = await ask(first.action, {
          method: "POST",
          headers: { "Content-Type": "application/x-www-form-urlencoded" },
          body: first.body,
        });
        if (again(answer.status)) throw new Error("again");
        keep(waiting().filter((press) => press.body !== first.body));
        lost = false;
        wait = 500;
        // What was refused is said before anything else is done.
        const unsent = waiting().length;
        if (answer.status >= 400) keep([]);
        if (!waiting().length) {
          if (answer.status >= 400) refused(text, answer, unsent);
          else show(text, local(answer.url));
        }
      } catch {
        lost = true;
        goOn();
        say();
        await new Promise((done) => { wake = done; setTimeout(done, wait); });
        wait = Math.min(wait * 2, 5000);
      }
    }
    sending = false;
    say();
  };

  const refused = (text, answer, unsent) => {
    const next = new DOMParser().parseFromString(text, "text/html");
    const main = next.getElementById("main");
    if (main) {
      main.dataset.held = "";
      if (unsent) {
        const more = document.createElement("p");
        more.className = "words";
        more.textContent = unsent === 1 ? "1 press that came after it was not sent, and is not done."
          : `${unsent} presses that came after it were not sent, and are not done.`;
        main.append(more);
      }
      document.getElementById("main").replaceWith(document.adoptNode(main));
    }
    else location.assign(local(answer.url));
    document.getElementById("main").focus({ preventScroll: true });
  };

  addEventListener("submit", (event) => {
    const form = event.target;
    if (form.method === "get") {
      event.preventDefault();
      return void look(`${local(form.action).split("?")[0]}?${new URLSearchParams(new FormData(form))}`);
    }
    if (!form.elements.token) return;
    event.preventDefault();
    const now = Date.now();
    if (now - pressed < BOUNCE || now - changed < SETTLED) return;
    pressed = now;
    const fields = new FormData(form, event.submitter);
    const body = new URLSearchParams(fields).toString();
    if (waiting().some((press) => press.body === body)) return;
    keep([...waiting(), { action: form.getAttribute("action"), body }]);
    for (const button of form.querySelectorAll("button")) button.disabled = true;
    last = form;
    if (lost) goOn();
    say();
    send();
  });

  // A file of the device is read into its field, so that it is seen before it is put in.
  const uploads = () => document.querySelectorAll("label.upload").forEach((one) => { one.hidden = false; });
  addEventListener("change", async (event) => {
    const field = event.target.closest?.("input[type=file][data-into]");
    const file = field?.files[0];
    if (!file) return;
    const into = field.form.elements[field.dataset.into];
    try {
      into.value = new TextDecoder("utf-8", { fatal: true }).decode(await file.arrayBuffer());
    } catch {
      field.value = "";
      alert("That file is not UTF-8, and nothing was taken of it (save it as CSV UTF-8).");
    }
  });

  // A tap on the drawing of a stick is one on the piece of that place.
  const tap = (drawing, across) => {
    const { long, gone, slot } = drawing.dataset;
    const box = drawing.querySelector("svg").getBoundingClientRect();
    const { x, width } = drawing.querySelector("svg").viewBox.baseVal;
    const along = (x + (across - box.left) / box.width * width) / (width + 2 * x) * long - gone;
    const at = Math.max(0, Math.min(Math.floor(along / slot), Math.ceil((long - gone) / slot) - 1));
    const piece = document.querySelector("#main .slots")?.children[at];
    if (piece) (piece.querySelector("button") ?? piece).click();
    else look(`${drawing.getAttribute("href")}?from=${at}&of=${long - gone}`);
  };

  // Ways to other pages are loaded as parts too, so that the banner stays in sight.
  addEventListener("click", (event) => {
    const way = event.target.closest?.("a[href^='/']");
    if (!way || event.ctrlKey || event.metaKey || way.target || way.hasAttribute("download")) return;
    event.preventDefault();
    if (way.matches(".tap")) tap(way, event.clientX);
    else look(way.getAttribute("href"));
  });
  addEventListener("popstate", () => look(location.pathname + location.search));

  let turning;
  const turn = () => {
    uploads();
    clearTimeout(turning);
    const { turn: seconds, to } = document.body.dataset;
    if (seconds) turning = setTimeout(() => look(to), seconds * 1000);
  };

  // Whether somebody has filled in what is not sent yet: then nothing is loaded anew.
  const typing = () => [...document.querySelectorAll("#main input:not([type=hidden]), #main select, #main textarea")]
    .some((field) => (field === document.activeElement && field.value)
      || (field.matches("[type=checkbox], [type=radio]") ? field.checked !== field.defaultChecked
        : field.matches("select") ? [...field.options].some((one) => one.selected !== one.defaultSelected && one.index > 0)
          : field.value !== field.defaultValue));

  // Whether something is kept: it is tried again at once, and the line stands once it came.
  const isKept = () => {
    const any = waiting().length > 0;
    if (any) { wake(); send(); }
    return any;
  };

  // Steps that others make.
  let heard = Date.now();
  const listen = () => {
    const live = new EventSource("/live");
    live.onmessage = (event) => {
      heard = Date.now();
      const was = lost;
      if (isKept()) return;
      lost = false;
      say();
      if ((event.data !== document.body.dataset.version && !typing()) || was) look(location.pathname + location.search, true);
    };
    live.addEventListener("pulse", () => {
      heard = Date.now();
      if (!isKept() && lost) { lost = false; say(); }
    });
    live.onerror = () => {
      lost = true;
      say();
      if (live.readyState !== 2) return;
      // It was refused: a device that was taken off is told so.
      if (!isKept() && !typing()) look(location.pathname + location.search, true);
      setTimeout(listen, 2000);
    };
  };
  if (document.body.dataset.version) {
    listen();
    setInterval(() => { if (Date.now() - heard > 12000 && !lost) { lost = true; say(); } }, 1000);
    addEventListener("offline", () => { lost = true; say(); });
    addEventListener("online", () => { if (!isKept()) look(location.pathname + location.search, true); });
    turn();
    if (waiting().length) send();
  }
})();
