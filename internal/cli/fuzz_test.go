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
	"testing/fstest"
	"time"
	"unicode"
	"unicode/utf8"

	"github.com/xeipuuv/gojsonschema"

	"plumbrule/internal/adoption"
	"plumbrule/internal/backcheck"
	"plumbrule/internal/bound"
	"plumbrule/internal/codebook"
	"plumbrule/internal/job"
	"plumbrule/internal/paper"
	"plumbrule/internal/report"
	"plumbrule/internal/review"
	"plumbrule/internal/source"
	"plumbrule/internal/standing"
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
	for _, sign := range []string{"x", "大", "<b> ", "1 "} { // the longest that are read, and longer
		f.Add(strings.Repeat(sign, bound.TextLength/len([]rune(sign))), strings.Repeat(sign, bound.NameLength/len([]rune(sign))-1))
		f.Add(strings.Repeat(sign, 10_000), strings.Repeat(sign, 10_000))
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
	if _, err := job.Parse("job.toml", []byte(jobNamed("Shed", "F1")), nil); err != nil {
		f.Fatalf("the job is refused whatever its names: %v", err)
	}
	f.Fuzz(func(t *testing.T, project, name string) {
		j, err := job.Parse("job.toml", []byte(jobNamed(project, name)), nil)
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

// jobNamed is a job with a text in place of every name.
func jobNamed(project, name string) string {
	q := func(s string) string { return job.Quote(strings.ToValidUTF8(s, "?")) }
	return "[project]\nname = " + q(name) + "\naddress = " + q(project) + "\nowner = " + q(project) + "\n" +
		"[[overcurrent]]\nname = " + q(name+"1") + "\nrating = \"30 A\"\nvoltage = \"300 V\"\n[[overcurrent]]\nname = " + q(name+"2") + "\n" +
		"[[plane]]\nname = " + q(name) + "\noutline = [[\"0 ft\", \"0 ft\"], [\"20 ft\", \"0 ft\"], [\"20 ft\", \"20 ft\"], [\"0 ft\", \"20 ft\"]]\nslope = \"6:12\"\n" +
		"[[deviation]]\ncheck = \"electrical/fuse\"\nsubject = " + q(name+"1") + "\nreason = " + q(project) + "\nby = " + q(name) + "\ndate = 2026-03-02\nreference = " + q(project) + "\n"
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

// FuzzOffice takes any text as each file that an office gives a review: it is
// refused with places, or the review goes on from it and its reports keep what
// they must.
func FuzzOffice(f *testing.F) {
	book, err := codebook.Load(few())
	if err != nil {
		f.Fatal(err)
	}
	tables, err := table.Load(few(), "tables")
	if err != nil {
		f.Fatal(err)
	}
	j, err := job.Parse("job.toml", []byte(shed+fuse+big+low+bare), nil)
	if err != nil {
		f.Fatal(err)
	}
	before, err := review.Run(j, book, tables, review.Options{})
	if err != nil {
		f.Fatal(err)
	}
	var earlier, list, letter bytes.Buffer
	if err := report.JSON(&earlier, slices.Values([]*review.Review{before}), report.Options{}); err != nil {
		f.Fatal(err)
	}
	if err := standing.Write(&list, review.StandingOf(before)); err != nil {
		f.Fatal(err)
	}
	if err := paper.LetterMarkdown(&letter, before, paper.Options{}); err != nil {
		f.Fatal(err)
	}
	granted := "[[deviation]]\ncheck = \"electrical/fuse\"\nsubject = \"F2\"\nreason = \"old\"\nby = \"J. Examiner\"\ndate = 2026-03-02\nreference = \"letter\"\n"
	reads := []func(*source.File) (review.Options, *review.Earlier, error){
		func(f *source.File) (o review.Options, _ *review.Earlier, err error) {
			o.Leave.Filed, o.Leave.Date = true, "2026-05-01"
			o.Leave.Granted, err = job.ReadDeviations(f)
			return o, nil, err
		},
		func(f *source.File) (o review.Options, _ *review.Earlier, err error) {
			o.Standing, err = standing.Read(f)
			return o, nil, err
		},
		func(f *source.File) (o review.Options, e *review.Earlier, err error) {
			e, err = backcheck.ReadEarlier(f)
			return o, e, err
		},
		func(f *source.File) (o review.Options, e *review.Earlier, err error) {
			if e, err = backcheck.ReadEarlier(source.NewFile("round.json", earlier.Bytes())); err == nil {
				e.Responses, err = backcheck.ReadResponses(f, e)
			}
			return o, e, err
		},
	}
	names := []string{"granted.toml", "list.toml", "round.json", "answers.csv", "letter.md"}
	for i, text := range []string{granted, list.String(), earlier.String(), "number,response\n1,done\n", letter.String()} {
		if _, _, err := reads[min(i, len(reads)-1)](source.NewFile(names[i], []byte(text))); err != nil {
			f.Fatalf("%s is refused as it is written: %v", names[i], err)
		}
		for k := range names {
			f.Add(uint8(k), text)
		}
	}
	f.Fuzz(func(t *testing.T, kind uint8, text string) {
		k := int(kind) % len(names)
		o, e, err := reads[min(k, len(reads)-1)](source.NewFile(names[k], []byte(text)))
		var r *review.Review
		if err == nil {
			r, err = review.Run(j, book, tables, o)
		}
		if err != nil {
			holdsFaults(t, err)
			return
		}
		if e != nil {
			r.Round = e.Round + 1
			r.Follow(e)
		}
		if d := r.Defects(); len(d) > 0 {
			t.Errorf("defects %q", d)
		}
		for _, w := range writers {
			if strings.HasSuffix(w.ending, ".pdf") || strings.HasSuffix(w.ending, ".svg") {
				continue // they show of this what the letter shows
			}
			var b bytes.Buffer
			if err := w.write(&b, slices.Values([]*review.Review{r}), options{data: report.Options{All: true, Version: "1", Gate: review.Gates[0]}}); err != nil {
				t.Fatalf("%s: %v", w.ending, err)
			}
			holdsFormat(t, w.ending, b.Bytes(), func(*testing.T, []byte) {})
		}
	})
}

// holdsFaults holds that an error says where, and steers nothing.
func holdsFaults(t *testing.T, err error) {
	t.Helper()
	var faults source.Faults
	if !errors.As(err, &faults) || len(faults) == 0 {
		t.Fatalf("an error without places: %v", err)
	}
	var said bytes.Buffer
	complain(&said, err)
	steersNothing(t, "the complaint", said.Bytes())
}

// FuzzPack takes any text as a pack of an authority, and as a rule of its own:
// they are refused with places, or jobs are reviewed under them.
func FuzzPack(f *testing.F) {
	pack := "name = \"Town\"\nlevel = \"city\"\nordinance = \"1\"\n[[amends]]\ncheck = \"electrical/fuse\"\nat_most = 'q(\"10 A\")'\ntitle = \"Fuse at most 10 A\"\n"
	f.Add(pack, county, "2026-05-01")
	f.Add(pack+"[[amends.example]]\njob = \"shed\"\nsubject = \"F1\"\nexpect = \"not met\"\n", "", "")
	f.Add("within = \"town\"\n"+pack, county, "2026-13-01")
	f.Add("rule_set = 1\n"+pack+"from = \"2026-06-01\"\nby = \"Ordinance\"\n", county, "2026-06-01")
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
	under := func(pack, rule, applied string) (*review.Review, error) {
		own := few()
		own["packs/town.toml"] = &fstest.MapFile{Data: []byte(pack)}
		if rule != "" {
			own["packs/town/electrical/own.toml"] = &fstest.MapFile{Data: []byte(rule)}
		}
		stack, err := adoption.Load("town", own)
		if err != nil {
			return nil, err
		}
		force, err := stack.In(base, adoption.Options{Applied: applied, Newest: applied == ""})
		if err != nil {
			return nil, err
		}
		return review.Run(force.Job(j), force.Book, tables, review.Options{})
	}
	if _, err := under(pack, county, "2026-05-01"); err != nil {
		f.Fatalf("a good pack is refused: %v", err)
	}
	f.Fuzz(func(t *testing.T, pack, rule, applied string) {
		if _, err := time.Parse(job.Day, applied); err != nil {
			applied = "" // as the command line would refuse it
		}
		r, err := under(pack, rule, applied)
		if err != nil {
			holdsFaults(t, err)
			return
		}
		if d := r.Defects(); len(d) > 0 {
			t.Errorf("defects %q", d)
		}
		var b bytes.Buffer
		if err := report.Text(&b, r, report.TextOptions{Full: true}); err != nil {
			t.Fatal(err)
		}
		steersNothing(t, "the terminal's report", b.Bytes())
	})
}
