// Package paper writes the papers of a finished review: the letter, the
// calculations, the field checklist and the page that holds them all. Every
// writer is a pure function of the review.
package paper

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"plumbrule/internal/codebook"
	"plumbrule/internal/job"
	"plumbrule/internal/review"
	"plumbrule/internal/wording"
)

// Options are what the papers (letter, calculations, checklist and the
// page that holds them all) print beside the review itself.
type Options struct {
	Version string              // of the program, for the basis of review; "" is left out
	Date    string              // printed as given; "" is left out
	Scope   []codebook.ScopeRow // rows of the review scope; their field entries go to the checklist

	Reviewer   string          // who signs the letter; "" leaves the line free
	Round      int             // of the review, from 1; 0 is the first
	Letter     *LetterTemplate // the authority's own in Markdown; nil is the built-in one
	LetterHTML *LetterTemplate // the same in HTML

	plainPDF bool // for tests: streams of PDF can be read
}

// field is a label with what stands beside it.
type field struct{ Label, Text string }

// letterView is the letter as both writers print it.
type letterView struct {
	Authority string
	Head      []field
	Editions  []string
	Opening   []string
	Parts     []letterPart
	LeftOut   string // how much is missing; "" for nothing
	Missing   []missing
	Weak      []field // table values to verify, with the checks that use them
	Accepted  []comment
	Order     []tally
	Totals    tally
	Remarks   []string
	Basis     []field
	Files     []field // each file of the job with its hash
	Notice    string
	Cautions  []string
}

// missing is one key that the submittal leaves out, or several of which one is
// enough.
type missing struct{ Need, Means, Found, Waiting string }

// letterPart is the comments of one severity by discipline.
type letterPart struct {
	Title, Lead string
	Disciplines []letterDiscipline
}

type letterDiscipline struct {
	Name     string
	Comments []comment
}

// comment is the findings of one check with one result: the worst in full,
// all of them by name.
type comment struct {
	Number                        int // of its worst finding
	Title, Check, Severity        string
	Discipline, Result            string
	Subject, Finding, Held, Sheet string
	Place, Also, Under, Remedy    string
	Missing                       []string
	Work, Verify                  []string
	Accepted                      string
	Others                        []mention
}

// mention is a further finding of a comment.
type mention struct {
	Number         int
	Subject, Apart string
}

// All counts the findings of a comment.
func (c comment) All() int { return 1 + len(c.Others) }

// Status says how the comment stands in words.
func (c comment) Status() string {
	s := c.Severity + ", " + c.Result
	if c.Accepted != "" {
		s += ", excused"
	}
	return s
}

// tally is a row of the counts.
type tally struct {
	Name                                                        string
	NotMet, Undetermined, Met, NotApplicable, Excused, Together int
}

// severityParts are the parts of the letter in order.
var severityParts = []struct {
	severity    codebook.Severity
	title, lead string
}{
	{codebook.Correction, "Corrections", "Please answer each before approval: change the drawings, or state what is missing."},
	{codebook.Verify, "Items to verify", "The submittal cannot prove these, or the sources disagree. Please confirm each."},
	{codebook.Advisory, "Advice", "Good practice; no answer is asked for."},
}

func makeLetter(r *review.Review, o Options) *letterView {
	v := &letterView{
		Authority: r.Job.Project.Authority.Value,
		Head:      heading(r, o),
		Editions:  wording.EditionNames(r),
		Weak:      weakValues(r),
		Totals:    totalTally(r),
		Remarks:   slices.Concat(wording.Remarks(r)...),
		Notice:    wording.Notice, Cautions: wording.Cautions,
	}
	left := r.Missing()
	v.LeftOut, v.Missing = wording.MissingFrom(r, left), makeMissing(left)
	v.Basis, v.Files = basis(r, o)
	number := wording.FindingNumber(r)
	parts := wording.Disciplines(r)
	comments := 0
	for _, s := range severityParts {
		part := letterPart{Title: s.title, Lead: s.lead}
		for _, d := range parts {
			section := letterDiscipline{Name: d.Name}
			for _, g := range d.Groups {
				if g.Check.Severity == s.severity && !g.Excused {
					section.Comments = append(section.Comments, makeComment(r, g, number))
				}
			}
			if comments += len(section.Comments); len(section.Comments) > 0 {
				part.Disciplines = append(part.Disciplines, section)
			}
		}
		if len(part.Disciplines) > 0 {
			v.Parts = append(v.Parts, part)
		}
	}
	for _, d := range parts {
		for _, g := range d.Groups {
			if g.Excused {
				v.Accepted = append(v.Accepted, makeComment(r, g, number))
			}
		}
		v.Order = append(v.Order, tallyOf(d))
	}
	slices.SortFunc(v.Order, func(a, b tally) int { return strings.Compare(a.Name, b.Name) })
	v.Opening = opening(r, comments)
	return v
}

// heading is the addressee and what was submitted. What the job leaves out is
// said to be left out, as a reader looks for it here.
// makeMissing lists what the submittal leaves out.
func makeMissing(list []*review.Missing) []missing {
	return wording.Each(list, func(m *review.Missing) missing {
		means, found := wording.MeansAndFound(m)
		return missing{m.Need.String(), means, found, strconv.Itoa(m.Waiting)}
	})
}

func heading(r *review.Review, o Options) []field {
	p := r.Job.Project
	var out []field
	always := func(label string, g job.Text) {
		text := g.Value
		if !g.Known {
			text = "not stated"
		}
		out = append(out, field{label, text})
	}
	known := func(label string, g job.Text) {
		if g.Known {
			out = append(out, field{label, g.Value})
		}
	}
	if o.Date != "" {
		out = append(out, field{"Date", o.Date})
	}
	always("To", p.Designer)
	known("Contractor", p.Contractor)
	known("Licence", p.Licence)
	always("Owner", p.Owner)
	always("Project", p.Name)
	always("Site address", p.Address)
	always("Permit", p.Permit)
	always("Revision", p.Revision)
	known("Drawings dated", p.Date)
	known("Scope of work", p.Scope)
	return out
}

// opening says what was done and how much is asked.
func opening(r *review.Review, comments int) []string {
	list := "no edition of any code, as the submittal states none"
	if names := wording.EditionNames(r); len(names) > 0 {
		list = strings.Join(names, ", ")
	}
	out := []string{fmt.Sprintf("The submittal named above was held against %s.", list)}
	n := r.Totals
	if found := n.NotMet + n.Undetermined; found == 0 {
		out = append(out, "Nothing is outstanding.")
	} else {
		out = append(out, fmt.Sprintf("%s on %s: %s. Like findings share one comment, under the number of the worst; the numbers are those of the marks on the drawings.",
			wording.Plural(comments, "comment follows", "comments follow"), wording.Plural(found, "finding", "findings"), wording.BySeverity(n.Outstanding)))
	}
	if n.Excused > 0 {
		out = append(out, wording.Plural(n.Excused, "finding is", "findings are")+" excused by an accepted deviation.")
	}
	return out
}

func makeComment(r *review.Review, g *wording.Group, number func(*review.Outcome) int) comment {
	o := g.List[0]
	c := comment{
		Number: number(o), Title: g.Check.Title, Check: g.Check.ID, Severity: string(g.Check.Severity),
		Discipline: g.Check.Discipline, Result: string(g.Result),
		Subject: o.Subject.Label(), Finding: o.Finding, Held: held(o), Sheet: sheetFor(r.Job, g.Check.Discipline),
		Under: strings.Join(wording.Each(o.Cites, wording.Cited), "; "), Remedy: remedy(o),
		Missing: lacking(o), Work: o.Steps(), Verify: o.Unconfirmed,
	}
	if o.At.Known() {
		c.Place = o.At.Position().String()
	}
	c.Also = wording.Also(o)
	if e := o.Excused; e != nil {
		c.Accepted = "by " + e.By
		if e.Date != "" {
			c.Accepted += ", " + e.Date
		}
		c.Accepted += ": " + e.Reason + " (" + e.At.Position().String() + ")"
	}
	for _, other := range g.List[1:] {
		c.Others = append(c.Others, mention{number(other), other.Subject.Label(), wording.Apart(other, o)})
	}
	return c
}

// held says which value was held against which.
func held(o *review.Outcome) string {
	if o.Measure == nil || o.Limit == nil {
		return ""
	}
	s := fmt.Sprintf("%s found, %s %s wanted", o.Measure.Text, o.LimitKind, o.Limit.Text)
	if o.Utilisation != nil {
		s += " (utilisation " + wording.Ratio(*o.Utilisation) + ")"
	}
	return s
}

// remedy says what would satisfy the comment.
func remedy(o *review.Outcome) string {
	if o.Result != review.Undetermined {
		return o.Remedy
	}
	if len(o.Needs) == 0 {
		return "Settle what is said to be open, or have a licensed professional decide it."
	}
	return "State " + strings.Join(wording.NeedsOf(o), ", ") + "."
}

// lacking lists why an outcome could not be determined.
func lacking(o *review.Outcome) []string {
	if o.Result != review.Undetermined {
		return nil
	}
	out := wording.Each(wording.NeedsOf(o), func(need string) string { return need + " is not stated" })
	return append(out, wording.Each(o.Reasons, wording.FirstLine)...)
}

// sheetKinds are the drawings on which the matter of a discipline stands, the
// likeliest first.
var sheetKinds = map[string][]string{
	"fire":            {"roof-plan"},
	"layout":          {"roof-plan"},
	"structural":      {"attachment-detail", "structural-letter", "roof-plan"},
	"electrical":      {"one-line", "electrical-calculation"},
	"interconnection": {"one-line"},
	"grounding":       {"one-line", "roof-plan"},
	"labels":          {"label-sheet"},
	"documents":       {"site-plan"},
}

// sheetFor names the sheet of the submittal that a comment concerns, "" where
// the job does not number it.
func sheetFor(j *job.Job, discipline string) string {
	for _, kind := range sheetKinds[discipline] {
		for _, d := range j.DocumentsOf(kind) {
			if d.Sheet.Known {
				return d.Sheet.Value + " (" + d.Name.Value + ")"
			}
		}
	}
	return ""
}

// weakValues lists the table values that were not seen in a published source,
// each with the checks that use it.
func weakValues(r *review.Review) []field {
	users := map[string][]string{}
	var order []string
	for i := range r.Outcomes {
		o := &r.Outcomes[i]
		for _, u := range o.Unconfirmed {
			if users[u] == nil {
				order = append(order, u)
			}
			if !slices.Contains(users[u], o.Check.ID) {
				users[u] = append(users[u], o.Check.ID)
			}
		}
	}
	slices.Sort(order)
	return wording.Each(order, func(u string) field { return field{u, strings.Join(users[u], ", ")} })
}

func tallyOf(d *wording.Discipline) tally {
	return tally{d.Name, d.Count[review.NotMet], d.Count[review.Undetermined], d.Count[review.Met], d.Count[review.NotApplicable], d.Excused, d.Pairs}
}

func totalTally(r *review.Review) tally {
	n := r.Totals
	return tally{"together", n.NotMet, n.Undetermined, n.Met, n.NotApplicable, n.Excused, n.Pairs}
}

// basis is what the review rests on, so that it can be repeated. The job's
// hash is that of its files put end to end in the order listed.
func basis(r *review.Review, o Options) (rows, files []field) {
	if o.Version != "" {
		rows = append(rows, field{"Program", "plumbrule " + o.Version})
	}
	rows = append(rows, field{"Rules", fmt.Sprintf("%d checks, SHA-256 %s", len(r.Book.Checks), r.Book.Hash)})
	whole := sha256.New()
	for _, f := range r.Job.Files {
		whole.Write(f.Text) // a hash does not fail
		one := sha256.Sum256(f.Text)
		files = append(files, field{f.Name, hex.EncodeToString(one[:])})
	}
	rows = append(rows, field{"Job", fmt.Sprintf("%s, SHA-256 %s", wording.Plural(len(files), "file", "files"), hex.EncodeToString(whole.Sum(nil)))})
	return rows, files
}

// markdown collects the lines of a Markdown paper.
type markdown struct{ bytes.Buffer }

func (m *markdown) line(parts ...string) {
	for _, p := range parts {
		m.WriteString(p)
	}
	m.WriteByte('\n')
}

func (m *markdown) heading(level int, text string) {
	m.line("\n", strings.Repeat("#", level), " ", wording.Markdown(text), "\n")
}

// item writes a list entry with a label; without text it is left out.
func (m *markdown) item(label, text string) {
	if text != "" {
		m.line("- **", wording.Markdown(label), ":** ", wording.Markdown(text))
	}
}

func (m *markdown) row(cells ...string) {
	for _, c := range cells {
		m.WriteString("| " + wording.Markdown(c) + " ")
	}
	m.line("|")
}

// table starts a table; columns whose title begins with ">" are set to the
// right.
func (m *markdown) table(titles ...string) {
	rule := ""
	for i, t := range titles {
		name, right := strings.CutPrefix(t, ">")
		titles[i] = name
		rule += "| ---"
		if right {
			rule += ":"
		}
		rule += " "
	}
	m.row(titles...)
	m.line(rule, "|")
}

// capital begins a heading.
func capital(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}
