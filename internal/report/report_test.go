package report

import (
	"bytes"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/xeipuuv/gojsonschema"

	"plumbrule/internal/job"
	"plumbrule/internal/reporttest"
	"plumbrule/internal/review"
	"plumbrule/internal/source"
	"plumbrule/internal/table"
	"plumbrule/internal/wording"
	"plumbrule/schema"
)

func text(t *testing.T, r *review.Review, o TextOptions) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := Text(&b, r, o); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func TestText(t *testing.T) {
	full := reporttest.Trial(t, job.Edits{})
	// What no check of the tests can bring about.
	o := reporttest.Find(t, full, "electrical/low", "site")
	o.Unconfirmed = []string{"NEC 2020 690.7(A), row -26 (verify: value from memory)"}
	for name, c := range map[string]struct {
		review  *review.Review
		options TextOptions
	}{
		"full.txt":   {full, TextOptions{Full: true}},
		"colour.txt": {full, TextOptions{Full: true, Color: true}},
		"narrow.txt": {full, TextOptions{Full: true, Width: 56}},
		"clear.txt":  {reporttest.Trial(t, reporttest.Clear), TextOptions{Full: true}},
		"list.txt":   {full, TextOptions{}},
	} {
		t.Run(name, func(t *testing.T) { reporttest.Golden(t, name, text(t, c.review, c.options)) })
	}
}

// Nothing is hidden: every finding's subject and every missing key stands in
// the letter, and colour adds no information.
func TestTextShowsEverything(t *testing.T) {
	r := reporttest.Trial(t, job.Edits{})
	plainText := strings.Join(strings.Fields(string(text(t, r, TextOptions{Full: true}))), " ")
	shown := 0
	for _, o := range r.Worst() {
		shown++
		name := o.Subject.Label() // like names are drawn together: "overcurrent F4 and 5"
		if stem := strings.TrimRight(name, "0123456789"); stem != "" {
			name = stem
		}
		for _, want := range append([]string{name, o.Check.ID}, needsOf(o)...) {
			if !strings.Contains(plainText, want) {
				t.Errorf("%s for %s: %q is not in the letter", o.Check.ID, o.Subject.Label(), want)
			}
		}
	}
	if shown != 7 {
		t.Errorf("the job has %d findings, expected 7", shown)
	}
	coloured := string(text(t, r, TextOptions{Full: true, Color: true}))
	if bare := stripColour(coloured); bare != string(text(t, r, TextOptions{Full: true})) {
		t.Errorf("without its colours the letter differs from the plain one:\n%s", bare)
	}
}

// Many findings of one check share a number; each is named.
func TestTextNamesManyLikeFindings(t *testing.T) {
	var b strings.Builder
	b.WriteString("[project]\nname = \"many\"\n[adoption]\nnec = \"2020\"\n")
	for i := range 40 {
		fmt.Fprintf(&b, "[[overcurrent]]\nname = \"F%d\"\nrating = \"%d A\"\n", i, 16+i)
	}
	j, err := job.Parse("many.toml", []byte(b.String()), nil)
	if err != nil {
		t.Fatal(err)
	}
	r, err := review.Run(j, reporttest.Book(t), &table.Set{}, review.Options{Only: []string{"electrical/fuse"}})
	if err != nil {
		t.Fatal(err)
	}
	got := string(text(t, r, TextOptions{Full: true}))
	if !strings.Contains(got, "1.  NOT MET") || strings.Contains(got, "2.  ") {
		t.Error("the findings do not share one number")
	}
	if !strings.Contains(got, "overcurrent F39, and 39 more listed below") {
		t.Error("the worst does not come first")
	}
	joined := strings.Join(strings.Fields(got), " ")
	for i := range 39 {
		if want := fmt.Sprintf("overcurrent F%d (%d A; line %d)", i, 16+i, 7+3*i); !strings.Contains(joined, want) {
			t.Errorf("%q is not named", want)
		}
	}
	for _, l := range strings.Split(got, "\n") {
		if wording.Columns(l) > usualWidth {
			t.Errorf("a line is %d columns wide: %q", wording.Columns(l), l)
		}
	}
}

func needsOf(o *review.Outcome) (out []string) {
	for _, n := range o.Needs {
		out = append(out, n.Keys...)
	}
	return append(out, o.Reasons...)
}

func stripColour(s string) string {
	var b strings.Builder
	for s != "" {
		before, after, found := strings.Cut(s, "\x1b[")
		b.WriteString(before)
		if !found {
			break
		}
		_, s, _ = strings.Cut(after, "m")
	}
	return b.String()
}

func TestTextKeepsTheTerminalSafe(t *testing.T) {
	r := reporttest.Trial(t, job.Edits{Set: map[string]any{"project.name": "shed \x1b[2J\u202e", "overcurrent.F1.name": "\x07bell"}})
	got := string(text(t, r, TextOptions{Full: true}))
	if strings.ContainsAny(got, "\x1b\x07\u202e") {
		t.Errorf("a control character of the job reaches the terminal: %q", got)
	}
	if !strings.Contains(got, "shed ?[2J?") {
		t.Errorf("the name is not shown: %q", got)
	}
}

func TestTotalsAddUp(t *testing.T) {
	for name, edits := range map[string]job.Edits{"full": {}, "clear": reporttest.Clear} {
		r := reporttest.Trial(t, edits)
		sum := map[string]int{}
		for _, d := range wording.Disciplines(r) {
			parts := d.Excused
			for k, n := range d.Count {
				sum[string(k)] += n
				parts += n
			}
			if parts != d.Pairs {
				t.Errorf("%s: %s has %d outcomes, its columns add up to %d", name, d.Name, d.Pairs, parts)
			}
			sum["excused"] += d.Excused
			sum["pairs"] += d.Pairs
		}
		n := r.Totals
		want := map[string]int{"met": n.Met, "not met": n.NotMet, "undetermined": n.Undetermined, "not applicable": n.NotApplicable, "excused": n.Excused, "pairs": n.Pairs}
		for k, w := range want {
			if sum[k] != w {
				t.Errorf("%s: the disciplines have %d %s, the review %d", name, sum[k], k, w)
			}
		}
	}
}

// Columns of the totals stay apart and in line however large the numbers are.
func TestTotalsOfAVeryLargeJob(t *testing.T) {
	r := reporttest.Trial(t, job.Edits{})
	r.Totals = review.Totals{NotMet: 1234567, Undetermined: 123456789012345, Met: 98765432109, NotApplicable: 1, Excused: 23456789, Pairs: 999999999999999}
	_, table, _ := strings.Cut(string(text(t, r, TextOptions{Full: true})), "TOTALS")
	lines := strings.Split(table, "\n")[2:]
	last := slices.IndexFunc(lines, func(l string) bool { return strings.HasPrefix(l, "together") })
	want := []string{"together", "1234567", "123456789012345", "98765432109", "1", "23456789", "999999999999999"}
	if got := strings.Fields(lines[last]); !slices.Equal(got, want) {
		t.Errorf("the sums read %q, expected %q", got, want)
	}
	for i, l := range lines[:last+1] {
		if len(l) != len(lines[0]) {
			t.Errorf("row %d is %d wide, the heading %d:\n%s\n%s", i, len(l), len(lines[0]), lines[0], l)
		}
	}
}

func TestDefectsAreNamed(t *testing.T) {
	r := reporttest.Trial(t, job.Edits{})
	o := reporttest.Find(t, r, "electrical/low", "site")
	o.Result, o.Defect, o.Reason, o.Measure = review.Undetermined, "index out of range\ngoroutine 7 [running]", "check electrical/low failed: index out of range", nil
	if got := string(text(t, r, TextOptions{Full: true})); !strings.Contains(got, "Defect of the program, not of the job: electrical/low for site: index out of range") || strings.Contains(got, "goroutine") {
		t.Errorf("the defect is not named in one line:\n%s", got)
	}
	if doc := document(r); len(doc.Defects) != 1 || strings.Contains(doc.Defects[0], "goroutine") {
		t.Errorf("defects %q", doc.Defects)
	}
}

func reviewSchemaOf(t testing.TB) *gojsonschema.Schema {
	t.Helper()
	raw, err := schema.FS.ReadFile("review.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	s, err := gojsonschema.NewSchema(gojsonschema.NewBytesLoader(raw))
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func TestJSON(t *testing.T) {
	s := reviewSchemaOf(t)
	full, clean := reporttest.Trial(t, job.Edits{}), reporttest.Trial(t, reporttest.Clear)
	for name, f := range map[string]func(*bytes.Buffer) error{
		"full.json":  func(b *bytes.Buffer) error { return JSON(b, full) },
		"clear.json": func(b *bytes.Buffer) error { return JSON(b, clean) },
		"both.json":  func(b *bytes.Buffer) error { return JSONAll(b, []*review.Review{full, clean}) },
	} {
		t.Run(name, func(t *testing.T) {
			var b bytes.Buffer
			if err := f(&b); err != nil {
				t.Fatal(err)
			}
			result, err := s.Validate(gojsonschema.NewBytesLoader(b.Bytes()))
			if err != nil {
				t.Fatal(err)
			}
			for _, e := range result.Errors() {
				t.Errorf("against the schema: %s", e)
			}
			if name != "both.json" {
				reporttest.Golden(t, name, b.Bytes())
			}
		})
	}
}

// The schema has to refuse what a reader could not rely on.
func TestSchemaRefuses(t *testing.T) {
	s := reviewSchemaOf(t)
	for name, spoil := range map[string]func(doc map[string]any){
		"another version":   func(d map[string]any) { d["schema"] = "plumbrule review 2" },
		"a list of nothing": func(d map[string]any) { d["outcomes"] = nil },
		"an unknown outcome": func(d map[string]any) {
			d["outcomes"].([]any)[0].(map[string]any)["outcome"] = "passed"
		},
		"needs that are null": func(d map[string]any) {
			d["outcomes"].([]any)[0].(map[string]any)["needs"] = nil
		},
		"no totals": func(d map[string]any) { delete(d, "totals") },
	} {
		var b bytes.Buffer
		if err := JSON(&b, reporttest.Trial(t, job.Edits{})); err != nil {
			t.Fatal(err)
		}
		var doc map[string]any
		if err := json.Unmarshal(b.Bytes(), &doc); err != nil {
			t.Fatal(err)
		}
		spoil(doc)
		result, err := s.Validate(gojsonschema.NewGoLoader(doc))
		if err != nil {
			t.Fatal(err)
		}
		if result.Valid() {
			t.Errorf("%s: the schema lets it pass", name)
		}
	}
}

func TestSchemaToleratesAdditions(t *testing.T) {
	var b bytes.Buffer
	if err := JSON(&b, reporttest.Trial(t, job.Edits{})); err != nil {
		t.Fatal(err)
	}
	var doc map[string]any
	if err := json.Unmarshal(b.Bytes(), &doc); err != nil {
		t.Fatal(err)
	}
	doc["later"] = true
	doc["outcomes"].([]any)[0].(map[string]any)["later"] = "too"
	result, err := reviewSchemaOf(t).Validate(gojsonschema.NewGoLoader(doc))
	if err != nil {
		t.Fatal(err)
	}
	if !result.Valid() {
		t.Errorf("additions are refused: %v", result.Errors())
	}
}

func TestSheet(t *testing.T) {
	for _, id := range []string{"electrical/fuse", "paper/placard-place", "fire/waiver"} {
		var b bytes.Buffer
		if err := Sheet(&b, reporttest.Book(t).Check(id)); err != nil {
			t.Fatal(err)
		}
		reporttest.Golden(t, strings.ReplaceAll(id, "/", "-")+".sheet.txt", b.Bytes())
	}
}

func TestExcerpt(t *testing.T) {
	for _, c := range []struct {
		name, line, value string
		width             int
		want, under       string
	}{
		{"plain", `rating = "20 A"`, `"20 A"`, 80, `rating = "20 A"`, `         ¯¯¯¯¯¯`},
		{"tab before", "\trating = 1", "1", 80, "rating = 1", "         ¯"},
		{"tab within", "ab\t= 1", "1", 80, "ab  = 1", "      ¯"},
		{"wide before", `門 = "x"`, `"x"`, 80, `門 = "x"`, `     ¯¯¯`},
		{"wide value", `n = "大門"`, `"大門"`, 80, `n = "大門"`, `    ¯¯¯¯¯¯`},
		{"combining", "e\u0301 = 1", "1", 80, "e\u0301 = 1", "    ¯"},
		{"long tail", "k = 1 # " + strings.Repeat("x", 40), "1", 20, "k = 1 # xxxxxxxxx...", "    ¯"},
		{"long head", strings.Repeat("x", 40) + " = 1", "1", 20, "...xxxx = 1", "          ¯"},
		{"long value", `k = "` + strings.Repeat("y", 40) + `"`, `"` + strings.Repeat("y", 40) + `"`, 20, `k = "yyyyyyyyyyyy...`, "    ¯¯¯¯¯¯¯¯¯¯¯¯¯¯¯¯"},
	} {
		f := source.NewFile("x.toml", []byte("first\n"+c.line+"\nlast\n"))
		start := len("first\n") + strings.LastIndex(c.line, c.value)
		line, under, ok := excerpt(source.Span{File: f, Start: start, End: start + len(c.value)}, c.width)
		if !ok || line != c.want || under != c.under {
			t.Errorf("%s:\n got %q\n     %q\nwant %q\n     %q", c.name, line, under, c.want, c.under)
		}
		if wording.Columns(line) > c.width || wording.Columns(under) > c.width {
			t.Errorf("%s: %d and %d columns in a width of %d", c.name, wording.Columns(line), wording.Columns(under), c.width)
		}
	}
	unread := &source.File{Name: "x.toml"}
	if _, _, ok := excerpt(source.Span{File: unread}, 80); ok {
		t.Error("a file that was not read has a source line")
	}
}

func TestColumns(t *testing.T) {
	for s, want := range map[string]int{"": 0, "abc": 3, "é": 1, "e\u0301": 1, "大門": 4, "ｆ": 2, "°": 1, "🏠": 2} {
		if got := wording.Columns(s); got != want {
			t.Errorf("%q is %d columns wide, got %d", s, want, got)
		}
	}
}

func BenchmarkText(b *testing.B) {
	r := reporttest.Trial(b, job.Edits{})
	for b.Loop() {
		if err := Text(&bytes.Buffer{}, r, TextOptions{}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkJSON(b *testing.B) {
	r := reporttest.Trial(b, job.Edits{})
	for b.Loop() {
		if err := JSON(&bytes.Buffer{}, r); err != nil {
			b.Fatal(err)
		}
	}
}
