// Filter and highlight. The page says all it has to say without them.
(function () {
  'use strict';
  var form = document.getElementById('filter');
  var items = Array.from(document.querySelectorAll('.item'));
  var sections = Array.from(document.querySelectorAll('section.discipline, section.severity'));
  var words = items.map(function (item) { return item.textContent.toLowerCase(); });
  var box = function (name) { return document.getElementById('filter-' + name); };
  var comments = items.filter(function (item) { return item.classList.contains('comment'); });

  function apply() {
    var text = box('text').value.trim().toLowerCase();
    items.forEach(function (item, i) {
      item.hidden = ['discipline', 'severity', 'result'].some(function (key) {
        return box(key).value && item.dataset[key] !== box(key).value;
      }) || (text !== '' && words[i].indexOf(text) < 0);
    });
    var all = !text && !box('discipline').value && !box('severity').value && !box('result').value;
    sections.forEach(function (section) {
      section.hidden = !all && !section.querySelector('.item:not([hidden])');
    });
    var shown = function (list) { return list.filter(function (item) { return !item.hidden; }).length; };
    document.getElementById('filter-count').textContent = all ? '' :
      shown(comments) + ' of ' + comments.length + ' comments and ' +
      (shown(items) - shown(comments)) + ' of ' + (items.length - comments.length) + ' calculations shown';
  }

  form.hidden = false;
  form.addEventListener('input', apply);
  form.addEventListener('submit', function (event) { event.preventDefault(); });
  form.addEventListener('reset', function () { setTimeout(apply, 0); });
  apply();

  // A link into something that the filter hides shows everything again.
  window.addEventListener('hashchange', function () {
    var target = document.getElementById(decodeURIComponent(location.hash.slice(1)));
    if (target && target.closest('[hidden]')) {
      form.reset();
      setTimeout(function () { target.scrollIntoView(); }, 20);
    }
  });

  // Pointing at a number lights its mark, and the other way round.
  function light(event) {
    var link = event.target.closest && event.target.closest('.to-mark, .mark');
    document.querySelectorAll('.lit').forEach(function (old) { old.classList.remove('lit'); });
    if (!link) { return; }
    var other = document.getElementById(link.getAttribute('href').slice(1));
    if (other) { other.classList.add('lit'); }
  }
  ['mouseover', 'focusin'].forEach(function (name) { document.addEventListener(name, light); });
})();
