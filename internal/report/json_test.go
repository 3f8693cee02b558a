package report

import (
	"bytes"
	"encoding/json"
	"slices"
	"testing"

	"github.com/xeipuuv/gojsonschema"

	"plumbrule/internal/job"
	"plumbrule/internal/reporttest"
	"plumbrule/internal/review"
	"plumbrule/schema"
)

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

// jsonText is the document of reviews, which holds to its schema.
func jsonText(t *testing.T, o Options, list ...*review.Review) []byte {
	t.Helper()
	o.Gate, o.Many = review.Gates[0], len(list) > 1
	var b bytes.Buffer
	if err := JSON(&b, slices.Values(list), o); err != nil {
		t.Fatal(err)
	}
	result, err := reviewSchemaOf(t).Validate(gojsonschema.NewBytesLoader(b.Bytes()))
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range result.Errors() {
		t.Errorf("against the schema: %s", e)
	}
	return b.Bytes()
}

// reviewDoc is a document as a program reads it.
type reviewDoc struct {
	Verdict  string
	Gate     gateDoc
	Rules    rulesDoc
	Totals   totalsDoc
	Comments []commentDoc
	Missing  []missingDoc
	Checks   []checkDoc
	Outcomes []outcomeDoc
	Subjects []thingDoc
	Places   []placeDoc
	Lists    [][]int   `json:"place_lists"`
	Cites    []citeDoc `json:"citations"`
	Stages   [][]string
	Texts    []string
	Defects  []string
}

func jsonDoc(t *testing.T, o Options, r *review.Review) reviewDoc {
	t.Helper()
	var doc reviewDoc
	if err := json.Unmarshal(jsonText(t, o, r), &doc); err != nil {
		t.Fatal(err)
	}
	return doc
}

func TestJSON(t *testing.T) {
	full, clean := reporttest.Trial(t, job.Edits{}), reporttest.Trial(t, reporttest.Clear)
	reporttest.Golden(t, "full.json", jsonText(t, Options{}, full))
	reporttest.Golden(t, "all.json", jsonText(t, Options{All: true}, full))
	reporttest.Golden(t, "clear.json", jsonText(t, Options{}, clean))
	var doc struct {
		Schema  string
		Format  int
		Reviews []struct{ Schema string }
	}
	if err := json.Unmarshal(jsonText(t, Options{}, full, clean), &doc); err != nil {
		t.Fatal(err)
	}
	if doc.Schema != "plumbrule reviews" || doc.Format != 3 || len(doc.Reviews) != 2 || doc.Reviews[1].Schema != "plumbrule review" {
		t.Errorf("the document of two reviews is %+v", doc)
	}
}

// Every text is found again where an outcome refers to it, and it stands once.
func TestJSONHoldsEveryOutcome(t *testing.T) {
	for _, r := range []*review.Review{reporttest.Trial(t, job.Edits{}), reporttest.Roof(t, job.Edits{}), reporttest.Drawn(t, "house-faulty", job.Edits{}, nil)} {
		doc := jsonDoc(t, Options{All: true}, r)
		type told struct {
			outcomeDoc
			subject int
			number  string
		}
		by := map[string]told{}
		for _, d := range doc.Outcomes {
			for i, s := range d.Subjects {
				x := told{d, s, ""}
				if len(d.Numbers) > 0 {
					x.number = d.Numbers[i%len(d.Numbers)]
				}
				if n := len(d.Numbers); n > 1 && n != len(d.Subjects) {
					t.Errorf("%s: %d numbers for %d subjects", d.Check, n, len(d.Subjects))
				}
				key := d.Check + " " + asJSON(t, doc.Subjects[s])
				if by[key].Check != "" {
					t.Errorf("%s stands twice", key)
				}
				by[key] = x
			}
		}
		if len(by) != len(r.Outcomes) {
			t.Fatalf("%d outcomes, the review has %d", len(by), len(r.Outcomes))
		}
		if len(doc.Outcomes) == len(by) && len(by) > 1000 {
			t.Error("nothing alike is told together")
		}
		for i := range r.Outcomes {
			o := &r.Outcomes[i]
			d := by[o.Check.ID+" "+asJSON(t, thingDoc{o.Subject.Label(), o.Subject.Kind.Name, o.Subject.Name, o.Subject.Key})]
			var steps, cites []string
			for _, stage := range d.Stages {
				steps = append(steps, doc.Stages[stage]...)
			}
			for _, c := range d.Cite {
				cites = append(cites, doc.Cites[c].Section)
			}
			var sections []string
			for _, c := range o.Cites {
				sections = append(sections, c.Section)
			}
			at, reason := placeDoc{}, ""
			if d.Place != nil {
				at = doc.Places[*d.Place]
			}
			if d.Reason != nil {
				reason = doc.Texts[*d.Reason]
			}
			also, wantAlso := []placeDoc{}, []placeDoc{}
			if d.Places != nil {
				for _, k := range doc.Lists[*d.Places] {
					also = append(also, doc.Places[k])
				}
			}
			for _, at := range o.Also() {
				wantAlso = append(wantAlso, *place(at))
			}
			p := o.At.Position()
			for what, pair := range map[string][2]any{
				"subject": {doc.Subjects[d.subject], thingDoc{o.Subject.Label(), o.Subject.Kind.Name, o.Subject.Name, o.Subject.Key}},
				"steps":   {steps, o.Steps()}, "sections": {cites, sections}, "place": {at, placeDoc{p.File, p.Line, p.Column}},
				"further places": {also, wantAlso}, "reason": {reason, firstLineOf(o.Why())}, "number": {d.number, r.Number(o)}, "outcome": {d.Outcome, string(o.Result)}, "measure": {d.Measure, measureOf(o.Measure)}, "held": {d.Held, o.Held()}, "utilisation": {d.Utilisation, o.Utilisation},
				"finding": {d.Finding + d.Remedy, o.Finding + o.Remedy},
			} {
				got, want := asJSON(t, pair[0]), asJSON(t, pair[1])
				if got != want {
					t.Errorf("%s for %s: %s %s, expected %s", d.Check, o.Subject.Label(), what, got, want)
				}
			}
		}
		for name, list := range map[string][]string{"texts": doc.Texts, "subjects": each(t, doc.Subjects), "places": each(t, doc.Places), "citations": each(t, doc.Cites), "lists of places": each(t, doc.Lists)} {
			seen := map[string]bool{}
			for _, text := range list {
				if seen[text] {
					t.Errorf("%s has %s twice", name, text)
				}
				seen[text] = true
			}
		}
	}
}

func measureOf(a *review.Amount) *measureDoc {
	if a == nil {
		return nil
	}
	m := measure(a)
	return &m
}

func firstLineOf(text string) string {
	line, _, _ := bytes.Cut([]byte(text), []byte("\n"))
	return string(line)
}

func each[T any](t *testing.T, list []T) (out []string) {
	for _, x := range list {
		out = append(out, asJSON(t, x))
	}
	return out
}

func asJSON(t *testing.T, x any) string {
	t.Helper()
	text, err := json.Marshal(x)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// The schema has to refuse what a reader could not rely on.
func TestSchemaRefuses(t *testing.T) {
	s := reviewSchemaOf(t)
	first := func(doc map[string]any, name string) map[string]any { return doc[name].([]any)[0].(map[string]any) }
	for name, spoil := range map[string]func(doc map[string]any){
		"another format":      func(d map[string]any) { d["format"] = 1 },
		"another document":    func(d map[string]any) { d["schema"] = "plumbrule reviews" },
		"a list of nothing":   func(d map[string]any) { d["outcomes"] = nil },
		"an unknown outcome":  func(d map[string]any) { first(d, "outcomes")["outcome"] = "passed" },
		"needs that are null": func(d map[string]any) { first(d, "outcomes")["needs"] = nil },
		"no totals":           func(d map[string]any) { delete(d, "totals") },
		"a comment of no number": func(d map[string]any) {
			delete(first(d, "comments"), "number")
		},
		"a number that is none": func(d map[string]any) { first(first(d, "comments"), "subjects")["number"] = "1." },
		"a comment that is met": func(d map[string]any) { first(d, "comments")["result"] = "met" },
		"an index below zero":   func(d map[string]any) { first(d, "outcomes")["subjects"] = []any{-1} },
	} {
		var doc map[string]any
		if err := json.Unmarshal(jsonText(t, Options{}, reporttest.Trial(t, job.Edits{})), &doc); err != nil {
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
	var doc map[string]any
	if err := json.Unmarshal(jsonText(t, Options{}, reporttest.Trial(t, job.Edits{})), &doc); err != nil {
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

// A writer that fails is told of, wherever it does.
func TestJSONTellsThatItCannotBeWritten(t *testing.T) {
	r := reporttest.Drawn(t, "house-faulty", job.Edits{}, nil)
	for _, room := range []int{0, 10_000} {
		if err := JSON(&tight{room}, slices.Values([]*review.Review{r}), Options{All: true}); err != errFull {
			t.Errorf("with room for %d bytes the error is %v", room, err)
		}
	}
}

func BenchmarkJSON(b *testing.B) {
	r := reporttest.Trial(b, job.Edits{})
	for b.Loop() {
		if err := JSON(&bytes.Buffer{}, slices.Values([]*review.Review{r}), Options{}); err != nil {
			b.Fatal(err)
		}
	}
}
