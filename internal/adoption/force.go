package adoption

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"plumbrule/internal/codebook"
	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/source"
)

// Options say as of when, and by which rules, a stack is in force.
type Options struct {
	// Applied is the date of the application, as 2026-01-31, which decides what is
	// dated; "" where none is given.
	Applied string
	// Newest takes what is dated as if all of it had come, where no date is given: for
	// the proof of a pack, which is about no application.
	Newest bool
	// RuleSet is the version of the rule set to hold to, in the place of that of the
	// packs; 0 for theirs.
	RuleSet int
}

// Force is what is in force: the editions, and the codebook as it is amended.
type Force struct {
	Book    *codebook.Codebook // its Authority says who amended it
	rulings map[string]job.Ruling
}

// Job is a job under the word of the authority; the job itself where there is none.
func (f *Force) Job(j *job.Job) *job.Job {
	if f.rulings == nil {
		return j
	}
	return j.Under(f.rulings)
}

// builder puts a stack into force.
type builder struct {
	o         Options
	book      *codebook.Codebook
	authority *codebook.Authority
	rulings   map[string]job.Ruling
	places    map[string]place
	pin       int
	pinned    string // who pinned
	files     []*source.File
	faults    source.Faults
}

// place is a value that a layer sets for its place.
type place struct {
	key, text string
	pack      *pack
}

// In puts a stack into force over a codebook. Every fault of every layer is given.
func (s *Stack) In(book *codebook.Codebook, o Options) (*Force, error) {
	b := &builder{o: o, book: book, authority: &codebook.Authority{Applied: o.Applied}, rulings: map[string]job.Ruling{}, places: map[string]place{}}
	for _, p := range s.packs {
		b.authority.Layers = append(b.authority.Layers, codebook.Layer{Name: p.Name, Level: p.Level, Ordinance: p.Ordinance, File: p.file.Name})
		b.files = append(append(b.files, p.file), p.rules...)
		b.layer(p)
	}
	if len(s.packs) > 0 {
		b.compare(s.packs[len(s.packs)-1])
		b.local()
	}
	b.hold(s)
	if err := b.faults.Sorted().Err(); err != nil {
		return nil, err
	}
	for _, code := range job.Codes {
		for _, d := range b.authority.Decided {
			if d.Code == code.Name {
				b.rulings[code.Name] = job.Ruling{Edition: d.Edition, At: d.At}
			}
		}
	}
	if len(s.packs) == 0 {
		b.rulings = nil
	}
	return &Force{Book: b.book.Under(b.authority, book, b.files), rulings: b.rulings}, nil
}

// layer lays one pack over what is in force.
func (b *builder) layer(p *pack) {
	b.own(p)
	b.adopts(p)
	for i, a := range p.Amends {
		b.amend(p, fmt.Sprintf("amends[%d]", i), a)
	}
	names := map[string]string{}
	for i, a := range p.Asks {
		b.ask(p, fmt.Sprintf("asks[%d]", i), a, names)
	}
	for _, v := range []place{{"wind_speed", p.Place.WindSpeed, p}, {"ground_snow", p.Place.GroundSnow, p}, {"record_low", p.Place.RecordLow, p}, {"design_high", p.Place.DesignHigh, p}} {
		if v.text != "" {
			b.places[v.key] = v
		}
	}
	if p.RuleSet != 0 {
		b.pin, b.pinned = p.RuleSet, p.Name
	}
}

// own adds the checks and terms of the pack itself.
func (b *builder) own(p *pack) {
	if len(p.rules) == 0 {
		return
	}
	more, err := b.book.Add(p.rules)
	if err != nil {
		if faults, ok := err.(source.Faults); ok {
			b.faults = append(b.faults, faults...)
		} else {
			b.faults.Add(p.file.Start(), "%v", err)
		}
		return
	}
	for _, c := range more.Checks {
		if b.book.Check(c.ID) != nil {
			b.faults.Add(c.At, "there is already a check %s; a check of a pack has a name of its own, and [[amends]] changes one that is there", c.ID)
			continue
		}
		c.Local = false // it is the authority's, whose name stands beside it
		b.authority.Added = append(b.authority.Added, codebook.Added{Check: c.ID, Layer: p.Name})
	}
	b.book = b.book.With(more)
}

// law is where a pack says something: by, or its ordinance.
func (b *builder) law(p *pack, under, by string) string {
	if by == "" && p.Ordinance == "" {
		b.faults = append(b.faults, source.Fault{At: p.span(under), Message: "nothing says by which law this holds", Expected: "by here, or ordinance at the head of the pack"})
	}
	return orElse(by, p.Ordinance)
}

// holds tells whether what is dated had come when the application was made.
func (b *builder) holds(p *pack, under, from, what string) bool {
	if from == "" {
		return true
	}
	key := under + ".from"
	if _, err := time.Parse(time.DateOnly, from); err != nil {
		b.faults = append(b.faults, source.Fault{At: p.span(key), Message: fmt.Sprintf("%q is no date", from), Expected: "a day of the calendar, such as 2026-01-31"})
		return false
	}
	switch {
	case b.o.Applied == "" && b.o.Newest:
		return true
	case b.o.Applied == "":
		b.faults = append(b.faults, source.Fault{At: p.span(key), Message: "this holds from a date on, and nothing says when the application was made", Expected: "--applied 2026-01-31, or --date with such a date"})
		return false
	case from > b.o.Applied:
		b.authority.Later = append(b.authority.Later, fmt.Sprintf("%s from %s: %s", p.Name, from, what))
		return false
	}
	return true
}

// adopts decides the editions that the pack speaks of.
func (b *builder) adopts(p *pack) {
	last := map[string]adopt{}
	seen := map[string]string{}
	for i, a := range p.Adopts {
		under := fmt.Sprintf("adopts[%d]", i)
		by, holds := b.law(p, under, a.By), b.holds(p, under, a.From, job.EditionName(a.Code, a.Edition))
		code, ok := job.CodeNamed(a.Code)
		if !ok {
			b.near(p.span(under+".code"), a.Code, job.CodeNames(), "%q is not a code that a job adopts", a.Code)
			continue
		}
		if words := append(code.Known(), "none"); !slices.Contains(words, a.Edition) {
			b.near(p.span(under+".edition"), a.Edition, words, "the %s has no edition %q here", a.Code, a.Edition)
			continue
		}
		name := a.Code + " " + a.From
		if first, twice := seen[name]; twice {
			b.faults = append(b.faults, source.Fault{At: p.span(under + ".code"), Message: "the pack adopts two editions of the " + a.Code + " from the same day",
				Also: []source.Further{{At: p.span(first), Note: source.FirstHere}}})
			continue
		}
		seen[name] = under + ".code"
		if !holds {
			continue
		}
		if before, has := last[a.Code]; has && before.From > a.From {
			continue
		}
		last[a.Code] = a
		d := codebook.Decided{Code: a.Code, Edition: a.Edition, Layer: p.Name, By: by, From: a.From, At: p.span(under + ".edition")}
		if a.Edition == "none" {
			d.Edition = ""
		}
		if i := slices.IndexFunc(b.authority.Decided, func(x codebook.Decided) bool { return x.Code == a.Code }); i >= 0 {
			b.authority.Decided[i] = d
		} else {
			b.authority.Decided = append(b.authority.Decided, d)
		}
	}
}

func (b *builder) near(at source.Span, word string, words []string, format string, a ...any) {
	fault := source.Fault{At: at, Message: fmt.Sprintf(format, a...), Expected: "one of " + strings.Join(words, ", ")}
	fault.Nearest, _ = quantity.Nearest(word, words)
	b.faults = append(b.faults, fault)
}

// amend changes a check.
func (b *builder) amend(p *pack, under string, a amend) {
	c := b.book.Check(a.Check)
	if c == nil {
		fault := source.Fault{At: p.span(under + ".check"), Message: fmt.Sprintf("there is no check %q", a.Check), Expected: "`plumbrule rules` lists them"}
		fault.Nearest, _ = quantity.Nearest(a.Check, b.book.IDs())
		b.faults = append(b.faults, fault)
		return
	}
	if c.Gathers != "" {
		b.faults.Add(p.span(under+".check"), "%s says what was not reviewed, which no authority can change", c.ID)
		return
	}
	by := codebook.Amendment{Layer: p.Name, By: b.law(p, under, a.By), At: p.span(under)}
	change := codebook.Change{Title: a.Title, Provenance: a.Provenance, When: a.When, AlsoWhen: a.AlsoWhen, AtMost: a.AtMost, AtLeast: a.AtLeast, Equals: a.Equals, Require: a.Require, Limits: a.Limits,
		Finding: a.Finding, Remedy: a.Remedy, Because: a.Because, Severity: a.Severity, Editions: a.Editions, Withdrawn: a.Withdrawn, Examples: a.Examples}
	book, faults := b.book.Amended(c.ID, change, p.at(under), by) // also where it is not yet in force: what is wrong is wrong
	b.faults = append(b.faults, faults...)
	if b.holds(p, under, a.From, "amends "+c.ID) {
		b.book = book
	}
}

// ask makes a check of what every submittal has to have.
func (b *builder) ask(p *pack, under string, a ask, names map[string]string) {
	m := codebook.Made{Title: a.Title, Each: "submittal", When: a.When, Require: a.Require, Severity: a.Severity, Finding: a.Finding, Remedy: a.Remedy,
		Because: a.Because, Cites: []codebook.Citation{{Code: b.law(p, under, a.By), Note: p.Name}}, Examples: a.Examples}
	name := a.Name
	switch {
	case a.Paper == "" && a.Require == "", a.Paper != "" && a.Require != "":
		b.faults = append(b.faults, source.Fault{At: p.span(under), Message: "what is asked is a paper or another condition", Expected: "one of paper and require"})
		return
	case a.Paper == "" && a.Sealed, a.Paper != "" && a.Each != "":
		b.faults = append(b.faults, source.Fault{At: p.span(under), Message: "sealed goes with paper, and each with require"})
		return
	case a.Paper == "" && name == "":
		b.faults = append(b.faults, source.Fault{At: p.span(under), Message: "a condition needs a name", Expected: `name, in words joined by hyphens: "fire-review"`})
		return
	case a.Paper != "":
		if words := codebook.Papers(); !slices.Contains(words, a.Paper) {
			b.near(p.span(under+".paper"), a.Paper, words, "no paper of a submittal is of kind %q", a.Paper)
			return
		}
		m.Require, m.Paper = paperCondition(a)
		m.Because = orElse(a.Because, "The authority asks for it with every application.")
		m.Finding = orElse(a.Finding, missingPaper(a))
		m.Remedy = orElse(a.Remedy, "add it to the submittal")
		name = orElse(name, a.Paper)
	}
	if a.Each != "" {
		m.Each = a.Each
	}
	if m.Severity == "" {
		m.Severity = codebook.Correction
	}
	m.Because = orElse(m.Because, "The authority asks for it.")
	if first, twice := names[name]; twice {
		b.faults = append(b.faults, source.Fault{At: p.span(under), Message: fmt.Sprintf("two things that are asked for are called %q", name), Expected: "name, which tells them apart",
			Also: []source.Further{{At: p.span(first), Note: source.FirstHere}}})
		return
	}
	names[name] = under
	m.ID = "asks/" + p.id + "-" + name
	if b.book.Check(m.ID) != nil {
		b.faults.Add(p.span(under), "there is already a check %s", m.ID)
		return
	}
	book, faults := b.book.Make(m, p.at(under))
	b.faults = append(b.faults, faults...)
	if b.holds(p, under, a.From, "asks for "+a.Title) && len(faults) == 0 {
		b.book = book
		b.authority.Added = append(b.authority.Added, codebook.Added{Check: m.ID, Layer: p.Name})
	}
}

// paperCondition is the condition that a paper is there, and the kind of paper on
// which its matter stands.
func paperCondition(a ask) (require, paper string) {
	require = "d.kind == " + strconv.Quote(a.Paper)
	if a.Sealed {
		require += " && d.sealed"
	}
	return "documents.exists(d, " + require + ")", a.Paper
}

func missingPaper(a ask) string {
	s := "no paper of kind " + a.Paper
	if a.Sealed {
		s += " with a seal"
	}
	return s + " is in the submittal"
}

func orElse(text, other string) string {
	if text == "" {
		return other
	}
	return text
}

// compare makes the checks that hold the editions that a job states against those in
// force.
func (b *builder) compare(p *pack) {
	by := []codebook.Citation{{Code: orElse(p.Ordinance, "adopted editions"), Note: p.Name}}
	for _, m := range []codebook.Made{
		{ID: "documents/edition-in-force", Title: "Edition stated is the one in force", Severity: codebook.Correction, Each: "stated_edition", When: "stated_edition.decided",
			Measure: "stated_edition.stated", Equals: "stated_edition.in_force",
			Because: "The authority decides which edition is in force when the application is made; drawings made by another are held against rules that they were not made for.",
			Finding: "the job states edition {stated_edition.stated}; in force: {stated_edition.in_force}",
			Remedy:  "state the edition in force, or no edition, in [adoption], and hold the drawings against it", Cites: by},
		{ID: "documents/edition-undecided", Title: "The authority says which edition is in force", Severity: codebook.Verify, Each: "stated_edition", When: "!stated_edition.decided", Require: "false",
			Because: "Where no layer of the authority says which edition is in force, the review holds the job against the one that the job states, and nobody has confirmed it.",
			Finding: "edition {stated_edition.stated} is as the job states it; no layer of the authority says which is in force",
			Remedy:  "confirm the edition, and have it stand in the pack", Cites: by},
	} {
		book, faults := b.book.Make(m, p.at(""))
		b.book, b.faults = book, append(b.faults, faults...)
		b.authority.Added = append(b.authority.Added, codebook.Added{Check: m.ID, Layer: p.Name})
	}
}

// places are the values that a layer may set for its place.
var places = []struct {
	key, check, title, why string
	dim                    quantity.Dimension
	most                   bool // whether a job may state no more; else no less
}{
	{"wind_speed", "wind-speed", "Wind speed is no less than the authority's", "The authority has fixed the least wind speed of its place, whatever map or tool gives less.", quantity.Speed, false},
	{"ground_snow", "ground-snow", "Ground snow load is no less than the authority's", "The authority has fixed the least ground snow load of its place, whatever map or tool gives less.", quantity.Pressure, false},
	{"record_low", "record-low", "Record low is no warmer than the authority's", "The authority has fixed the record low of its place, which decides the voltage of the strings.", quantity.Temperature, true},
	{"design_high", "design-high", "Design high temperature is no cooler than the authority's", "The authority has fixed the design temperature of its place, which decides what conductors carry.", quantity.Temperature, false},
}

// local makes the checks that hold a job against the values of its place.
func (b *builder) local() {
	for _, v := range places {
		set, ok := b.places[v.key]
		if !ok {
			continue
		}
		at := set.pack.span("place." + v.key)
		if _, err := quantity.Parse(set.text, v.dim); err != nil {
			b.faults.Add(at, "place.%s: %v", v.key, err)
			continue
		}
		m := codebook.Made{ID: "place/" + v.check, Title: v.title, Severity: codebook.Correction, Each: "site", Measure: "site." + v.key, Because: v.why,
			Cites: []codebook.Citation{{Code: b.law(set.pack, "place", set.pack.Place.By), Note: set.pack.Name}}}
		limit := "q(" + strconv.Quote(set.text) + ")"
		if v.most {
			m.AtMost = limit
		} else {
			m.AtLeast = limit
		}
		book, faults := b.book.Make(m, set.pack.at("place"))
		b.book, b.faults = book, append(b.faults, faults...)
		b.authority.Added = append(b.authority.Added, codebook.Added{Check: m.ID, Layer: set.pack.Name})
	}
}

// hold holds the codebook to a version of the rule set.
func (b *builder) hold(s *Stack) {
	by := b.pinned
	if b.o.RuleSet != 0 {
		b.pin, by = b.o.RuleSet, "--rule-set"
	}
	if b.pin == 0 {
		return
	}
	if newest := b.book.Newest(); b.pin > newest {
		fault := source.Fault{Message: fmt.Sprintf("there is no rule set %d; the newest is %d", b.pin, newest)}
		for _, p := range s.packs {
			if p.Name == by {
				fault.At = p.span("rule_set")
			}
		}
		b.faults = append(b.faults, fault)
		return
	}
	b.authority.RuleSet = b.pin
	b.book = b.book.Pinned(b.pin, by)
}
