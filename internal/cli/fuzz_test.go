package cli

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"encoding/xml"
	"errors"
	"io"
	"slices"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"github.com/xeipuuv/gojsonschema"

	"plumbrule/internal/codebook"
	"plumbrule/internal/job"
	"plumbrule/internal/report"
	"plumbrule/internal/review"
	"plumbrule/internal/source"
	"plumbrule/internal/table"
	"plumbrule/schema"
)

// hostileNames are texts that a stranger may put into a job.
var hostileNames = []string{
	"", "S-1", "\x1b[2J\x07\u009b31m", "\u202eevil\u2066\u200f", "<script>alert(1)</script><img src=x onerror=alert(2)>", "]]>--><!--", "\"'&amp;&lt;",
	"{{.Permit}}{{template \"x\"}}${x}%s%n", "=1+1", "\t@SUM(A1)", "| a | b |\n| --- | --- |\n# head", "`x` **b** [a](javascript:x) https://x.test www.x.test",
	strings.Repeat("long ", 60), strings.Repeat("x", 250), "\x00\x01\x7f", "\ufffe\uffff\ufeff", "\xff\xfe\xc0", "大門🏠e\u0301", "a\r\nb\u2028c\u2029d\u0085e", "../../x\\..\\y", "'; DROP",
}

// FuzzReports puts a text in place of every name of a job and holds that each
// report keeps what it must: nothing steers a terminal, markup is well formed,
// data can be read back, and no cell runs.
func FuzzReports(f *testing.F) {
	for _, name := range hostileNames {
		f.Add(name, "F1")
		f.Add("Shed", name)
	}
	book, err := codebook.Load(few())
	if err != nil {
		f.Fatal(err)
	}
	tables, err := table.Load(few(), "tables")
	if err != nil {
		f.Fatal(err)
	}
	raw, err := schema.FS.ReadFile("review.schema.json")
	if err != nil {
		f.Fatal(err)
	}
	compiled, err := gojsonschema.NewSchema(gojsonschema.NewBytesLoader(raw))
	if err != nil {
		f.Fatal(err)
	}
	follows := func(t *testing.T, text []byte) {
		result, err := compiled.Validate(gojsonschema.NewBytesLoader(text))
		if err != nil || !result.Valid() {
			t.Errorf("the document does not follow its schema: %v", err)
		}
	}
	f.Fuzz(func(t *testing.T, project, name string) {
		if len(project)+len(name) > 600 { // longer ones cost time and show nothing else
			return
		}
		q := func(s string) string { return job.Quote(strings.ToValidUTF8(s, "?")) }
		text := "[project]\nname = " + q(project) + "\naddress = " + q(name) + "\nowner = " + q(project) + "\n" +
			"[[overcurrent]]\nname = " + q(name+"1") + "\nrating = \"30 A\"\nvoltage = \"300 V\"\n[[overcurrent]]\nname = " + q(name+"2") + "\n" +
			"[[plane]]\nname = " + q(name) + "\noutline = [[\"0 ft\", \"0 ft\"], [\"20 ft\", \"0 ft\"], [\"20 ft\", \"20 ft\"], [\"0 ft\", \"20 ft\"]]\nslope = \"6:12\"\n" +
			"[[deviation]]\ncheck = \"electrical/fuse\"\nsubject = " + q(name+"1") + "\nreason = " + q(project) + "\nby = " + q(name) + "\n"
		j, err := job.Parse("job.toml", []byte(text), nil)
		if err != nil {
			var faults source.Faults
			if !errors.As(err, &faults) {
				t.Fatalf("an error without places: %v", err)
			}
			var said bytes.Buffer
			complain(&said, err)
			steersNothing(t, "the complaint", said.Bytes())
			return
		}
		r, err := review.Run(j, book, tables, review.Options{})
		if err != nil {
			var faults source.Faults
			if !errors.As(err, &faults) {
				t.Fatalf("an error without places: %v", err)
			}
			return
		}
		if d := r.Defects(); len(d) > 0 {
			t.Fatalf("defects %q", d)
		}
		for _, full := range []bool{false, true} {
			var b bytes.Buffer
			if err := report.Text(&b, r, report.TextOptions{Full: full}); err != nil {
				t.Fatal(err)
			}
			steersNothing(t, "the terminal's report", b.Bytes())
		}
		for _, w := range writers {
			var b bytes.Buffer
			if err := w.write(&b, slices.Values([]*review.Review{r}), options{data: report.Options{All: true, Version: "1", Gate: review.Gates[0]}}); err != nil {
				t.Fatalf("%s: %v", w.ending, err)
			}
			holdsFormat(t, w.ending, b.Bytes(), follows)
		}
	})
}

// holdsFormat holds a file to what its format must keep.
func holdsFormat(t *testing.T, ending string, text []byte, follows func(*testing.T, []byte)) {
	switch {
	case strings.HasSuffix(ending, ".pdf"):
		if !bytes.HasPrefix(text, []byte("%PDF-")) || !bytes.HasSuffix(bytes.TrimSpace(text), []byte("%%EOF")) {
			t.Errorf("%s: no whole document", ending)
		}
		return
	case ending == ".json" || ending == ".sarif":
		if !json.Valid(text) {
			t.Errorf("%s: not JSON", ending)
		}
		if ending == ".json" {
			follows(t, text)
		}
	case ending == ".csv":
		rows, err := csv.NewReader(bytes.NewReader(text)).ReadAll()
		if err != nil {
			t.Errorf("%s: %v", ending, err)
		}
		for _, row := range rows {
			for _, cell := range row {
				bare := strings.TrimLeftFunc(cell, func(r rune) bool { return unicode.IsSpace(r) || unicode.Is(unicode.Cf, r) || r == '"' })
				if bare != "" && strings.ContainsAny(bare[:1], "=@") {
					t.Errorf("%s: a cell would run: %q", ending, cell)
				}
			}
		}
		steersNothing(t, ending, bytes.ReplaceAll(text, []byte("\r\n"), []byte("\n")))
		return
	case strings.HasSuffix(ending, ".svg") || ending == ".junit.xml":
		for d := xml.NewDecoder(bytes.NewReader(text)); ; {
			if _, err := d.Token(); errors.Is(err, io.EOF) {
				break
			} else if err != nil {
				t.Fatalf("%s: %v", ending, err)
			}
		}
	case strings.HasSuffix(ending, ".html"):
		for _, bad := range []string{"<script>alert", "<img src=x", "href=\"javascript:"} {
			if bytes.Contains(text, []byte(bad)) {
				t.Errorf("%s: %q is markup", ending, bad)
			}
		}
		return // its own script and style have tabs
	case strings.HasSuffix(ending, ".md"):
		for line := range strings.Lines(string(text)) {
			if strings.Contains(strings.ReplaceAll(line, `\<`, ""), "<script") {
				t.Errorf("%s: markup: %q", ending, line)
			}
		}
	}
	if ending != ".json" && ending != ".sarif" { // which write such a sign as it is or escaped, for programs
		steersNothing(t, ending, text)
	}
}

// steersNothing holds that a text has no sign that steers a terminal or turns
// the direction of writing, and is whole.
func steersNothing(t *testing.T, what string, text []byte) {
	t.Helper()
	if !utf8.Valid(text) {
		t.Errorf("%s: not UTF-8", what)
	}
	for _, r := range string(text) {
		if r != '\n' && unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r) {
			t.Errorf("%s has %U", what, r)
			return
		}
	}
}

// FuzzReview reviews any text as a job: it is refused with places, or reviewed
// without a defect of the program.
func FuzzReview(f *testing.F) {
	for _, text := range []string{shed + fuse, shed + big + low + bare, "", "[project]\nname = 1\n", "project.name = \"x\"\n[[plane]]\nname = \"a\"\noutline = [[\"0 ft\", \"0 ft\"]]\n"} {
		f.Add([]byte(text))
	}
	book, err := codebook.Load(few())
	if err != nil {
		f.Fatal(err)
	}
	tables, err := table.Load(few(), "tables")
	if err != nil {
		f.Fatal(err)
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		j, err := job.Parse("job.toml", text, nil)
		if err == nil {
			var r *review.Review
			if r, err = review.Run(j, book, tables, review.Options{}); err == nil {
				if d := r.Defects(); len(d) > 0 {
					t.Errorf("defects %q", d)
				}
				return
			}
		}
		var faults source.Faults
		if !errors.As(err, &faults) {
			t.Errorf("an error without places: %v", err)
		}
	})
}

// FuzzRule takes any text as a rule file of a jurisdiction, and any as an
// expression in one: it is refused with places, or decides without a crash.
func FuzzRule(f *testing.F) {
	for _, expression := range []string{`overcurrent.rating > q("1 A")`, `1 / 0 == 1`, `[1, 2].all(x, x > 0)`, `"`, `q("1 degF") > -q("2 degC")`, `overcurrent.rating / q("0 A") > 1.0`} {
		f.Add(county, expression)
	}
	base, err := codebook.Load(few())
	if err != nil {
		f.Fatal(err)
	}
	tables, err := table.Load(few(), "tables")
	if err != nil {
		f.Fatal(err)
	}
	j, err := job.Parse("job.toml", []byte(shed+fuse+big+bare), nil)
	if err != nil {
		f.Fatal(err)
	}
	f.Fuzz(func(t *testing.T, text, expression string) {
		for _, text := range []string{text, strings.Replace(county, "measure", "when = "+job.Quote(strings.ToValidUTF8(expression, "?"))+"\nmeasure", 1)} {
			added, err := base.Add([]*source.File{source.NewFile("own/fire/fuse.toml", []byte(text))})
			if err == nil {
				_, err = review.Run(j, base.With(added), tables, review.Options{})
			}
			var faults source.Faults
			if err != nil && !errors.As(err, &faults) {
				t.Errorf("an error without places: %v", err)
			}
		}
	})
}
