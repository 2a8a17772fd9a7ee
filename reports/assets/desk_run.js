// The Run screen: sliders that ask for another lift, and the option that is kept of them.
"use strict";
(() => {
  const { find, desk, token, say, turned, framed } = deskScreen;
  const name = encodeURIComponent(desk.dataset.name);
  const slides = [...desk.querySelectorAll(".slide")];
  const button = find("keep").querySelector("button");
  let later = 0;
  let latest = 0;
  let stood = 0; // how far down the page in the frame the reader was

  const values = (slide) => JSON.parse(slide.dataset.values);
  const range = (slide) => slide.querySelector("input");
  const moved = () => slides.filter((slide) => range(slide).value !== slide.dataset.own);
  const asked = () => Object.fromEntries(moved().map((slide) => [slide.dataset.path, values(slide)[range(slide).value]]));

  function look() {
    const query = new URLSearchParams({ ...asked(), token: desk.dataset.token });
    if (find("working").hidden) stood = find("lift").contentWindow.scrollY;
    find("working").hidden = false;
    find("lift").src = `/run/${name}/lift?${query}`;
    reckon(query);
  }
  framed(() => turned(find("strip")));
  // It opens at its top; after a slider the reader is where they were.
  find("lift").addEventListener("load", () => find("lift").contentWindow.scrollTo(0, stood));

  async function reckon(query) {
    const mine = (latest += 1);
    document.body.classList.add("reckoning");
    try {
      const made = await (await fetch(`/run/${name}/figures?${query}`)).json();
      if (mine !== latest) return;
      say(made.refused || "");
      find("strip").innerHTML = made.strip || "";
      turned(find("strip"));
      document.body.classList.remove("reckoning");
    } catch {
      say("The desk does not answer: start it again with liftcadence desk, then move the slider again.");
    }
  }

  function said(slide) {
    const words = values(slide)[range(slide).value];
    const own = range(slide).value === slide.dataset.own;
    slide.querySelector("output").textContent = words;
    range(slide).setAttribute("aria-valuetext", words);
    slide.querySelector(".back").hidden = own;
    slide.classList.toggle("other", !own);
    button.disabled = !moved().length;
  }

  desk.addEventListener("input", (event) => {
    const slide = event.target.closest(".slide");
    if (!slide) return;
    said(slide);
    clearTimeout(later);
    later = setTimeout(look, 350);
  });
  desk.addEventListener("click", (event) => {
    const back = event.target.closest(".back");
    if (!back) return;
    const slide = back.closest(".slide");
    range(slide).value = slide.dataset.own;
    said(slide);
    range(slide).focus();
    look();
  });
  find("keep").addEventListener("submit", async (event) => {
    event.preventDefault();
    const title = find("title").value.trim();
    try {
      const body = JSON.stringify({ version: desk.dataset.version, title, values: asked() });
      const made = await (await fetch(`/plan/${name}/option?token=${token}`, { method: "POST", body })).json();
      if (made.stale) return say("This plan was changed elsewhere: load this page again, then keep the option.");
      if (made.refused) return say(made.refused);
      desk.dataset.version = made.version;
      find("kept").querySelector(".none")?.remove();
      find("kept").appendChild(document.createElement("li")).textContent = made.kept;
      find("title").value = "";
      say(`“${made.kept}” is kept with the plan.`);
    } catch {
      say("The desk does not answer: start it again with liftcadence desk, then press once more.");
    }
  });
  slides.forEach(said);
  look();
})();
