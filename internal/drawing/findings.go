package drawing

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"plumbrule/internal/codebook"
	"plumbrule/internal/review"
	"plumbrule/internal/wording"
)

// OnRoofPlan tells whether what is marked of an outcome stands on the roof plan;
// all others stand on the one-line diagram. A comment has one mark, at its
// worst subject.
func OnRoofPlan(o *review.Outcome) bool {
	switch o.Subject.Part() {
	case "array", "plane", "obstruction", "building", "site", "as_built":
		return true
	}
	return false
}

// svgRole is what a flag is to its comment.
type svgRole uint8

const (
	worstOf    svgRole = iota // the mark of a comment, at its worst subject
	furtherOf                 // its other subjects at one place, lighter
	comesOf                   // what comes of comments at one place, lightest
	acceptedAs                // an accepted deviation, which is no comment
)

// svgFindings is one flag: a comment at its worst subject, its further subjects
// at one place, or the numbers of the comments that other outcomes at one place
// come of.
type svgFindings struct {
	role     svgRole
	comment  *review.Comment
	severity codebook.Severity
	result   review.Result
	list     []*review.Outcome // what it marks, in the order of the job
	numbers  []string          // of those outcomes, or of the comments they come of
	own      bool              // each outcome has a mark of its own at its subject
	rest     []*svgFindings    // the flags of a cluster that found no room, for which it stands
	causes   []*review.Comment // whose numbers it has, where they are those of causes
}

// groupFindings makes the flags of the comments: those that want asks for, at
// the places that spot gives them. Comments come in their order, and what comes
// of them last.
func groupFindings(r *review.Review, want func(*review.Outcome) bool, spot func(*review.Outcome) string) (groups []*svgFindings, places []string) {
	var light []*svgFindings
	var lightPlaces []string
	for _, c := range r.Comments() {
		add := func(role svgRole, o *review.Outcome, place, number string) {
			list, at := &groups, &places
			if role == comesOf {
				list, at = &light, &lightPlaces
			}
			for i, g := range *list {
				same := role == comesOf || role == g.role && role == furtherOf && g.comment == c
				if same && (*at)[i] == place {
					g.list = append(g.list, o)
					if role == comesOf {
						g.causes = append(g.causes, c)
					}
					g.numbers = append(g.numbers, number)
					return
				}
			}
			g := &svgFindings{role: role, comment: c, severity: c.Severity, result: c.Result, list: []*review.Outcome{o}, numbers: []string{number}}
			if role == comesOf {
				g.causes = []*review.Comment{c}
			}
			*list, *at = append(*list, g), append(*at, place)
		}
		if o := c.Worst(); want(o) {
			add(worstOf, o, spot(o), strconv.Itoa(c.Number))
		}
		for _, o := range c.Subjects {
			if o != c.Worst() && want(o) {
				add(furtherOf, o, spot(o), r.Number(o))
			}
		}
		marked := map[string]bool{}
		for _, f := range c.Follows {
			for _, o := range f.Subjects {
				if o == c.Worst() || !want(o) || r.Number(o) != strconv.Itoa(c.Number) {
					continue
				}
				if place := spot(o); !marked[place] {
					marked[place] = true
					add(comesOf, o, place, strconv.Itoa(c.Number))
				}
			}
		}
	}
	accepted, acceptedPlaces := groupAccepted(r, want, spot)
	return slices.Concat(groups, light, accepted), slices.Concat(places, lightPlaces, acceptedPlaces)
}

// groupAccepted makes the flags of accepted deviations: one number for what one
// check found and one person accepted, the same on all drawings, and one flag for
// each place.
func groupAccepted(r *review.Review, want func(*review.Outcome) bool, spot func(*review.Outcome) string) (groups []*svgFindings, places []string) {
	type deviation struct {
		check                 *codebook.Check
		reason, by, reference string
	}
	numbers := map[deviation]string{}
	at := map[string]*svgFindings{}
	for _, o := range r.Worst() {
		if o.Excused == nil {
			continue
		}
		d := deviation{o.Check, o.Excused.Reason.Value, o.Excused.By.Value, o.Excused.Reference.Value}
		if numbers[d] == "" {
			numbers[d] = "A" + strconv.Itoa(len(numbers)+1)
		}
		if !want(o) {
			continue
		}
		place := spot(o)
		key := numbers[d] + " " + place
		if g := at[key]; g != nil {
			g.list = append(g.list, o)
			continue
		}
		at[key] = &svgFindings{role: acceptedAs, severity: o.Check.Severity, result: o.Result, list: []*review.Outcome{o}, numbers: []string{numbers[d]}}
		groups, places = append(groups, at[key]), append(places, place)
	}
	return groups, places
}

// acceptedText says what was accepted, where, why and by whom.
func (g *svgFindings) acceptedText() string {
	e := g.list[0].Excused
	where := g.list[0].Subject.Label()
	if n := len(g.list); n > 1 {
		where += " and " + wording.Plural(n-1, "other", "others")
	}
	return g.numbers[0] + ": " + g.list[0].Check.Title + "; " + where + "; accepted by " + e.By.Value + ": " + e.Reason.Value
}

// label is what a flag says: its number, the span of several subjects, or, in
// brackets, the comments that something comes of.
func (g *svgFindings) label() string {
	switch n := len(g.numbers); {
	case g.rest != nil:
		return fmt.Sprintf("+%d", len(g.rest))
	case g.role == acceptedAs:
		return g.numbers[0] + " accepted"
	case g.role == comesOf && n > 3:
		return "(" + strings.Join(g.numbers[:3], ", ") + ", +" + strconv.Itoa(n-3) + ")"
	case g.role == comesOf:
		return "(" + strings.Join(g.numbers, ", ") + ")"
	case n == 1:
		return g.numbers[0]
	default:
		return g.numbers[0] + " +" + strconv.Itoa(n-1)
	}
}

const (
	flagHeight = 12.0
	flagPad    = 5.0
	flagGap    = 2.0
)

func (g *svgFindings) width() float64 {
	return svgWidth(g.label(), sizeText, g.role == worstOf) + 2*flagPad + 3
}

// colour is that of the severity; shape and line say the same in grey.
func (g *svgFindings) colour() string {
	switch g.severity {
	case codebook.Correction:
		return inkBrick
	case codebook.Verify:
		return inkAmber
	}
	return inkSlate
}

// title is what a pointer resting on a mark shows.
func (g *svgFindings) title(i int) string {
	if g.role == acceptedAs {
		return g.acceptedText()
	}
	if g.role == comesOf {
		return "what comes of " + strings.Join(g.numbers, ", ")
	}
	return fmt.Sprintf("%s: %s; %s; %s", g.numbers[i], wording.Heading(g.comment), g.list[i].Subject.Label(), wording.Status(g.comment))
}

// link leads to the comment of a flag, or the first of several.
func (g *svgFindings) link() string { return "#comment-" + strconv.Itoa(g.comment.Number) }

// flag draws the flag of a group with its upper left corner at a point. Its
// anchor is the mark of each subject that has no mark at its own place.
func (g *svgFindings) flag(c *svgCanvas, at svgPoint) {
	w, h := g.width(), flagHeight
	if g.role == acceptedAs && g.rest == nil { // no comment to lead to
		c.put(`<g class="accepted"><title>%s</title>`, wording.XML(g.title(0)))
		g.shape(c, at, w, h)
		c.text(svgText{at: at.plus(w/2, h/2+2.9), text: g.label(), size: sizeText, anchor: "middle"})
		c.put(`</g>`)
		return
	}
	class := "light"
	if g.role == worstOf {
		class = "mark"
	}
	id := ""
	if g.role != comesOf && !g.own && g.rest == nil {
		id = fmt.Sprintf(` id="mark-%s"`, g.numbers[0])
	}
	c.put(`<a class="%s"%s href="%s">`, class, id, g.link())
	c.put(`<title>%s</title>`, wording.XML(g.title(0)))
	g.shape(c, at, w, h)
	fill := inkText
	switch {
	case g.role == comesOf:
		fill = inkSoft
	case g.filled():
		fill = inkOnBrick
	}
	c.text(svgText{at: at.plus(w/2, h/2+2.9), text: g.label(), size: sizeText, anchor: "middle", bold: g.role == worstOf, fill: fill})
	c.put(`</a>`)
	for _, k := range g.rest { // each has its mark at the same place
		if k.role != comesOf && k.role != acceptedAs {
			c.put(`<a class="mark" id="mark-%s" href="%s"><title>%s</title><rect x="%s" y="%s" width="%s" height="%s" fill="none"/></a>`,
				k.numbers[0], k.link(), wording.XML(k.title(0)), SvgNumber(at.x), SvgNumber(at.y), SvgNumber(w), SvgNumber(h))
		}
	}
}

// filled tells whether the body of a flag is: the mark of a correction that is
// not met.
func (g *svgFindings) filled() bool {
	return g.role == worstOf && g.severity == codebook.Correction && g.result == review.NotMet
}

// shape is the body of a flag: pointed for a correction, cut at the corners to
// verify, round for an advisory; filled when not met, dashed when
// undetermined; a thin line for further subjects, bare paper for what comes of
// a comment.
func (g *svgFindings) shape(c *svgCanvas, at svgPoint, w, h float64) {
	if g.role == comesOf {
		c.rect(svgBox{at.x, at.y, at.x + w, at.y + h}, `fill="`+inkPaper+`"`)
		return
	}
	if g.role == acceptedAs {
		box := svgBox{at.x, at.y, at.x + w, at.y + h}
		c.rect(box, fmt.Sprintf(`fill="%s" stroke="%s" stroke-width="0.8"`, inkPaper, inkGreen))
		c.rect(box.grown(-1.6), svgStroke(inkGreen, 0.5, ""))
		return
	}
	width, fill := 1.1, inkPaper
	if g.role == furtherOf {
		width = 0.5
	}
	if g.filled() {
		fill = g.colour()
	}
	style := fmt.Sprintf(`fill="%s" stroke="%s" stroke-width="%s"`, fill, g.colour(), SvgNumber(width))
	if g.result == review.Undetermined {
		style += ` stroke-dasharray="3 1.5"`
	}
	switch g.severity {
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

// clusters puts the flags of a place together: marks of comments before others.
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
	for _, k := range out {
		slices.SortStableFunc(k.flags, func(a, b *svgFindings) int { return cmp.Compare(a.role, b.role) })
	}
	return out
}

// short keeps a number of flags; one more stands for the rest of the groups.
func (k *svgCluster) short(most int) *svgCluster {
	if len(k.flags) <= most {
		return k
	}
	// What is accepted comes last and stays readable in the list of the sheet.
	kept := slices.Clone(k.flags[:most-1])
	if k.flags[most-1].role == acceptedAs {
		return &svgCluster{k.place, append(kept, k.flags[most-1])}
	}
	first := k.flags[most-1]
	rest := &svgFindings{role: furtherOf, comment: first.comment, severity: first.severity, result: first.result, list: first.list, numbers: first.numbers, rest: k.flags[most-1:]}
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
// and go on to further sheets with it: a comment is never left away. What comes
// of a comment and has no place is named by the comment alone.
func looseEntries(loose []*svgCluster) []svgEntry {
	var out []svgEntry
	for _, k := range loose {
		var rows []svgEntry
		for _, row := range k.flags {
			if row.role == comesOf {
				continue
			}
			if row.role == acceptedAs {
				rows = append(rows, svgParagraph(row.numbers[0]+": "+row.list[0].Check.Title+", accepted", 0, nil))
				continue
			}
			rows = append(rows, func(width float64) (float64, func(*svgCanvas, svgPoint)) {
				x := row.width() + 4
				lines := svgWrap(wording.Heading(row.comment), sizeText, width-x, false)
				return max(flagHeight, lineHeight*float64(len(lines))) + flagGap, func(c *svgCanvas, at svgPoint) {
					row.flag(c, at)
					for i, l := range lines {
						c.text(svgText{at: at.plus(x, 8.4+lineHeight*float64(i)), text: l, size: sizeText})
					}
				}
			})
		}
		if len(rows) > 0 {
			out = append(append(out, svgParagraph(k.place, 0, nil)), rows...)
		}
	}
	return headed("Not at one place", out...)
}

// lead draws the leader from a flag to its subject, with a dot on it.
func lead(c *svgCanvas, from svgBox, to svgPoint) {
	c.line(from.edgeToward(to), to, svgStroke(inkText, 0.6, ""))
	c.circle(to, 1.3, `fill="`+inkText+`"`)
}

// listed is the entry of a comment in the list of a drawing that stands by
// itself: its number leads back to its mark.
func listed(r *review.Review, k *review.Comment, back string) svgEntry {
	say := wording.LanguageOf(r)
	return func(width float64) (float64, func(*svgCanvas, svgPoint)) {
		const indent = 8.0
		number := strconv.Itoa(k.Number)
		past := indent + svgWidth(number, sizeText, true)
		head := svgWrap(wording.Heading(k), sizeText, width-past, true)
		var lines []string
		add := func(text string) {
			text = say.OnTape(text, k.Worst())
			lines = append(lines, svgWrap(text, sizeText, width-past, false)...)
		}
		add(string(k.Severity) + ", " + wording.Status(k) + wording.Shortly(k))
		add(wording.Found(k))
		if comes := wording.Comes(k); comes != "" {
			add("comes of it: " + comes)
		}
		return lineHeight*float64(len(head)+len(lines)) + 7, func(c *svgCanvas, at svgPoint) {
			href := ""
			if back != "" {
				href = ` href="#mark-` + back + `"`
			}
			c.put(`<a id="comment-%s"%s>`, number, href)
			c.text(svgText{at: at.plus(0, 7.6), text: number, size: sizeText, bold: true, fill: (&svgFindings{severity: k.Severity}).colour()})
			c.put(`</a>`)
			for i, l := range append(head[:len(head):len(head)], lines...) {
				c.text(svgText{at: at.plus(past, lineHeight*float64(i)+7.6), text: l, size: sizeText, bold: i < len(head)})
			}
		}
	}
}

// elsewhere says how many comments have their mark on the other drawing.
func elsewhere(r *review.Review, here func(*review.Outcome) bool, other string) string {
	n := 0
	for _, c := range r.Comments() {
		if !here(c.Worst()) {
			n++
		}
	}
	if n == 0 {
		return ""
	}
	return wording.Plural(n, "further comment is", "further comments are") + " marked on the " + other + "."
}

// flagLegend explains the flags that a drawing carries.
func flagLegend(groups []*svgFindings) []svgEntry {
	var out []svgEntry
	for _, s := range codebook.Severities {
		for _, result := range []review.Result{review.NotMet, review.Undetermined} {
			n := 0
			for _, g := range groups {
				if g.role == worstOf && g.severity == s && g.result == result {
					n++
				}
			}
			if n == 0 {
				continue
			}
			sample := &svgFindings{severity: s, result: result}
			out = append(out, svgParagraph(fmt.Sprintf("%s, %s: %s", s, result, wording.Plural(n, "comment", "comments")), 28, func(c *svgCanvas, at svgPoint) {
				sample.shape(c, at.plus(0, -4), 20, 8)
			}))
		}
	}
	if slices.ContainsFunc(groups, func(g *svgFindings) bool { return g.role == furtherOf }) {
		sample := &svgFindings{role: furtherOf, severity: codebook.Correction, result: review.NotMet}
		out = append(out, svgParagraph("12.2 +3, in a thin line: further subjects of comment 12", 28, func(c *svgCanvas, at svgPoint) { sample.shape(c, at.plus(0, -4), 20, 8) }))
	}
	if slices.ContainsFunc(groups, func(g *svgFindings) bool { return g.role == comesOf }) {
		out = append(out, svgParagraph("(12): what comes of comment 12", 28, nil))
	}
	out = headed("Comments", out...)
	if slices.ContainsFunc(groups, func(g *svgFindings) bool { return g.role == acceptedAs }) {
		sample := &svgFindings{role: acceptedAs}
		out = append(out, headed("Accepted deviations", svgParagraph("in a double frame, with the letter A: accepted, no comment to answer", 28, func(c *svgCanvas, at svgPoint) { sample.shape(c, at.plus(0, -4), 20, 8) }))...)
		seen := map[string]bool{}
		for _, g := range groups {
			if g.role == acceptedAs && !seen[g.numbers[0]] {
				seen[g.numbers[0]] = true
				out = append(out, svgParagraph(g.acceptedText(), 0, nil))
			}
		}
	}
	return out
}

// findingList is the list of comments of a drawing that stands by itself: those
// that it marks in any way. One whose cause is marked elsewhere has no way back.
func findingList(r *review.Review, groups []*svgFindings, embedded bool) []svgEntry {
	if embedded {
		return nil
	}
	back := map[*review.Comment]string{}
	var order []*review.Comment
	for _, g := range groups {
		if g.role == acceptedAs {
			continue
		}
		of, mark := []*review.Comment{g.comment}, g.numbers[0]
		if g.role == comesOf {
			of, mark = g.causes, ""
		}
		for _, k := range of {
			was, seen := back[k]
			if !seen {
				order = append(order, k)
			}
			if was == "" {
				back[k] = mark
			}
		}
	}
	slices.SortFunc(order, func(a, b *review.Comment) int { return cmp.Compare(a.Number, b.Number) })
	var out []svgEntry
	for _, k := range order {
		out = append(out, listed(r, k, back[k]))
	}
	return headed("List of comments", out...)
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
