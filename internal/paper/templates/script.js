// Folding, search and highlight. The page says all it has to say without them.
(function () {
  'use strict';
  var folds = Array.from(document.querySelectorAll('details'));
  var each = function (list, does) { Array.prototype.forEach.call(list, does); };

  // A link into something that is folded opens it, and its own comment.
  function reach() {
    var target = document.getElementById(decodeURIComponent(location.hash.slice(1)));
    if (!target) { return; }
    if (target.closest('[hidden]')) { form.reset(); apply(); }
    for (var fold = target.closest('details'); fold; fold = fold.parentElement.closest('details')) { fold.open = true; }
    target.scrollIntoView();
  }
  window.addEventListener('hashchange', reach);

  // Everything is open on paper.
  var opened = [];
  window.addEventListener('beforeprint', function () {
    opened = folds.filter(function (fold) { return !fold.open; });
    opened.forEach(function (fold) { fold.open = true; });
  });
  window.addEventListener('afterprint', function () {
    opened.forEach(function (fold) { fold.open = false; });
    opened = [];
  });

  // Search in the calculations.
  var form = document.getElementById('filter');
  var items = Array.from(document.querySelectorAll('.item'));
  var parts = document.querySelectorAll('details.discipline');
  var words = items.map(function (item) { return item.textContent.toLowerCase(); });
  var box = function (name) { return document.getElementById('filter-' + name); };
  function apply() {
    var text = box('text').value.trim().toLowerCase();
    var all = !text && !box('severity').value && !box('result').value;
    items.forEach(function (item, i) {
      item.hidden = ['severity', 'result'].some(function (key) {
        return box(key).value && item.dataset[key] !== box(key).value;
      }) || (text !== '' && words[i].indexOf(text) < 0);
    });
    each(parts, function (part) {
      var any = part.querySelector('.item:not([hidden])') !== null;
      part.hidden = !all && !any;
      part.open = !all && any;
    });
    box('count').textContent = all ? '' : items.filter(function (item) { return !item.hidden; }).length + ' of ' + items.length + ' calculations shown';
  }
  form.hidden = false;
  form.addEventListener('input', apply);
  form.addEventListener('submit', function (event) { event.preventDefault(); });
  form.addEventListener('reset', function () { setTimeout(apply, 0); });

  // Pointing at a number lights its mark, and the other way round.
  function light(event) {
    var link = event.target.closest && event.target.closest('.to-mark, .mark');
    each(document.querySelectorAll('.lit'), function (old) { old.classList.remove('lit'); });
    if (!link) { return; }
    var other = document.getElementById(link.getAttribute('href').slice(1));
    if (other) { other.classList.add('lit'); }
  }
  ['mouseover', 'focusin'].forEach(function (name) { document.addEventListener(name, light); });
  reach();
})();
