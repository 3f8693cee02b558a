package drawing

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"

	"plumbrule/internal/codebook"
	"plumbrule/internal/review"
	"plumbrule/internal/wording"
)

// OnRoofPlan tells whether the mark of a finding stands on the roof plan; all
// others stand on the one-line diagram. Every finding has one mark.
func OnRoofPlan(o *review.Outcome) bool {
	switch o.Subject.Part() {
	case "array", "plane", "obstruction", "building", "site", "as_built":
		return true
	}
	return false
}

// svgFindings are the findings of one check that are marked at one place with
// the same result.
type svgFindings struct {
	check   *codebook.Check
	result  review.Result
	excused bool
	list    []*review.Outcome // in the order of their numbers
	numbers []int
	own     bool // each finding has a mark of its own at its subject
	rest    bool // the groups of a cluster that have no flag of their own
}

// groupFindings gathers the findings that want a mark by the place that spot
// gives them, in the order of their first numbers.
func groupFindings(r *review.Review, want func(*review.Outcome) bool, spot func(*review.Outcome) string) (groups []*svgFindings, places []string) {
	type key struct {
		place, check string
		result       review.Result
		excused      bool
	}
	number := wording.FindingNumber(r)
	byKey := map[key]*svgFindings{}
	for _, o := range r.Worst() {
		if !want(o) {
			continue
		}
		k := key{spot(o), o.Check.ID, o.Result, o.Excused != nil}
		g := byKey[k]
		if g == nil {
			g = &svgFindings{check: o.Check, result: o.Result, excused: o.Excused != nil}
			byKey[k] = g
			groups, places = append(groups, g), append(places, k.place)
		}
		g.list, g.numbers = append(g.list, o), append(g.numbers, number(o))
	}
	return groups, places
}

// label is what the flag of a group says: its number, or the span or first of
// several.
func (g *svgFindings) label() string {
	first, last, n := g.numbers[0], g.numbers[len(g.numbers)-1], len(g.numbers)
	switch {
	case g.rest:
		return fmt.Sprintf("+%d", n)
	case n == 1:
		return strconv.Itoa(first)
	case last-first == n-1:
		return fmt.Sprintf("%d-%d", first, last)
	}
	return fmt.Sprintf("%d +%d", first, n-1)
}

const (
	flagHeight = 11.0
	flagPad    = 5.0
	flagGap    = 2.0
)

func (g *svgFindings) width() float64 {
	return svgWidth(g.label(), sizeText, true) + 2*flagPad + 3
}

// colour is that of the severity; shape and line say the same in grey.
func (g *svgFindings) colour() string {
	if g.excused {
		return inkGreen
	}
	switch g.check.Severity {
	case codebook.Correction:
		return inkBrick
	case codebook.Verify:
		return inkAmber
	}
	return inkSlate
}

// title is what a pointer resting on a mark shows.
func (g *svgFindings) title(i int) string {
	o := g.list[i]
	s := fmt.Sprintf("%d: %s; %s; %s", g.numbers[i], o.Check.Title, o.Subject.Label(), o.Result)
	if o.Excused != nil {
		s += ", excused"
	}
	return s
}

// flag draws the flag of a group with its upper left corner at a point. Its
// anchor is the mark of each finding that has no mark at its own subject.
func (g *svgFindings) flag(c *svgCanvas, at svgPoint) {
	w, h := g.width(), flagHeight
	if g.own {
		c.put(`<a class="flag" href="#finding-%d">`, g.numbers[0])
	} else {
		c.put(`<a class="mark" id="mark-%d" href="#finding-%d">`, g.numbers[0], g.numbers[0])
	}
	c.put(`<title>%s</title>`, wording.XML(g.title(0)))
	g.shape(c, at, w, h)
	fill := inkText
	if g.check.Severity == codebook.Correction && !g.excused && g.result == review.NotMet {
		fill = inkOnBrick
	}
	c.text(svgText{at: at.plus(w/2, h/2+2.6), text: g.label(), size: sizeText, anchor: "middle", bold: true, fill: fill})
	c.put(`</a>`)
	if g.own {
		return
	}
	for i, n := range g.numbers[1:] { // each further finding has the same place
		c.put(`<a class="mark" id="mark-%d" href="#finding-%d"><title>%s</title><rect x="%s" y="%s" width="%s" height="%s" fill="none"/></a>`,
			n, n, wording.XML(g.title(i+1)), SvgNumber(at.x), SvgNumber(at.y), SvgNumber(w), SvgNumber(h))
	}
}

// shape is the body of a flag: pointed for a correction, cut at the corners to
// verify, round for an advisory; filled when not met, dashed when
// undetermined, dotted when excused.
func (g *svgFindings) shape(c *svgCanvas, at svgPoint, w, h float64) {
	style := fmt.Sprintf(`fill="%s" stroke="%s" stroke-width="1"`, inkPaper, g.colour())
	switch {
	case g.excused:
		style += ` stroke-dasharray="1 1.5"`
	case g.result == review.Undetermined:
		style += ` stroke-dasharray="3 1.5"`
	case g.check.Severity == codebook.Correction:
		style = fmt.Sprintf(`fill="%s" stroke="%s" stroke-width="1"`, g.colour(), g.colour())
	}
	switch g.check.Severity {
	case codebook.Correction:
		c.put(`<path d="%s" %s/>`, svgPath(true, at, at.plus(w-4, 0), at.plus(w, h/2), at.plus(w-4, h), at.plus(0, h)), style)
	case codebook.Verify:
		c.put(`<path d="%s" %s/>`, svgPath(true, at.plus(3, 0), at.plus(w-3, 0), at.plus(w, 3), at.plus(w, h-3), at.plus(w-3, h), at.plus(3, h), at.plus(0, h-3), at.plus(0, 3)), style)
	default:
		c.put(`<rect x="%s" y="%s" width="%s" height="%s" rx="%s" %s/>`, SvgNumber(at.x), SvgNumber(at.y), SvgNumber(w), SvgNumber(h), SvgNumber(h/2), style)
	}
}

// svgCluster is the flags of one place in rows.
type svgCluster struct {
	place string
	flags []*svgFindings
}

const clusterRow = 4

// clusters puts the groups of a place together, in order.
func clusters(groups []*svgFindings, places []string) []*svgCluster {
	var out []*svgCluster
	for i, g := range groups {
		k := slices.IndexFunc(out, func(c *svgCluster) bool { return c.place == places[i] })
		if k < 0 {
			k = len(out)
			out = append(out, &svgCluster{place: places[i]})
		}
		out[k].flags = append(out[k].flags, g)
	}
	return out
}

// short keeps a number of flags; one more stands for the rest of the groups.
func (k *svgCluster) short(most int) *svgCluster {
	if len(k.flags) <= most {
		return k
	}
	kept := slices.Clone(k.flags[:most-1])
	first := k.flags[most-1]
	rest := &svgFindings{check: first.check, result: first.result, excused: first.excused, own: first.own, rest: true}
	for _, g := range k.flags[most-1:] {
		rest.list, rest.numbers = append(rest.list, g.list...), append(rest.numbers, g.numbers...)
	}
	return &svgCluster{k.place, append(kept, rest)}
}

func (k *svgCluster) size() (w, h float64) {
	for row := range slices.Chunk(k.flags, clusterRow) {
		x := -flagGap
		for _, g := range row {
			x += g.width() + flagGap
		}
		w = max(w, x)
		h += flagHeight + flagGap
	}
	return w, h - flagGap
}

// draw draws the flags and gives the place of each.
func (k *svgCluster) draw(c *svgCanvas, at svgPoint) []svgBox {
	var out []svgBox
	for row := range slices.Chunk(k.flags, clusterRow) {
		x := at.x
		for _, g := range row {
			g.flag(c, svgPoint{x, at.y})
			out = append(out, svgBox{x, at.y, x + g.width(), at.y + flagHeight})
			x += g.width() + flagGap
		}
		at.y += flagHeight + flagGap
	}
	return out
}

// flagAt places at most a number of flags of a cluster with a leader to their
// subject; false where there is no room for them.
func (k *svgCluster) flagAt(p *svgPlacer, c *svgCanvas, at svgPoint, most int) bool {
	k = k.short(most)
	w, h := k.size()
	b, ok := p.near(w, h, at, p.area.grown(-4), true)
	if !ok {
		return false
	}
	var flags svgCanvas
	boxes := k.draw(&flags, svgPoint{b.x0, b.y0})
	nearest := slices.MinFunc(boxes, func(a, b svgBox) int { return cmp.Compare(a.distance(at), b.distance(at)) })
	lead(c, nearest, at)
	c.Write(flags.Bytes())
	return true
}

// looseEntries are the flags that have no place on the drawing, or found no
// room there, under the names of what they are about. They stand in the column
// and go on to further sheets with it: a finding is never left away.
func looseEntries(loose []*svgCluster) []svgEntry {
	var out []svgEntry
	for _, k := range loose {
		out = append(out, svgParagraph(k.place, 0, nil))
		for _, row := range k.flags {
			out = append(out, func(width float64) (float64, func(*svgCanvas, svgPoint)) {
				x := row.width() + 4
				lines := svgWrap(row.check.Title, sizeText, width-x, false)
				return max(flagHeight, lineHeight*float64(len(lines))) + flagGap, func(c *svgCanvas, at svgPoint) {
					row.flag(c, at)
					for i, l := range lines {
						c.text(svgText{at: at.plus(x, 8+lineHeight*float64(i)), text: l, size: sizeText})
					}
				}
			})
		}
	}
	return headed("Not at one place", out...)
}

// lead draws the leader from a flag to its subject, with a dot on it.
func lead(c *svgCanvas, from svgBox, to svgPoint) {
	c.line(from.edgeToward(to), to, svgStroke(inkText, 0.6, ""))
	c.circle(to, 1.3, `fill="`+inkText+`"`)
}

// listed is the entry of a group in the list of findings of a drawing that
// stands by itself: every number leads back to its mark.
func (g *svgFindings) listed(place string) svgEntry {
	return func(width float64) (float64, func(*svgCanvas, svgPoint)) {
		o := g.list[0]
		subject := o.Subject.Label()
		if len(g.list) > 1 {
			subject = fmt.Sprintf("%s, and %d more (%s)", subject, len(g.list)-1, place)
		}
		word := string(g.check.Severity) + ", " + string(g.result)
		if g.excused {
			word += ", excused by " + o.Excused.By
		}
		says := o.Finding
		if o.Result == review.Undetermined {
			says = wording.Open(o)
		}
		const indent = 8.0
		type part struct {
			lines []string
			bold  bool
		}
		parts := []part{
			{svgWrap(g.check.Title, sizeText, width-indent, true), true},
			{svgWrap(subject, sizeText, width-indent, false), false},
			{svgWrap(word, sizeText, width-indent, false), false},
			{svgWrap(says, sizeText, width-indent, false), false},
		}
		numbers, rows := g.numberRows(width)
		h := lineHeight*float64(rows) + 6
		for _, p := range parts {
			h += lineHeight * float64(len(p.lines))
		}
		return h, func(c *svgCanvas, at svgPoint) {
			numbers(c, at)
			y := lineHeight * float64(rows)
			for _, p := range parts {
				for _, l := range p.lines {
					c.text(svgText{at: at.plus(indent, y+6.8), text: l, size: sizeText, bold: p.bold})
					y += lineHeight
				}
			}
		}
	}
}

// numberRows lays the numbers of a group out in rows.
func (g *svgFindings) numberRows(width float64) (draw func(*svgCanvas, svgPoint), rows int) {
	const gap = 6.0
	at := make([]svgPoint, len(g.numbers))
	x, rows := 0.0, 1
	for i, n := range g.numbers {
		w := svgWidth(strconv.Itoa(n), sizeText, true)
		if x+w > width {
			x, rows = 0, rows+1
		}
		at[i] = svgPoint{x, lineHeight * float64(rows-1)}
		x += w + gap
	}
	return func(c *svgCanvas, from svgPoint) {
		for i, n := range g.numbers {
			c.put(`<a id="finding-%d" href="#mark-%d">`, n, n)
			c.text(svgText{at: from.plus(at[i].x, at[i].y+6.8), text: strconv.Itoa(n), size: sizeText, bold: true, fill: g.colour()})
			c.put(`</a>`)
		}
	}, rows
}

// elsewhere says which findings of the review this drawing does not show.
func elsewhere(r *review.Review, here func(*review.Outcome) bool, other string) string {
	n := 0
	for _, o := range r.Worst() {
		if !here(o) {
			n++
		}
	}
	if n == 0 {
		return ""
	}
	return wording.Plural(n, "further finding is", "further findings are") + " marked on the " + other + "."
}

// flagLegend explains the flags that a drawing carries.
func flagLegend(groups []*svgFindings) []svgEntry {
	var out []svgEntry
	for _, s := range codebook.Severities {
		for _, result := range []review.Result{review.NotMet, review.Undetermined} {
			for _, excused := range []bool{false, true} {
				n := 0
				for _, g := range groups {
					if g.check.Severity == s && g.result == result && g.excused == excused {
						n += len(g.list)
					}
				}
				if n == 0 {
					continue
				}
				sample := &svgFindings{check: &codebook.Check{Severity: s}, result: result, excused: excused}
				text := fmt.Sprintf("%s, %s: %d", s, result, n)
				if excused {
					text = fmt.Sprintf("%s, excused: %d", s, n)
				}
				out = append(out, svgParagraph(text, 28, func(c *svgCanvas, at svgPoint) {
					sample.shape(c, at.plus(0, -4), 20, 8)
				}))
			}
		}
	}
	if len(out) > 0 {
		out = append(out, svgParagraph("2-5: findings 2 to 5, of one check; +5: five more, see the list.", 0, nil))
	}
	return headed("Findings", out...)
}

// findingList is the list of findings of a drawing that stands by itself.
func findingList(groups []*svgFindings, places []string, embedded bool) []svgEntry {
	if embedded {
		return nil
	}
	var out []svgEntry
	for i, g := range groups {
		out = append(out, g.listed(places[i]))
	}
	return headed("List of findings", out...)
}

// noteEntries are the notes of a sheet.
func noteEntries(notes []string) []svgEntry {
	var out []svgEntry
	for _, n := range notes {
		out = append(out, svgParagraph(n, 0, nil))
	}
	return headed("Notes", out...)
}

// cautionEntries close every sheet.
func cautionEntries() []svgEntry {
	var out []svgEntry
	for _, c := range wording.Cautions {
		out = append(out, svgParagraph(c, 0, nil))
	}
	return headed("Cautions", out...)
}
