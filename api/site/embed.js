
"use strict";
(function () {
  var figure = document.querySelector("figure");
  var picture = figure.querySelector("svg");
  var frames = picture.querySelectorAll(".view-frame");
  var slider = document.getElementById("opening");
  var output = document.querySelector("output");
  var to = Number(slider.dataset.to);
  var title = document.title;

  function show() {
    var at = Number(slider.value);
    var degrees = Math.round(10 * to * at / (frames.length - 1)) / 10;
    frames.forEach(function (frame, i) { frame.classList.toggle("shown", i === at); });
    output.textContent = degrees + "°";
    slider.setAttribute("aria-valuetext", degrees + " degrees");
    figure.setAttribute("aria-label", title + ", opened to " + degrees + " degrees");
  }

  // The arrow keys move the slider wherever in the page they are pressed.
  function key(event) {
    if (event.target === slider || event.altKey || event.ctrlKey || event.metaKey || event.shiftKey) { return; }
    var last = frames.length - 1;
    var next = {
      ArrowLeft: Number(slider.value) - 1, ArrowDown: Number(slider.value) - 1,
      ArrowRight: Number(slider.value) + 1, ArrowUp: Number(slider.value) + 1,
      PageDown: Number(slider.value) - 6, PageUp: Number(slider.value) + 6,
      Home: 0, End: last
    }[event.key];
    if (next === undefined) { return; }
    event.preventDefault();
    slider.value = Math.min(last, Math.max(0, next));
    show();
  }

  // The title of the picture would hide its changing description.
  var still = picture.querySelector("title");
  if (still) { still.remove(); }
  picture.setAttribute("aria-hidden", "true");
  picture.removeAttribute("role");
  picture.classList.add("held");
  slider.parentNode.hidden = false;
  slider.addEventListener("input", show);
  document.addEventListener("keydown", key);
  show();
})();
