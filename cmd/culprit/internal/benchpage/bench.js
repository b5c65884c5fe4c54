// Makes the bench page quicker: a reading is sent as soon as it is entered, and what
// changed on the page is put in its place. Without this script the same forms do the
// same with a button. Nothing is kept here: what counts is in the file of the job.
"use strict";
(() => {
  const job = () => document.getElementById("job");
  if (!job()) return;
  document.documentElement.classList.add("quick");
  let line = Promise.resolve(); // forms are sent one after the other
  let waiting = 0;
  let later = null; // the request for what takes long

  const say = (text) => {
    const said = document.getElementById("said");
    said.textContent = text;
    said.classList.toggle("empty", !text);
  };

  // replace puts a part of a new page in the place of the old, and leaves the keyboard where it is.
  const replace = (id, from) => {
    const old = document.getElementById(id), now = from.getElementById(id);
    if (!old || !now) return;
    const at = old.contains(document.activeElement) ? document.activeElement : null;
    const mark = at && (at.id ? "#" + CSS.escape(at.id) : at.dataset.fault ? `[data-fault="${CSS.escape(at.dataset.fault)}"]` : at.getAttribute("href") ? `[href="${CSS.escape(at.getAttribute("href"))}"]` : null);
    const open = [...old.querySelectorAll("details")].map((d) => d.open);
    old.replaceWith(now);
    if (id !== "ranking") now.querySelectorAll("details").forEach((d, i) => { d.open = d.open || open[i]; });
    if (mark) now.querySelector(mark)?.focus({ preventScroll: true });
  };

  // settle brings the fields up to what is kept. A field in which something else was
  // typed meanwhile keeps it.
  const settle = (from, sent) => {
    for (const now of from.querySelectorAll(".field[id]")) {
      const old = document.getElementById(now.id);
      if (!old) continue;
      const was = old.querySelector("input[name^='was.']"), is = now.querySelector("input[name^='was.']");
      if (!was || !is) continue;
      // What was sent is kept by now, or refused. What was not, and differs, is still
      // being typed; if others change it meanwhile, they have to be told apart.
      const mine = sent?.get(was.name.replace("was.", "r.")), typed = value(old);
      const untouched = typed === was.value || mine === typed;
      const refused = now.classList.contains("is-refused");
      if (mine !== undefined && mine !== null || untouched) was.value = is.value;
      if (refused || untouched) {
        if (!refused && typed !== value(now)) put(old, value(now));
        const a = old.querySelector(".stand"), b = now.querySelector(".stand");
        if (a && b && a.innerHTML !== b.innerHTML) a.replaceWith(b);
        old.classList.toggle("is-refused", refused);
        const bad = now.querySelector("[aria-invalid]");
        old.querySelectorAll("input, select, fieldset").forEach((x) => x.removeAttribute("aria-invalid"));
        if (bad) (bad.id ? document.getElementById(bad.id) : old.querySelector("fieldset"))?.setAttribute("aria-invalid", "true");
      }
    }
    for (const now of from.querySelectorAll("details.check")) {
      const old = document.getElementById(now.id);
      if (!old) continue;
      old.querySelector(".count").replaceWith(now.querySelector(".count"));
      old.classList.toggle("is-next", now.classList.contains("is-next"));
      if (now.open && now.classList.contains("is-next")) old.open = true;
    }
    for (const rev of document.querySelectorAll("input[name=rev]")) rev.value = from.querySelector("input[name=rev]").value;
    const lead = document.getElementById("lead");
    lead.textContent = from.getElementById("lead").textContent;
  };

  const value = (field) => {
    const radio = field.querySelector("input[type=radio]:checked");
    if (radio) return radio.value;
    const one = field.querySelector("input[type=text], select[id]");
    return one ? one.value.trim() : "";
  };
  const put = (field, text) => {
    const radio = [...field.querySelectorAll("input[type=radio]")].find((r) => r.value === text);
    if (radio) { radio.checked = true; return; }
    const one = field.querySelector("input[type=text], select[id]");
    if (one) one.value = text;
    const unit = field.querySelector("select[name^='u.']");
    if (unit) unit.value = "";
  };

  const read = async (answer) => new DOMParser().parseFromString(await answer.text(), "text/html");

  // show puts a page in that is not this job's: a conflict, or a refusal.
  const show = (from) => {
    document.title = from.title;
    document.body.replaceWith(from.body);
    const head = document.querySelector("h1");
    head?.setAttribute("tabindex", "-1");
    head?.focus();
  };

  const announce = (said) => {
    const lead = document.getElementById("lead")?.textContent.trim();
    const next = document.querySelector("#next h2")?.textContent.replace(/\s+/g, " ").trim();
    say([said, lead && `Leading: ${lead}.`, job().dataset.more ? "" : next].filter(Boolean).join(" "));
  };

  // The advice takes longer than the ranking, so it is asked for when nothing else is.
  const askNext = async () => {
    later?.abort();
    const mine = later = new AbortController();
    try {
      const open = document.querySelector("input[name=open]")?.value;
      const answer = await fetch(`/job/${encodeURIComponent(job().dataset.id)}${open ? `?open=${encodeURIComponent(open)}` : ""}`, { signal: mine.signal, credentials: "same-origin" });
      const from = await read(answer);
      if (mine.signal.aborted || waiting || !from.getElementById("job")) return;
      settle(from);
      replace("next", from);
      delete job().dataset.more;
      announce(document.getElementById("said").dataset.last || "");
    } catch (e) {
      if (e.name !== "AbortError") say("The bench page does not answer. What was entered before is kept.");
    }
  };

  const send = (form) => {
    const body = new URLSearchParams(new FormData(form));
    waiting++;
    later?.abort();
    document.getElementById("next").classList.add("wait");
    line = line.then(async () => {
      try {
        // What was sent before this has changed the revision and what is kept.
        for (const hidden of form.querySelectorAll("input[type=hidden]")) if (hidden.name === "rev" || hidden.name.startsWith("was.")) body.set(hidden.name, hidden.value);
        const answer = await fetch(form.action, { method: "POST", body, headers: { "Bench-Part": "ranking" }, credentials: "same-origin" });
        const from = await read(answer);
        if (!from.getElementById("job")) { show(from); return; }
        settle(from, body);
        replace("ranking", from);
        document.getElementById("said").dataset.last = from.getElementById("said").textContent;
        job().dataset.more = "1";
        announce(from.getElementById("said").textContent);
      } catch {
        say("The bench page does not answer. What is in this form is not kept yet; press Enter when it is back.");
      }
    }).finally(() => {
      waiting--;
      if (!waiting && job()) askNext();
    });
  };

  document.addEventListener("change", (e) => {
    const form = e.target.form;
    if (!form?.dataset.readings) return;
    if (e.target.name?.startsWith("u.")) { // a unit by itself says nothing
      if (!e.target.closest(".field").querySelector("input[type=text]").value) return;
    }
    send(form);
  });
  document.addEventListener("submit", (e) => {
    const form = e.target;
    if (!form.dataset.readings) return;
    e.preventDefault();
    send(form);
    // On to the next empty field of the check, as after a page without script.
    const next = [...form.querySelectorAll(".field input[type=text]")].find((x) => !x.value);
    if (document.activeElement?.type === "text") next?.focus();
  });
  document.addEventListener("click", async (e) => {
    const link = e.target.closest("a");
    if (!link || e.ctrlKey || e.metaKey || e.shiftKey || e.button) return;
    if (link.dataset.fault) {
      e.preventDefault();
      const url = new URL(link.href);
      try {
        const from = await read(await fetch(url.pathname + url.search, { credentials: "same-origin" }));
        if (!from.getElementById("job")) { show(from); return; }
        link.focus();
        replace("ranking", from);
        const open = url.searchParams.get("open") || "";
        document.querySelectorAll("input[name=open]").forEach((x) => { x.value = open; });
        history.replaceState(null, "", url.pathname + url.search);
      } catch {
        location.assign(link.href);
      }
      return;
    }
    const to = link.hash && link.pathname === location.pathname && document.getElementById(link.hash.slice(1));
    if (to) { // into a check that is folded, and into its field
      for (let d = to.closest("details"); d; d = d.parentElement.closest("details")) d.open = true;
      const one = to.matches(".field") && (to.querySelector("input:checked") || to.querySelector("input:not([type=hidden]), select"));
      if (one) { e.preventDefault(); to.scrollIntoView({ block: "center" }); one.focus({ preventScroll: true }); }
    }
  });
})();
