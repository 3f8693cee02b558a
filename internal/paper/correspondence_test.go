package paper

import (
	"bytes"
	"fmt"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"

	"plumbrule/internal/codebook"
	"plumbrule/internal/guide"
	"plumbrule/internal/job"
	"plumbrule/internal/pdf/pdftest"
	"plumbrule/internal/reporttest"
	"plumbrule/internal/review"
	"plumbrule/internal/source"
	"plumbrule/internal/wording"
)

// Every comment of a review stands in its letter once, under its number and on
// its sheet, and each number of the letter is a comment.
func TestLetterHoldsEveryCommentOnce(t *testing.T) {
	for _, name := range reporttest.DemoJobs() {
		r := reporttest.Demo(t, name)
		l := makeCorrespondence(r, trialOptions)
		at := map[int]LetterComment{}
		sheet := map[int]string{}
		for severity, sheets := range map[codebook.Severity][]LetterSheet{codebook.Correction: l.Corrections, codebook.Verify: l.Verify, codebook.Advisory: l.Advice} {
			for _, s := range sheets {
				for _, c := range s.Comments {
					if _, twice := at[c.Number]; twice {
						t.Errorf("%s: comment %d stands twice", name, c.Number)
					}
					at[c.Number], sheet[c.Number] = c, s.Name
					if got := r.Comments()[c.Number-1].Severity; got != severity {
						t.Errorf("%s: comment %d of %s stands under %s", name, c.Number, got, severity)
					}
				}
			}
		}
		if len(at) != len(r.Comments()) {
			t.Errorf("%s: %d comments in the letter, %d in the review", name, len(at), len(r.Comments()))
		}
		for _, c := range r.Comments() {
			got := at[c.Number]
			if got.Status != wording.Status(c) || sheet[c.Number] != wording.SheetOf(r.Job, c) || got.Found == "" || got.ToPass == "" {
				t.Errorf("%s: comment %d is %+v on sheet %q", name, c.Number, got, sheet[c.Number])
			}
		}
	}
}

// A letter is correspondence: it names no file position, hash or check, and no
// long run of names.
func TestLetterLeavesOutWhatBelongsToCalculations(t *testing.T) {
	for _, name := range reporttest.DemoJobs() {
		r := reporttest.Demo(t, name)
		text := string(written(t, LetterMarkdown, r, Options{}))
		for _, pattern := range []string{`\.toml`, `[0-9a-f]{20}`, `line \d+[,;:)]?$`, ` degF\b| degC\b`} {
			if found := regexp.MustCompile(`(?m)` + pattern).FindString(text); found != "" {
				t.Errorf("%s: %q stands in the letter", name, found)
			}
		}
		for _, c := range r.Book.Checks {
			if strings.Contains(text, wording.Markdown(c.ID)+" ") || strings.Contains(text, c.ID+",") {
				t.Errorf("%s: the check %s stands in the letter", name, c.ID)
			}
		}
		for _, line := range strings.Split(text, "\n") {
			if n := len(regexp.MustCompile(`foot \d+`).FindAllString(line, -1)); n > 40 {
				t.Errorf("%s: a line names %d feet", name, n)
			}
		}
	}
}

func TestLetterTitles(t *testing.T) {
	mended := job.Edits{
		Set:   map[string]any{"string.S1.modules": 10, "array.south.attachments.spacing": "32 in", "array.south.columns": 7, "array.south.lug.1.column": 7},
		Unset: []string{"array.later", "deviation"},
	}
	for _, c := range []struct {
		name, state, title string
		r                  *review.Review
	}{
		{"faults", "corrections", "Plan review: corrections", reporttest.Demo(t, "house-faulty")},
		{"one check", "nothing", "Partial plan review: nothing to correct", reporttest.Drawn(t, "house-faulty", job.Edits{}, []string{"electrical/voltage-drop"})},
		{"mended", "nothing", "Plan review: nothing to correct", reporttest.Roof(t, mended)},
		{"left out", "information", "Plan review: more information needed", reporttest.Roof(t, job.Edits{Unset: []string{"array.south.attachments.spacing", "adoption", "string.S1.modules"}})},
	} {
		l := makeCorrespondence(c.r, trialOptions)
		if l.State != c.state || l.Title != c.title {
			t.Errorf("%s: %q, %q", c.name, l.State, l.Title)
		}
		if !strings.Contains(l.Opening, "not an approval") {
			t.Errorf("%s: %q", c.name, l.Opening)
		}
		if partial := strings.HasPrefix(l.Title, "Partial"); partial != (l.Partial != "") || partial != strings.Contains(l.Opening, "in the checks that ran") {
			t.Errorf("%s: %q, %q", c.name, l.Partial, l.Opening)
		}
		if (len(l.Answer) == 0) != (len(l.Corrections)+len(l.Verify) == 0) {
			t.Errorf("%s: how to answer: %q", c.name, l.Answer)
		}
	}
}

func TestLetterHead(t *testing.T) {
	o := Options{Date: "2026-11-27", Reviewer: "R. Alvarez", Round: 3}
	text := string(written(t, LetterMarkdown, reporttest.Demo(t, "house-faulty"), o))
	for _, want := range []string{"Date: 2026-11-27", "Reviewer: R. Alvarez", "Round: 3 (resubmittal)", "as round 4", "Permit: R-2024-1187", "**Contractor:** Ridgewater Electric, EC-20418", "| no. | comment | response |", "½ in"} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not in the letter", want)
		}
	}
	text = string(written(t, LetterMarkdown, reporttest.Demo(t, "house-faulty"), Options{}))
	if !strings.Contains(text, "Reviewer: \\_") && !strings.Contains(text, "Reviewer: ____") || strings.Contains(text, "Date: 20") || !strings.Contains(text, "Round: 1<br>") {
		t.Errorf("without options: %s", text[:300])
	}
}

// The faulty demo house is answered on four printed pages at most.
func TestLetterIsShort(t *testing.T) {
	for _, name := range reporttest.DemoJobs() {
		r := reporttest.Demo(t, name)
		d := newPDF(r, trialOptions)
		if err := addLetter(d, r, trialOptions); err != nil {
			t.Fatal(err)
		}
		if n := d.Pages(); n > 4 {
			t.Errorf("%s: the letter has %d pages", name, n)
		}
	}
}

func TestPDFs(t *testing.T) {
	for _, name := range reporttest.DemoJobs() {
		r := reporttest.Demo(t, name)
		for what, write := range map[string]func() []byte{
			"letter": func() []byte { return written(t, LetterPDF, r, trialOptions) },
			"all":    func() []byte { return written(t, PDF, r, trialOptions) },
		} {
			doc := write()
			if !bytes.HasPrefix(doc, []byte("%PDF-")) || !bytes.Equal(doc, write()) {
				t.Errorf("%s, %s: not the same document twice", name, what)
			}
		}
	}
}

func readTemplate(name, text string) (*LetterTemplate, error) {
	return ReadLetterTemplate(&source.File{Name: name, Text: []byte(text)})
}

// A letter of the authority's own says what it says, whatever the texts of the
// job hold.
func TestOwnTemplate(t *testing.T) {
	own, err := readTemplate("own.md", "Ours: {{.Project}}{{range .Corrections}}{{range .Comments}} {{.Number}}{{end}}{{end}}\n")
	if err != nil {
		t.Fatal(err)
	}
	o := Options{Letter: own}
	text := string(written(t, LetterMarkdown, reporttest.HostileRoof(t), o))
	if !strings.HasPrefix(text, "Ours: ") || strings.Contains(text, "<script>") {
		t.Errorf("%q", text)
	}
	page, err := readTemplate("own.html", "<p title=\"{{.Project}}\">{{.Project}}</p>")
	if err != nil {
		t.Fatal(err)
	}
	text = string(written(t, LetterHTML, reporttest.HostileRoof(t), Options{LetterHTML: page}))
	if strings.Contains(text, "<script>") || !strings.HasPrefix(text, "<p title=\"") {
		t.Errorf("%q", text)
	}
}

func TestTemplateErrorsNameThePlace(t *testing.T) {
	for _, c := range []struct{ name, text, want string }{
		{"a.md", "one\n{{.Sheets}}", "a.md:2:3: {{.Sheets}}: there is no field Sheets here"},
		{"a.md", "{{if .Deviations}}\n\n{{.Nothing}}{{end}}", "a.md:3:3: {{.Nothing}}: there is no field Nothing here"},
		{"a.md", "{{.Reviewr}}", "a.md:1:3: {{.Reviewr}}: there is no field Reviewr here, did you mean \"Reviewer\"?"},
		{"a.md", "{{range .Verify}}{{.Number}}{{end}}", "a.md:1:20: {{.Number}}: there is no field Number here"},
		{"a.md", "x\n{{if}}", "a.md:2:1: missing value for if"},
		{"a.md", "x\n{{end}}", "a.md:2:1: unexpected {{end}}"},
		{"a.md", `{{readFile "x"}}`, `a.md:1:1: function "readFile" not defined`},
		{"a.html", "<p>\n{{.Sheets}}", "a.html:2:3: {{.Sheets}}: there is no field Sheets here"},
		{"a.html", "<a href='{{if .Date}}'{{end}}>", "a.html:1:"},
		{"a.md", "{{template \"none\"}}", "a.md:1:12: {{template \"none\"}}: "},
		{"a.md", "{{index .Codes 5}}", "a.md:1:3: {{index .Codes 5}}: error calling index"},
		{"a.md", "{{define \"x\"}}{{template \"x\"}}{{end}}{{template \"x\"}}", "a.md:1:"},
		{"C:\\x\\a.md", "{{.No}}", "C:\\x\\a.md:1:3: "},
	} {
		_, err := readTemplate(c.name, c.text)
		if err == nil {
			t.Errorf("%q is read", c.text)
			continue
		}
		if !strings.HasPrefix(err.Error(), c.want) || !strings.Contains(err.Error(), ".Corrections") || strings.Contains(err.Error(), "\n") || strings.Contains(err.Error(), "paper.") {
			t.Errorf("%q: %v", c.text, err)
		}
	}
}

// Each field that a template may use is explained on the page of the guide.
func TestGuideExplainsEveryField(t *testing.T) {
	page, ok := guide.Named("letter")
	if !ok {
		t.Fatal("no page")
	}
	for _, typ := range []reflect.Type{reflect.TypeFor[Letter](), reflect.TypeFor[LetterSheet](), reflect.TypeFor[LetterComment](), reflect.TypeFor[LetterEarlier]()} {
		for i := range typ.NumField() {
			if name := fmt.Sprintf("`.%s`", typ.Field(i).Name); !strings.Contains(page.Text, name) {
				t.Errorf("%s of %s is not explained", name, typ.Name())
			}
		}
	}
}

// The PDF of a job says every comment's number and heading, what is on the
// drawings, and what the calculations hold, in the signs of the trade.
func TestPDFSaysWhatTheLetterSays(t *testing.T) {
	r := reporttest.Demo(t, "barn-faulty")
	o := trialOptions
	o.plainPDF = true
	pieces := pdftest.Shown(written(t, PDF, r, o))
	text := strings.Join(strings.Fields(strings.Join(pieces, "")), "")
	for _, c := range r.Comments() {
		if want := strings.Join(strings.Fields(wording.LanguageOf(r).Say(wording.Heading(c))), ""); !strings.Contains(text, want) {
			t.Errorf("%q is not in the PDF", want)
		}
		if !slices.Contains(pieces, fmt.Sprint(c.Number)) {
			t.Errorf("the number %d is not in the PDF", c.Number)
		}
	}
	// In the small print of the letter, and on each of the two sheets of each drawing.
	if n := strings.Count(text, strings.ReplaceAll(wording.MadeWith(o.Version, r.Book)[1:], " ", "")); n != 5 {
		t.Errorf("the PDF says %d times what it was made with", n)
	}
	for _, want := range []string{"−14°F", "½in", "≥", "Roofplan", "One-linediagram", "Whatgoverns", "utilization", "page3of"} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not in the PDF", want)
		}
	}
}

func TestAlike(t *testing.T) {
	lines := []calculationLine{
		{Subject: "foot 1", Measure: "1", Comment: "2.1"}, {Subject: "foot 2", Measure: "1", Comment: "2.2"},
		{Subject: "foot 3", Measure: "2", Comment: "2.3"}, {Subject: "foot 4", Measure: "2"},
	}
	var got []string
	for _, l := range alike(lines) {
		got = append(got, l.number+": "+strings.Join(l.subjects, ","))
	}
	if want := []string{"2: foot 1,foot 2", "2.3: foot 3", ": foot 4"}; !slices.Equal(got, want) {
		t.Errorf("%q, expected %q", got, want)
	}
}
