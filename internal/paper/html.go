package paper

import (
	"bytes"
	"cmp"
	"crypto/sha256"
	"embed"
	"encoding/base64"
	"encoding/hex"
	"fmt"
	"html/template"
	"io"
	"slices"
	"strings"
	"sync"

	"plumbrule/internal/drawing"
	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/review"
	"plumbrule/internal/wording"
)

//go:embed templates
var templateFiles embed.FS

// templates are parsed once, on first use. What is run is a copy, which says the
// sentences of the program in the language of its review.
var templates = sync.OnceValue(func() *template.Template {
	read := func(name string) string {
		raw, err := templateFiles.ReadFile("templates/" + name)
		if err != nil {
			panic(err) // the file is embedded
		}
		return string(raw)
	}
	style, script := read("style.css"), read("script.js")
	sum := sha256.Sum256([]byte(script))
	t := template.New("").Funcs(template.FuncMap{
		"style":      func() template.CSS { return template.CSS(style) },
		"script":     func() template.JS { return template.JS(script) },
		"scriptHash": func() string { return "sha256-" + base64.StdEncoding.EncodeToString(sum[:]) },
		"capital":    capital,
		"plain":      wording.Plain,
		"slug":       slug,
		"number":     commentNumber,
		"say":        wording.Plain, // in the language of no review
	})
	return template.Must(t.ParseFS(templateFiles, "templates/*.html"))
})

// render writes a page whole or not at all.
func render(w io.Writer, r *review.Review, v *pageView) error {
	t, err := templates().Clone()
	if err != nil {
		return err
	}
	language := wording.LanguageOf(r)
	t.Funcs(template.FuncMap{"say": func(text string) string { return wording.Plain(language.Say(text)) }})
	var b bytes.Buffer
	if err := t.ExecuteTemplate(&b, "page.html", v); err != nil {
		return err
	}
	_, err = w.Write(b.Bytes())
	return err
}

// pageView is every paper of a review in one file but the letter, which is a
// file of its own.
type pageView struct {
	Paper   string // the size of the sheets: us or si
	Project string
	Title   string // how the review came out
	Class   string // the severity of the gravest comment; "none" for no comment
	Counts  string // the comments by severity; "" for none
	Partial string // that only some checks ran; "" where all did
	Head    []field
	Codes   string

	Parts      []commentPart
	Totals     string
	Deviations []string
	Remarks    []string
	Order      []tally
	Sum        tally

	Drawings     []picture
	Governs      []governing
	Lesser       int // checks that are met with less than is listed
	Calculations *calculationView
	Weak         []field // table values to verify, with the checks that use them
	Checklist    *checklistView
	Basis        []field
	Notice       string
	Cautions     []string
}

// picture is one drawing of the page.
type picture struct {
	ID, Title, Says string
	Folded          bool // it is as high as it has sheets, and folds out
	SVG             template.HTML
}

// HTML writes a review as one file that asks nothing of the network: how it came
// out with each comment on a line, then the drawings, what governs, the
// calculations and the field checklist. Comments and their marks on the drawings
// lead to one another. Of the outcomes it has what is outstanding, the one that
// governs each check, and counts.
func HTML(w io.Writer, r *review.Review, o Options) error {
	drawings, err := makeDrawings(r, o.Version)
	if err != nil {
		return err
	}
	p := r.Job.Project
	v := &pageView{
		Paper: sheetSize(r), Project: cmp.Or(p.Name.Value, "Plan review"),
		Title: wording.Capital(wording.Verdict(r)), Class: "none",
		Counts: wording.BySeverity(wording.CommentsBySeverity(r)), Partial: partial(r),
		Head: []field{
			{"Address", orNotStated(p.Address)}, {"Permit", orNotStated(p.Permit)}, {"Authority", orNotStated(p.Authority)},
		},
		Codes:  cmp.Or(strings.Join(wording.EditionNames(r), ", "), "none stated"),
		Parts:  commentParts(r, markedOn(drawings)),
		Totals: totalsOf(r), Deviations: deviations(r), Remarks: slices.Concat(wording.Remarks(r)...), Sum: totalTally(r),
		Drawings: drawings, Calculations: makeCalculations(r), Weak: weakValues(r), Checklist: makeChecklist(r, o),
		Basis:  basis(r, o),
		Notice: wording.Notice, Cautions: wording.Cautions,
	}
	if comments := r.Comments(); len(comments) > 0 {
		v.Class = string(comments[0].Severity)
	}
	for _, f := range []field{{"Revision", p.Revision.Value}, {"Reviewed", o.Date}} {
		if f.Text != "" {
			v.Head = append(v.Head, f)
		}
	}
	v.Governs, v.Lesser = nearest(v.Calculations.Governs)
	for _, d := range wording.Disciplines(r) {
		v.Order = append(v.Order, tallyOf(d))
	}
	slices.SortFunc(v.Order, func(a, b tally) int { return strings.Compare(a.Name, b.Name) })
	return render(w, r, v)
}

func orNotStated(g job.Text) string {
	if !g.Known {
		return "not stated"
	}
	return g.Value
}

// mostGoverning is how many checks that are met the page lists by their
// utilisation, beside those that are not.
const mostGoverning = 25

// nearest picks what is not met, and of what is met what is nearest to its limit;
// lesser counts the others.
func nearest(all []governing) (out []governing, lesser int) {
	met := 0
	for _, g := range all {
		if g.Result == string(review.Met) {
			if met == mostGoverning || !g.governs {
				lesser++
				continue
			}
			met++
		}
		out = append(out, g)
	}
	return out, lesser
}

// totalsOf counts the outcomes of a review in a sentence.
func totalsOf(r *review.Review) string {
	n := r.Totals
	parts := []string{fmt.Sprintf("%d met", n.Met), fmt.Sprintf("%d not met", n.NotMet), fmt.Sprintf("%d undetermined", n.Undetermined)}
	if n.Excused > 0 {
		parts = append(parts, fmt.Sprintf("%d excused", n.Excused))
	}
	if n.Claimed > 0 {
		parts = append(parts, fmt.Sprintf("%d of these claimed as deviations", n.Claimed))
	}
	if n.Listed > 0 {
		parts = append(parts, fmt.Sprintf("%d of these on the standing list", n.Listed))
	}
	return wording.Plural(n.Pairs, "outcome", "outcomes") + ": " + strings.Join(append(parts, fmt.Sprintf("%d do not apply", n.NotApplicable)), ", ")
}

// sheetSize names the paper that the drawings are made for.
func sheetSize(r *review.Review) string {
	if r.System == quantity.SI {
		return "si"
	}
	return "us"
}

// makeDrawings are the sheets that go with a review. Every text in them is
// escaped by their writers.
func makeDrawings(r *review.Review, version string) ([]picture, error) {
	var out []picture
	for _, d := range []struct {
		id, title, says string
		folded          bool
		write           func(io.Writer, *review.Review, drawing.Options) error
	}{
		{"roof-plan", "Roof plan", "The roof to scale with modules, attachments, wind zones, clear paths and the marks of comments.", false, drawing.RoofPlan},
		{"section", "Attachment section", "How the feet are fixed, to scale where the job states sizes.", false, drawing.AttachmentSection},
		{"one-line", "One-line diagram", "The circuits from modules to service with the marks of comments.", false, drawing.OneLine},
		{"placard-sheets", "Placards", "The labels with what each has to tell, at their own size when this page is printed on the paper that it is made for.", true, drawing.Placards},
	} {
		var b bytes.Buffer
		if err := d.write(&b, r, drawing.Options{Embedded: true, Version: version}); err != nil {
			return nil, fmt.Errorf("%s: %w", d.title, err)
		}
		out = append(out, picture{d.id, d.title, d.says, d.folded, template.HTML(inline(b.Bytes()))})
	}
	return out, nil
}

// inline takes the XML declaration off a drawing, which only a file may have.
func inline(svg []byte) []byte {
	if i := bytes.Index(svg, []byte("<svg")); i > 0 {
		return svg[i:]
	}
	return svg
}

// commentNumber is the number of the comment that a subject's number belongs to.
func commentNumber(number string) string {
	n, _, _ := strings.Cut(number, ".")
	return n
}

// slug makes the ID of a check fit for a link.
func slug(id string) string {
	out := []byte(id)
	for i, c := range out {
		if !('a' <= c && c <= 'z' || '0' <= c && c <= '9') {
			out[i] = '-'
		}
	}
	return string(out)
}

// tally is a row of the counts.
type tally struct {
	Name                                                        string
	NotMet, Undetermined, Met, NotApplicable, Excused, Together int
}

func tallyOf(d *wording.Discipline) tally {
	return tally{d.Name, d.Count[review.NotMet], d.Count[review.Undetermined], d.Count[review.Met], d.Count[review.NotApplicable], d.Excused, d.Pairs}
}

func totalTally(r *review.Review) tally {
	n := r.Totals
	return tally{"together", n.NotMet, n.Undetermined, n.Met, n.NotApplicable, n.Excused, n.Pairs}
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

// basis is what the review rests on, so that it can be repeated. The job's
// hash is that of its files put end to end in the order listed.
func basis(r *review.Review, o Options) []field {
	var rows, files []field
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
	rows = append(rows, files...)
	for _, p := range papersOf(r) {
		rows = append(rows, field{p.Label, p.Text})
	}
	return rows
}
