// Small help on top of pages that already work without it.
(function () {
  "use strict";

  // The error summary takes focus, so that a screen reader starts with what to fix.
  var summary = document.querySelector("[data-takes-focus]");
  if (summary) {
    summary.focus();
  }

  // A link in the summary leads to the box itself, not only to its place on the page.
  document.addEventListener("click", function (event) {
    var link = event.target.closest("[data-takes-focus] a[href^='#']");
    if (!link) {
      return;
    }
    var box = document.getElementById(decodeURIComponent(link.hash.slice(1)));
    if (!box) {
      return;
    }
    event.preventDefault();
    var control = box.matches("input, select, textarea, button, a")
      ? box
      : box.querySelector("input, select, textarea");
    (control || box).focus();
    box.scrollIntoView({ block: "center" });
  });

  // A page of running work asks again until it is done; the words say the same without this.
  var work = document.querySelector("[data-ask-again-at]");
  if (work) {
    var ask = function () {
      fetch(work.dataset.askAgainAt, { headers: { "X-Requested-With": "fetch" } })
        .then(function (answer) {
          if (answer.redirected) {
            window.location.assign(answer.url);
            return null;
          }
          return answer.ok ? answer.text() : null;
        })
        .then(function (text) {
          if (text === null) {
            window.setTimeout(ask, 4000);
            return;
          }
          var page = new DOMParser().parseFromString(text, "text/html");
          var fresh = page.querySelector("[data-work]");
          var old = document.querySelector("[data-work]");
          if (fresh && old) {
            old.replaceWith(document.importNode(fresh, true));
          }
          if (page.querySelector("[data-ask-again-at]")) {
            window.setTimeout(ask, 1500);
          } else {
            window.location.reload();
          }
        })
        .catch(function () {
          window.setTimeout(ask, 4000);
        });
    };
    window.setTimeout(ask, 1500);
  }

  // Sums follow the picks: the form is sent as it is changed, and only the sums are replaced.
  document.querySelectorAll("form[data-live-sums]").forEach(function (form) {
    var count = 0;
    form.addEventListener("change", function () {
      count += 1;
      var mine = count;
      fetch(form.dataset.liveSums, { method: "POST", body: new FormData(form) })
        .then(function (answer) {
          return answer.ok ? answer.text() : null;
        })
        .then(function (text) {
          // A slow answer to an earlier pick must not overwrite a later one.
          if (text === null || mine !== count) {
            return;
          }
          var page = new DOMParser().parseFromString(text, "text/html");
          document.querySelectorAll("[data-sums]").forEach(function (old) {
            var fresh = page.getElementById(old.id);
            if (fresh) {
              old.innerHTML = fresh.innerHTML;
            }
          });
        });
    });
  });

  // Printing from a button; the browser's own command does the same.
  document.addEventListener("click", function (event) {
    if (event.target.closest("[data-print]")) {
      window.print();
    }
  });
})();
