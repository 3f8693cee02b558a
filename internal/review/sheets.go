package review

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"

	"plumbrule/internal/codebook"
	"plumbrule/internal/job"
	"plumbrule/internal/papertext"
	"plumbrule/internal/terms"
)

// Fact is a value that the job states and that outcomes rest on: what a reader
// holds against the sheet it was taken from. Things of a kind that state the same
// are one fact.
type Fact struct {
	Kind  string   // the key without the names of things: "string.modules"
	Keys  []string // of the things that state it, in the order of the job
	Field *job.Field
	Text  string // the value as the job writes it

	Rests       int      // outcomes that rest on it
	Utilisation *float64 // the largest of those whose measure or limit rests on it; nil where none has any

	Papers   []string      // kinds of paper on which it should stand, the likeliest first
	Document *job.Document // the one that it should stand on; nil where the job lists none

	finds func(line string) bool // nil where what is written could be anything
	ranks map[string]rank        // by discipline
}

// rank is what outcomes of one discipline have to do with a fact.
type rank struct {
	rests       int
	utilisation float64 // -1 where there is none
}

// Sheet is the number of the sheet that the value should stand on; "" where the
// job does not number it.
func (f *Fact) Sheet() string {
	if f.Document == nil {
		return ""
	}
	return f.Document.Sheet.Value
}

// mostFacts is how many values a reader can be asked to compare.
const mostFacts = 48

// Facts lists the stated values that governed: those whose checks are nearest to
// their limits or beyond, and those that the most outcomes rest on. They are in
// the order of their sheets, then in that of the job. What follows from other
// values is not among them.
func (r *Review) Facts() []*Fact { return r.facts() }

// paperKinds are the papers on which the matter of a discipline stands, the
// likeliest first.
var paperKinds = map[string][]string{
	"fire":            {"roof-plan"},
	"layout":          {"roof-plan"},
	"structural":      {"attachment-detail", "structural-letter", "roof-plan"},
	"electrical":      {"one-line", "electrical-calculation"},
	"interconnection": {"one-line"},
	"grounding":       {"one-line", "roof-plan"},
	"labels":          {"label-sheet"},
	"documents":       {"site-plan"},
}

// PapersOf are the kinds of paper on which the matter of a check stands, the
// likeliest first.
func PapersOf(c *codebook.Check) []string {
	if c.Paper != "" {
		return append([]string{c.Paper}, paperKinds[c.Discipline]...)
	}
	return paperKinds[c.Discipline]
}

// papersOfKeys are the papers on which values stand by their keys, the longest
// beginning first; others stand on the papers of the checks that rest on them.
var papersOfKeys = map[string][]string{
	"adoption": {"site-plan"}, "project": {"site-plan"}, "building": {"site-plan"},
	"plane": {"roof-plan"}, "plane.covering": {"attachment-detail", "roof-plan"}, "plane.framing": {"attachment-detail", "structural-letter", "roof-plan"},
	"obstruction": {"roof-plan"}, "array": {"roof-plan"}, "array.attachments": {"roof-plan", "attachment-detail"},
	"string": {"one-line"}, "circuit": {"one-line"}, "inverter": {"one-line"}, "panel": {"one-line"}, "service": {"one-line"}, "overcurrent": {"one-line"},
	"disconnect": {"one-line"}, "grounding": {"one-line"}, "interconnection": {"one-line"}, "transformer": {"one-line"}, "combiner": {"one-line"}, "one_line": {"one-line"},
	"module_type": {"cut-sheet"}, "inverter_type": {"cut-sheet"}, "converter_type": {"cut-sheet"},
	"mounting_type": {"installation-manual", "cut-sheet", "listing"}, "fastener_type": {"attachment-detail", "cut-sheet"},
	"stated": {"structural-letter", "structural-calculation"}, "engineered": {"structural-calculation", "structural-letter"},
}

// siteLoads are the papers of what the loads of the place are, which no detail of a
// foot says.
var siteLoads = []string{"structural-letter", "structural-calculation", "site-plan"}

// tally is what is known of a key while outcomes are looked through.
type tally struct {
	ranks  map[string]rank // by discipline
	checks map[string]int  // outcomes by check
}

// gatherFacts looks through all outcomes once for the keys they rest on. Outcomes
// of like things share lists of keys, so that each list is looked through once.
func (r *Review) gatherFacts() []*Fact {
	type resting struct {
		on    terms.List
		check *codebook.Check
	}
	rests, most := map[resting]int{}, map[resting]float64{}
	for i := range r.Outcomes {
		o := &r.Outcomes[i]
		if o.Result == NotApplicable || o.Check.Gathers != "" {
			continue
		}
		rests[resting{r.places.gathered.List(o.rests...), o.Check}]++
		if o.Utilisation != nil {
			on := resting{r.places.gathered.List(o.decided()...), o.Check}
			if was, known := most[on]; !known || was < *o.Utilisation {
				most[on] = *o.Utilisation
			}
		}
	}
	keys := map[string]*tally{}
	of := func(on resting, note func(t *tally, k rank) rank) {
		for _, read := range r.places.gathered.Reads(on.on) {
			if !read.At.Known() {
				continue
			}
			t := keys[read.Key]
			if t == nil {
				t = &tally{ranks: map[string]rank{}, checks: map[string]int{}}
				keys[read.Key] = t
			}
			k, known := t.ranks[on.check.Discipline]
			if !known {
				k.utilisation = -1
			}
			t.ranks[on.check.Discipline] = note(t, k)
		}
	}
	for on, n := range rests {
		of(on, func(t *tally, k rank) rank {
			k.rests += n
			t.checks[on.check.ID] += n
			return k
		})
	}
	for on, u := range most {
		of(on, func(_ *tally, k rank) rank {
			k.utilisation = max(k.utilisation, u)
			return k
		})
	}
	facts := r.factsOf(keys)
	chosen := chooseFacts(facts)
	for _, f := range chosen {
		f.Document = r.documentFor(f)
	}
	slices.SortStableFunc(chosen, func(a, b *Fact) int { return cmp.Compare(r.sheetOrder(a), r.sheetOrder(b)) })
	return chosen
}

// sheetOrder is the place of the paper of a fact in the list of the job.
func (r *Review) sheetOrder(f *Fact) int {
	for i := range r.Job.Documents {
		if &r.Job.Documents[i] == f.Document {
			return i
		}
	}
	return len(r.Job.Documents)
}

// factsOf makes facts of keys, like ones drawn together, in the order of the job.
func (r *Review) factsOf(keys map[string]*tally) []*Fact {
	type stated struct {
		key  string
		slot *job.Slot
		at   int // in the order of the job
	}
	var list []stated
	for key := range keys {
		s, known := r.Job.Slot(key)
		if !known || !tellable(s) {
			continue
		}
		list = append(list, stated{key, s, r.Job.PlaceInOrder(key)})
	}
	slices.SortFunc(list, func(a, b stated) int { return cmp.Or(cmp.Compare(a.at, b.at), cmp.Compare(a.key, b.key)) })
	type same struct{ kind, text string }
	by := map[same]*Fact{}
	var out []*Fact
	papers := map[*Fact]map[string]int{}
	for _, s := range list {
		text, finds := written(s.slot)
		if text == "" {
			continue
		}
		t := keys[s.key]
		id := same{s.slot.Kind(), text}
		if typed(s.slot.Kind()) {
			id.kind = s.key // each type has a paper of its own
		}
		f := by[id]
		if f == nil {
			f = &Fact{Kind: s.slot.Kind(), Field: s.slot.Field, Text: text, finds: finds, ranks: map[string]rank{}}
			by[id], papers[f] = f, map[string]int{}
			out = append(out, f)
		}
		f.Keys = append(f.Keys, s.key)
		for discipline, k := range t.ranks {
			was, known := f.ranks[discipline]
			if !known {
				was.utilisation = -1
			}
			f.ranks[discipline] = rank{was.rests + k.rests, max(was.utilisation, k.utilisation)}
			f.Rests += k.rests
			if u := k.utilisation; u >= 0 && (f.Utilisation == nil || *f.Utilisation < u) {
				f.Utilisation = &u
			}
		}
		for id := range t.checks {
			papers[f][id]++
		}
	}
	for _, f := range out {
		f.Papers = r.papersOf(f, papers[f])
	}
	return out
}

// typed reports whether a key is of a type of equipment, whose papers name it.
func typed(kind string) bool {
	section, _, _ := strings.Cut(kind, ".")
	return strings.HasSuffix(section, "_type")
}

// papersOf are the papers of a fact by its key, or those of most of the checks that
// rest on it.
func (r *Review) papersOf(f *Fact, checks map[string]int) []string {
	for kind := f.Kind; kind != ""; {
		if of := papersOfKeys[kind]; of != nil {
			return of
		}
		kind = kind[:max(0, strings.LastIndexByte(kind, '.'))]
	}
	votes := map[string]int{}
	lists := map[string][]string{}
	for id, n := range checks {
		list := PapersOf(r.Book.Check(id))
		name := strings.Join(list, " ")
		votes[name] += n
		lists[name] = list
	}
	best := ""
	for name, n := range votes {
		if best == "" || n > votes[best] || n == votes[best] && name < best {
			best = name
		}
	}
	if slices.Contains(lists[best], "structural-letter") {
		return siteLoads
	}
	return lists[best]
}

// documentFor finds the paper of a fact among those that the job lists.
func (r *Review) documentFor(f *Fact) *job.Document {
	var first *job.Document
	for _, kind := range f.Papers {
		for _, d := range r.Job.DocumentsOf(kind) {
			if typed(f.Kind) && kind != "attachment-detail" {
				if parts, ok := job.SplitKey(f.Keys[0]); ok && d.For.Known && len(parts) > 1 && d.For.Value == parts[1] {
					return d
				}
				continue
			}
			if first == nil {
				first = d
			}
		}
		if first != nil {
			return first
		}
	}
	return nil
}

// chooseFacts takes as many as are asked for, the disciplines by turns, so that a
// roof of many feet does not hide the wires: of each the one of the highest
// utilisation that is left, and in the next turn the one that the most outcomes
// rest on. The order stays.
func chooseFacts(all []*Fact) []*Fact {
	if len(all) <= mostFacts {
		return all
	}
	disciplines := map[string]bool{}
	for _, f := range all {
		for d := range f.ranks {
			disciplines[d] = true
		}
	}
	chosen := map[*Fact]bool{}
	for byUse := true; len(chosen) < mostFacts; byUse = !byUse {
		for _, d := range slices.Sorted(maps.Keys(disciplines)) {
			var best *Fact
			for _, f := range all {
				k, ranked := f.ranks[d]
				if !ranked || chosen[f] {
					continue
				}
				if best == nil {
					best = f
					continue
				}
				b := best.ranks[d]
				if byUse && cmp.Or(cmp.Compare(k.utilisation, b.utilisation), cmp.Compare(k.rests, b.rests)) > 0 ||
					!byUse && cmp.Or(cmp.Compare(k.rests, b.rests), cmp.Compare(k.utilisation, b.utilisation)) > 0 {
					best = f
				}
			}
			if best != nil && len(chosen) < mostFacts {
				chosen[best] = true
			}
		}
	}
	return slices.DeleteFunc(slices.Clone(all), func(f *Fact) bool { return !chosen[f] })
}

// tellable reports whether a sheet could say a value. Names of the job's own, the
// words by which the job sorts things, who and where, and what is said of the papers
// themselves are not held against it.
func tellable(s *job.Slot) bool {
	if s.Field.Ref != "" || len(s.Field.AnyOf) > 0 || len(s.Tables) == 0 {
		return false
	}
	switch s.Tables[0].Key {
	case "project", "document", "label", "as_built", "deviation":
		return false
	}
	switch s.Field.Key {
	case "name", "file", "kind", "member", "orientation":
		return false
	}
	return !strings.HasPrefix(s.Kind(), "array.lug.")
}

// written is a stated value as the job writes it, and what looks for it on a
// sheet; "" for one that no sheet has in a few words.
func written(s *job.Slot) (text string, finds func(line string) bool) {
	switch v := s.Value().(type) {
	case job.Quantity:
		if v.Value.Unit == "" { // a share as a plain number
			return v.Value.String(), nil
		}
		return v.Value.String(), papertext.Quantity(v.Value)
	case job.Size:
		return v.Value.String(), papertext.Size(v.Value)
	case job.Number:
		return fmt.Sprint(v.Value), nil
	case job.Count:
		return fmt.Sprint(v.Value), nil
	case job.Text:
		if s.Field.Key == "insulation" { // other texts stand on sheets in words of their own
			return v.Value, papertext.Name(v.Value)
		}
		return v.Value, nil
	}
	return "", nil
}

// Look is what the text of a paper says of a fact.
type Look struct {
	Paper *job.Paper // nil where no file of its sheet was handed in
	Pages []int      // on which the value stands
	Other string     // where it stands instead, in words: "plans.pdf, page 2"; "" for nowhere
	Why   string     // why it was not looked for; "" where it was
}

// Look looks for a fact on its sheet, where that is a PDF with text.
func (r *Review) Look(f *Fact) Look {
	d := f.Document
	if d == nil || d.Paper == nil {
		return Look{Why: "no file of the sheet"}
	}
	l := Look{Paper: d.Paper}
	if l.Why = unread(d.Paper); l.Why != "" {
		return l
	}
	if f.finds == nil {
		l.Why = "not looked for: it could stand for anything"
		return l
	}
	if l.Pages = textOf(d.Paper).On(f.finds); len(l.Pages) > 0 {
		return l
	}
	for i := range r.Job.Documents {
		p := r.Job.Documents[i].Paper
		if p == nil || p == d.Paper || unread(p) != "" {
			continue
		}
		if pages := textOf(p).On(f.finds); len(pages) > 0 {
			l.Other = p.Name + ", " + papertext.Where(pages)
			break
		}
	}
	return l
}

func textOf(p *job.Paper) *papertext.Text { return papertext.Read(p.Data, p.Sum) }

// unread says why the text of a paper cannot be looked through at all; "" where it
// can.
func unread(p *job.Paper) string {
	if !p.PDF() {
		return "no text on it: it is a picture"
	}
	switch t := textOf(p); {
	case len(t.Pages) == 0:
		return t.Why
	case t.Blank():
		return "no text on it: what is drawn as strokes or a picture cannot be looked through"
	}
	return ""
}

// gatherSheets tells, in the outcomes of the check that gathers what stands on the
// papers, which values were not found on theirs.
func (r *Review) gatherSheets() {
	for i := range r.Outcomes {
		o := &r.Outcomes[i]
		if o.Check.Gathers != codebook.Sheets || o.Result != Met {
			continue
		}
		d, known := job.ByName(r.Job.Documents, o.Subject.Name)
		if !known || d.Paper == nil {
			continue
		}
		if reasons := r.notOn(d); len(reasons) > 0 {
			o.undetermined(nil, strings.Join(reasons, "; "))
			o.Reasons = reasons
		}
	}
}

// notOn says, value by value, what was not found on a paper.
func (r *Review) notOn(d *job.Document) []string {
	var mine []*Fact
	for _, f := range r.Facts() {
		if f.Document == d {
			mine = append(mine, f)
		}
	}
	if len(mine) == 0 {
		return nil
	}
	if why := unread(d.Paper); why != "" {
		return []string{fmt.Sprintf("%s: %s; %d values that govern should stand on it", d.Paper.Name, why, len(mine))}
	}
	t := textOf(d.Paper)
	var out []string
	for _, f := range mine {
		l := r.Look(f)
		if l.Why != "" || len(l.Pages) > 0 {
			continue
		}
		where := fmt.Sprintf("not found in the text of %s", d.Paper.Name)
		if len(t.Pages) == 1 {
			where += " (1 page)"
		} else {
			where += fmt.Sprintf(" (%d pages)", len(t.Pages))
		}
		if l.Other != "" {
			where += ", but in " + l.Other
		}
		out = append(out, fmt.Sprintf("%s = %s: %s", f.Named(), f.Text, where))
	}
	if t.Why != "" && len(out) > 0 {
		out = append(out, d.Paper.Name+": "+t.Why)
	}
	return out
}

// Named is the key of a fact, with how many more state the same.
func (f *Fact) Named() string {
	if n := len(f.Keys) - 1; n > 0 {
		return fmt.Sprintf("%s and %d more", f.Keys[0], n)
	}
	return f.Keys[0]
}
