// What the browser tests look at inside the page. Each function gives a list
// of faults.
var probe = {
  // Every comment has one entry and one mark, and each leads to the other, with
  // what it leads to opened and in sight.
  links: async function (comments) {
    var faults = [];
    var entries = document.querySelectorAll('[id^="comment-"]');
    var settle = function () { return new Promise(function (done) { requestAnimationFrame(function () { setTimeout(done, 0); }); }); };
    if (document.querySelectorAll('details.comment').length !== comments) { faults.push(entries.length + ' entries for ' + comments + ' comments'); }
    var follow = async function (link, id) {
      link.dispatchEvent(new MouseEvent('click', {bubbles: true, cancelable: true}));
      if (location.hash !== '#' + id) { faults.push('the link to ' + id + ' leads to ' + location.hash); }
      await settle();
      var target = document.querySelector(':target');
      if (!target || target.id !== id) { faults.push(id + ' is not reached'); return; }
      var box = target.getBoundingClientRect();
      if (box.height === 0 || box.bottom < 0 || box.top > innerHeight) { faults.push(id + ' is not in sight after the jump'); }
    };
    for (var n = 1; n <= comments; n++) {
      var link = document.querySelector('a.to-mark[href="#mark-' + n + '"]');
      var mark = document.getElementById('mark-' + n);
      if (!link || !mark || !mark.closest('svg')) { faults.push('comment ' + n + ' has no link or no mark'); continue; }
      await follow(link, 'mark-' + n);
      await follow(mark, 'comment-' + n);
    }
    document.querySelectorAll('a[href^="#"], a[href=""]').forEach(function (a) {
      if (!document.getElementById(a.getAttribute('href').slice(1))) { faults.push('nothing stands at ' + a.getAttribute('href')); }
    });
    var calculation = document.querySelector('.inside a[href^="#calculation-"]');
    if (calculation) { await follow(calculation, calculation.getAttribute('href').slice(1)); }
    return faults;
  },

  // The list of comments, and all that says which job it is, ends within a height.
  first: function (height) {
    var faults = [];
    scrollTo(0, 0);
    document.querySelectorAll('.cover, .comment').forEach(function (e) {
      var box = e.getBoundingClientRect();
      if (box.bottom > height || box.height === 0) { faults.push('"' + e.textContent.trim().slice(0, 40) + '" ends at ' + Math.round(box.bottom)); }
      if (e.matches('.comment') && box.height > 64) { faults.push('"' + e.textContent.trim().slice(0, 40) + '" takes more than two lines'); }
    });
    return faults;
  },

  // Before anything is folded out the page keeps to a height.
  height: function (most) {
    var high = document.documentElement.scrollHeight;
    return high > most ? ['the page is ' + high + ' px high'] : [];
  },

  // Every part that folds opens and closes by the keyboard's own element.
  folds: function () {
    var faults = [];
    document.querySelectorAll('details').forEach(function (d) {
      if (d.open) { faults.push('"' + d.textContent.trim().slice(0, 40) + '" is open at first'); }
      if (d.firstElementChild.tagName !== 'SUMMARY' || d.querySelector('summary a, summary button')) { faults.push('a part folds by something else than its summary'); }
    });
    return faults;
  },

  // Opens or closes everything.
  open: function (all) {
    document.querySelectorAll('details').forEach(function (d) { d.open = all; });
    return [];
  },

  // The search shows what was asked for, all of it and nothing else.
  filter: async function () {
    var faults = [];
    var items = Array.from(document.querySelectorAll('.item'));
    var shown = function () { return items.filter(function (i) { return i.getClientRects().length > 0 && i.checkVisibility({contentVisibilityAuto: true}); }); };
    var set = function (id, value) {
      var box = document.getElementById('filter-' + id);
      box.value = value;
      box.dispatchEvent(new Event('input', {bubbles: true}));
    };
    if (document.getElementById('filter').hidden) { faults.push('the search is not shown'); }
    ['severity', 'result'].forEach(function (key) {
      Array.from(document.getElementById('filter-' + key).options).forEach(function (option) {
        if (!option.value || option.value === 'all') { return; }
        set(key, option.value);
        var want = items.filter(function (i) { return i.dataset[key] === option.value; }).length;
        var got = shown();
        if (got.length !== want || got.some(function (i) { return i.dataset[key] !== option.value; })) {
          faults.push(key + ' ' + option.value + ': ' + got.length + ' shown of ' + want);
        }
      });
      set(key, '');
    });
    var word = items[0].textContent.trim().split(/\s+/).slice(-1)[0];
    set('text', word.toUpperCase());
    var want = items.filter(function (i) { return i.textContent.toLowerCase().indexOf(word.toLowerCase()) >= 0; }).length;
    if (shown().length !== want) { faults.push('"' + word + '": ' + shown().length + ' shown of ' + want); }
    set('text', 'no such word anywhere');
    if (shown().length !== 0) { faults.push('a word that is nowhere shows ' + shown().length); }
    if (!document.getElementById('filter-count').textContent) { faults.push('the count is not told'); }
    document.querySelector('#filter button').click();
    await new Promise(function (done) { setTimeout(done, 50); });
    probe.open(true);
    if (shown().length !== items.length) { faults.push('not everything is shown after the reset'); }
    probe.open(false);
    return faults;
  },

  // No text lies over another or runs out of the page or its box.
  layout: function () {
    var faults = [];
    var wide = document.documentElement.clientWidth;
    if (document.documentElement.scrollWidth > wide) {
      var widest = Array.from(document.body.querySelectorAll('*')).filter(function (e) {
        return !e.closest('.wide, .sheet') && e.getBoundingClientRect().right > wide + 0.5;
      }).pop();
      faults.push('the page is ' + document.documentElement.scrollWidth + ' px wide on ' + wide + (widest ? ', by ' + widest.outerHTML.slice(0, 120) : ''));
    }
    var boxes = [];
    var walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    var range = document.createRange();
    while (walk.nextNode()) {
      var node = walk.currentNode, parent = node.parentElement;
      if (!node.data.trim() || parent.closest('script, style, title, option, .skip, .away') || !parent.checkVisibility()) { continue; } // folded text has boxes, too
      range.selectNodeContents(node);
      var scrolls = parent.closest('.wide, .sheet');
      Array.from(range.getClientRects()).forEach(function (r) {
        if (r.width < 1) { return; }
        if (!scrolls && (r.left < -0.5 || r.right > wide + 0.5)) { faults.push('"' + node.data.trim().slice(0, 40) + '" runs out of the page'); }
        var cell = parent.closest('td, th, dd, dt' + (scrolls ? '' : ', figure'));
        if (cell) {
          var c = cell.getBoundingClientRect();
          if (r.right > c.right + 1 || r.left < c.left - 1) { faults.push('"' + node.data.trim().slice(0, 40) + '" runs out of its box'); }
        }
        boxes.push({l: r.left + 1, r: r.right - 1, t: r.top + 0.25 * r.height, b: r.bottom - 0.25 * r.height, s: node.data.trim().slice(0, 40)});
      });
    }
    boxes.sort(function (a, b) { return a.t - b.t; });
    for (var i = 0; i < boxes.length; i++) {
      for (var j = i + 1; j < boxes.length && boxes[j].t < boxes[i].b; j++) {
        if (boxes[i].l < boxes[j].r && boxes[j].l < boxes[i].r) { faults.push('"' + boxes[i].s + '" lies over "' + boxes[j].s + '"'); }
      }
    }
    return faults;
  },

  // What axe-core has to say: contrast, names, landmarks.
  access: async function () {
    var result = await axe.run(document, {runOnly: {type: 'tag', values: ['wcag2a', 'wcag2aa', 'best-practice']}});
    return result.violations.map(function (v) {
      return v.id + ': ' + v.help + ' (' + v.nodes.length + '), first ' + v.nodes[0].html.slice(0, 160) + ' ' + (v.nodes[0].any[0] || {message: ''}).message;
    });
  }
};
