package paper

import (
	"bytes"
	"crypto/sha256"
	"embed"
	"encoding/base64"
	"fmt"
	"html/template"
	"io"
	"sync"

	"plumbrule/internal/codebook"
	"plumbrule/internal/drawing"
	"plumbrule/internal/quantity"
	"plumbrule/internal/review"
	"plumbrule/internal/wording"
)

//go:embed templates
var templateFiles embed.FS

// templates are parsed once, on first use.
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
	})
	return template.Must(t.ParseFS(templateFiles, "templates/*.html"))
})

// pageView is the HTML file.
type pageView struct {
	Job   string
	Paper string // the size of the sheets: us or si
	Body  *wholeView
}

// render writes a page whole or not at all.
func render(w io.Writer, v pageView) error {
	var b bytes.Buffer
	if err := templates().ExecuteTemplate(&b, "page.html", v); err != nil {
		return err
	}
	_, err := w.Write(b.Bytes())
	return err
}

// wholeView is every paper of a review in one file.
type wholeView struct {
	Head         []field
	Editions     []string
	Verdict      string
	Totals       []tile
	Disciplines  []string
	Severities   []string
	Results      []string
	Letter       *letterView
	Drawings     []picture
	Calculations *calculationView
	Checklist    *checklistView
}

// tile is one count of the summary.
type tile struct {
	Name  string
	Count int
	Class string
}

// drawing is one SVG of the page.
type picture struct {
	ID, Title, Says string
	SVG             template.HTML
}

// HTML writes every paper of a review into one file that asks nothing of the
// network: summary, letter, drawings, calculations and field checklist. The
// findings of the letter and the marks of the drawings lead to one another.
func HTML(w io.Writer, r *review.Review, o Options) error {
	drawings, err := makeDrawings(r)
	if err != nil {
		return err
	}
	letter := makeLetter(r, o)
	n := r.Totals
	v := &wholeView{
		Head: letter.Head, Editions: letter.Editions, Verdict: verdictOf(r),
		Totals: []tile{
			{"not met", n.NotMet, "bad"}, {"undetermined", n.Undetermined, "open"}, {"met", n.Met, "good"},
			{"not applicable", n.NotApplicable, "none"}, {"excused", n.Excused, "none"}, {"together", n.Pairs, "sum"},
		},
		Severities: wording.Each(codebook.Severities, func(s codebook.Severity) string { return string(s) }),
		Results:    []string{string(review.NotMet), string(review.Undetermined), string(review.Met)},
		Letter:     letter, Drawings: drawings, Calculations: makeCalculations(r), Checklist: makeChecklist(r, o),
	}
	for _, t := range letter.Order {
		v.Disciplines = append(v.Disciplines, t.Name)
	}
	return render(w, pageView{Job: r.Job.Project.Name.Value, Paper: sheetSize(r), Body: v})
}

// sheetSize names the paper that the drawings are made for.
func sheetSize(r *review.Review) string {
	if r.System == quantity.SI {
		return "si"
	}
	return "us"
}

// verdictOf is the review in one sentence.
func verdictOf(r *review.Review) string {
	if list := wording.BySeverity(r.Totals.Outstanding); list != "" {
		return "Outstanding: " + list + "."
	}
	return "Nothing is outstanding."
}

// makeDrawings are the sheets that go with a review. Every text in them is
// escaped by their writers.
func makeDrawings(r *review.Review) ([]picture, error) {
	var out []picture
	for _, d := range []struct {
		id, title, says string
		write           func(io.Writer, *review.Review, drawing.Options) error
	}{
		{"roof-plan", "Roof plan", "The roof to scale with modules, attachments, wind zones, clear paths and the marks of findings.", drawing.RoofPlan},
		{"one-line", "One-line diagram", "The circuits from modules to service with the marks of findings.", drawing.OneLine},
	} {
		var b bytes.Buffer
		if err := d.write(&b, r, drawing.Options{Embedded: true}); err != nil {
			return nil, fmt.Errorf("%s: %w", d.title, err)
		}
		out = append(out, picture{d.id, d.title, d.says, template.HTML(inline(b.Bytes()))})
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
