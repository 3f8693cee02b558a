package report

import (
	"bytes"
	"fmt"
	"io"
	"slices"
	"strings"

	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/review"
	"plumbrule/internal/wording"
)

// Missing writes the list of what the job leaves out, in the order of what
// waits for it: what each key means and may hold, what holds without it, where
// a person finds it, and where in the file it belongs. Where the job waits for
// editions, what it would be asked under others follows; nil where it does not.
func Missing(w io.Writer, r *review.Review, ahead *review.Ahead, o TextOptions) error {
	p := newPage(o)
	list := r.Missing()
	p.line(p.heading.Sprint("MISSING") + "  " + wording.Plain(wording.JobFile(r)))
	if len(list) == 0 {
		p.paragraph(0, "Nothing is missing: no outcome waits for a key that the job leaves out.")
	} else {
		p.paragraph(0, wording.MissingFrom(r, list)+", listed by how many wait.")
	}
	var further []*review.Missing
	var under string
	if ahead != nil {
		var head string
		head, under = wording.FurtherKeys(ahead)
		further = ahead.Missing
		p.paragraph(0, head)
	}
	p.waits(list, 0, o.Full)
	if len(further) > 0 {
		p.line("")
		p.line(p.heading.Sprint("ONCE THE EDITIONS ARE STATED"))
		p.paragraph(0, under)
		p.waits(further, len(list), o.Full)
	}
	if len(list) > 0 {
		p.line("")
		p.paragraph(0, "The same as a block to paste, each key commented, with an example of its form:")
		p.line(wording.Spaces(margin) + "plumbrule check --missing --format toml " + p.again + wording.Plain(wording.JobFile(r)))
	}
	p.line("")
	p.paragraph(0, wording.MadeWith(o.Version, r.Book))
	_, err := w.Write(p.Bytes())
	return err
}

// waits writes needs in their order, numbered on from those before.
func (p *page) waits(list []*review.Missing, before int, full bool) {
	for i, m := range list {
		p.line("")
		number := fmt.Sprintf("%d.", before+i+1)
		p.wait(number+wording.Spaces(max(1, margin-len(number))), m)
		for _, s := range m.Slots {
			if !full {
				p.paragraph(margin, s.Field.Doc+": "+wording.Holds(s))
				continue
			}
			if len(m.Slots) > 1 {
				p.row("Key", s.Key)
			}
			p.row("Means", s.Field.Doc)
			p.row("Holds", wording.Holds(s))
			p.row("Left out", s.Field.LeftOut())
			p.row("Found", s.Find())
			p.row("Belongs", wording.Belongs(s))
		}
	}
}

// wait writes a need with what waits for it at the right edge, or below where
// there is no room.
func (p *page) wait(lead string, m *review.Missing) {
	need, waiting := wording.Plain(m.Need.String()), wording.WaitingFor(m)
	if gap := p.width - wording.Columns(lead+need+waiting); gap >= 2 {
		p.line(lead + need + wording.Spaces(gap) + waiting)
		return
	}
	p.line(lead + need)
	p.line(wording.Spaces(len(lead)) + waiting)
}

// mostMissing is how many of the keys that are left out a report lists; the
// findings name all of them.
const mostMissing = 10

// missing is the part of the letter that says what to state first.
func (t *letter) missing() {
	list := t.r.Missing()
	if len(list) == 0 {
		return
	}
	t.head("Missing", wording.Plural(wording.KeysLeftOut(list), "key", "keys"))
	for _, m := range list[:min(len(list), mostMissing)] {
		t.wait("", m)
		means, found := wording.MeansAndFound(m)
		t.paragraph(margin, means)
		t.paragraph(margin, "found: "+found)
	}
	more := ""
	if n := len(list) - mostMissing; n > 0 {
		more = fmt.Sprintf("And %d more. ", n)
	}
	t.paragraph(0, more+"Each with its units and words, its place and a block to paste:")
	t.line(wording.Spaces(margin) + "plumbrule check --missing " + t.again + wording.Plain(wording.JobFile(t.r)))
}

// MissingTOML writes what the job leaves out as a block to paste, grouped by
// table. Every line is a comment: after "# " stand words, and after "#" alone
// TOML, which is valid where it is uncommented.
func MissingTOML(w io.Writer, r *review.Review, ahead *review.Ahead, version string) error {
	b := &block{system: r.System}
	list := r.Missing()
	b.says(wording.JobFile(r))
	b.says(wording.MadeWith(version, r.Book) + ".")
	if len(list) == 0 {
		b.says("Nothing is missing: no outcome waits for a key that the job leaves out.")
	} else {
		b.says(wording.MissingFrom(r, list) + ".")
		b.says("Move a key to the table that it belongs to, take off its # and put in the value of this job:")
		b.says("each shows an example of the form only.")
	}
	var further []*review.Missing
	if ahead != nil {
		head, under := wording.FurtherKeys(ahead)
		b.says(head)
		if further = ahead.Missing; len(further) > 0 {
			b.says(under)
		}
	}
	for _, g := range groupsOf(list, further) {
		b.group(g)
	}
	_, err := w.Write(b.Bytes())
	return err
}

// gap is one key that is left out.
type gap struct {
	*job.Slot
	missing *review.Missing
	further bool // it is asked only once the editions are stated
}

// group is the keys of one section or of one entry of a list of tables, those of
// its own table first.
type group struct{ gaps []gap }

// groupsOf parts the list, and what is asked further, by section and entry, in
// the order in which each comes first.
func groupsOf(list, further []*review.Missing) []*group {
	var out []*group
	byName, seen := map[string]*group{}, map[string]bool{}
	for i, m := range slices.Concat(list, further) {
		for _, s := range m.Slots {
			if seen[s.Key] {
				continue
			}
			seen[s.Key] = true
			name := s.Key
			if len(s.Tables) > 0 {
				name = fmt.Sprint(s.Tables[0].Key, " ", s.Tables[0].Number)
			}
			g := byName[name]
			if g == nil {
				g = &group{}
				byName[name] = g
				out = append(out, g)
			}
			g.gaps = append(g.gaps, gap{s, m, i >= len(list)})
		}
	}
	for _, g := range out {
		slices.SortStableFunc(g.gaps, func(a, b gap) int { return slices.CompareFunc(a.Tables, b.Tables, compareOpenings) })
	}
	return out
}

// compareOpenings puts the entries of one list in their order.
func compareOpenings(a, b job.Opening) int {
	if c := strings.Compare(a.Key, b.Key); c != 0 {
		return c
	}
	return a.Number - b.Number
}

// block collects the lines of a block to paste.
type block struct {
	bytes.Buffer
	system quantity.System
}

func (b *block) says(text string) { fmt.Fprintln(b, "# "+wording.Plain(text)) }
func (b *block) toml(text string) { fmt.Fprintln(b, "#"+text) }

// group opens each table once, an entry with its name.
func (b *block) group(g *group) {
	fmt.Fprintln(b)
	var open []job.Opening
	for _, x := range g.gaps {
		if len(x.Tables) == 0 {
			b.key(x)
			continue
		}
		if !slices.EqualFunc(open, x.Tables, func(a, b job.Opening) bool { return compareOpenings(a, b) == 0 }) {
			for i, o := range x.Tables {
				if i < len(open) && compareOpenings(open[i], o) == 0 {
					continue
				}
				if i == len(x.Tables)-1 {
					b.says("belongs to " + wording.Belongs(x.Slot))
				}
				b.open(o)
			}
			open = x.Tables
		}
		b.key(x)
	}
}

func (b *block) open(o job.Opening) {
	b.toml(wording.Header(o.Key, o.Number > 0))
	if o.Name != "" {
		b.toml("name = " + job.Quote(o.Name))
	}
}

// key writes what a key means and an example of its form. One that is a list of
// tables gets an entry with what every entry has to state.
func (b *block) key(x gap) {
	b.says(wording.MeansAndWhere(x.Slot))
	waiting := wording.WaitingFor(x.missing) + oneOf(x.missing)
	if x.further {
		waiting += ", once the editions are stated"
	}
	b.says(wording.Holds(x.Slot) + "; " + waiting)
	if x.Field.Table == nil {
		b.toml(x.Field.Key + " = " + x.Example())
		return
	}
	b.toml(wording.Header(x.Key, x.Field.Kind == job.KindTables))
	for _, f := range x.Field.Table.Fields {
		if f.Required {
			b.toml(f.Key + " = " + f.Example(b.system, nil))
		}
	}
}

// oneOf says where one of several keys is enough.
func oneOf(m *review.Missing) string {
	if len(m.Need.Keys) == 1 {
		return ""
	}
	return "; enough is one of " + strings.Join(m.Need.Keys, ", ")
}
