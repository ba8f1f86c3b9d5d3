// Shows another bound while the slider moves: the same page is asked for, and only the part about the value is put in.
(() => {
  "use strict";
  const PAUSE_MS = 200;
  const form = document.getElementById("tune");
  const slider = document.getElementById("n");
  if (!form || !slider) return;
  form.querySelector(".without-script").hidden = true;
  let asked = null;

  const show = async () => {
    if (asked) asked.abort();
    const mine = (asked = new AbortController());
    try {
      const answer = await fetch(`?n=${slider.value}`, { signal: mine.signal });
      if (!answer.ok) return;
      const page = new DOMParser().parseFromString(await answer.text(), "text/html");
      const fresh = page.getElementById("tuned");
      if (!fresh || mine.signal.aborted) return;
      document.getElementById("tuned").replaceWith(fresh);
      slider.setAttribute("aria-valuetext", fresh.dataset.said);
      history.replaceState(null, "", `?n=${slider.value}`);
    } catch (gone) {
      // no signal, or moved on: what is shown stays
    }
  };
  let pause = 0;
  slider.addEventListener("input", () => {
    clearTimeout(pause); // asked for once the finger rests
    pause = setTimeout(show, PAUSE_MS);
  });
})();
