package draft

import (
	"fmt"
	"maps"
	"os"
	"strings"
	"testing"

	"plumbrule/internal/codebook"
	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/review"
	"plumbrule/internal/table"
	"plumbrule/rules"
)

var (
	book   *codebook.Codebook
	tables *table.Set
)

func TestMain(m *testing.M) {
	var err error
	if book, err = codebook.LoadProven(rules.FS); err == nil {
		tables, err = table.LoadProven(rules.FS, "tables")
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	os.Exit(m.Run())
}

func reviewed(j *job.Job) (*review.Review, error) {
	return review.Run(j, book, tables, review.Options{})
}

func says(s *job.Slot) ([]string, string) { return []string{s.Field.Doc}, "found: " + s.Find() }

// least are the answers without which there is no draft, for each shape of roof.
func least(roof, scheme string) Answers {
	a := Answers{
		"name": "Draft", "building": dwelling, "roof": roof, "length": "48 ft", "width": "28 ft", "eave-height": "9 ft", "front": "south",
		"scheme": scheme, "service-voltage": "240 V", "service-system": "split-phase",
	}
	plane := map[string]string{gable: "back", hip: "right", shed: "roof", flat: "roof", gambrel: "upper front"}[roof]
	a["array"] = plane + ": 1 x 4 portrait, 12 in above eave; " + plane + ": 1 x 3 landscape"
	switch roof {
	case gambrel:
		a["lower-slope"], a["upper-slope"], a["break"] = "60 deg", "6:12", "5 ft 3 in"
	case flat:
		a["slope"] = "1/4:12"
	default:
		a["slope"] = "6:12"
	}
	if scheme == ofMicros {
		a["branches"] = "3, 4"
	} else {
		a["strings"] = "5; 2"
	}
	return a
}

func made(t *testing.T, a Answers) *Document {
	t.Helper()
	d, err := New(a)
	if err != nil {
		t.Fatal(err)
	}
	if err := d.Leave("job.toml", reviewed, says); err != nil {
		t.Fatalf("%v\n%s", err, d.TOML())
	}
	return d
}

func readBack(t *testing.T, d *Document) *review.Review {
	t.Helper()
	j, err := job.Parse("job.toml", d.TOML(), os.ReadFile)
	if err != nil {
		t.Fatalf("%v\n%s", err, d.TOML())
	}
	r, err := reviewed(j)
	if err != nil {
		t.Fatal(err)
	}
	for _, defect := range r.Defects() {
		t.Error(defect)
	}
	return r
}

// every calls a test for each combination that a draft offers.
func every(t *testing.T, test func(t *testing.T, a Answers)) {
	editions, _ := fieldOf("adoption.nec")
	n := 0
	for _, roof := range find("roof").Words {
		for _, scheme := range find("scheme").Words {
			for _, nec := range editions.Choice {
				a := least(roof, scheme)
				a["nec"] = nec
				for question, turn := range map[string]int{"building": n, "interconnection": n / 2, "mounting-kind": n / 3} {
					words := find(question).Words
					a[question] = words[turn%len(words)]
				}
				if n++; testing.Short() && n%4 != 0 {
					continue
				}
				t.Run(roof+"/"+scheme+"/"+nec, func(t *testing.T) {
					t.Parallel()
					test(t, a)
				})
			}
		}
	}
}

func TestEveryCombinationReviews(t *testing.T) {
	every(t, func(t *testing.T, a Answers) {
		d := made(t, a)
		r := readBack(t, d)
		opens := map[string]bool{}
		for _, table := range d.Tables {
			for _, e := range table.Entries {
				if e.Open() {
					opens[table.Key+"."+e.Key] = true
				}
			}
		}
		for i := range r.Outcomes {
			o := &r.Outcomes[i]
			if strings.HasPrefix(o.Check.ID, "structural/") && strings.HasSuffix(o.Check.ID, "-agrees") && o.Result == review.NotMet {
				t.Errorf("%s: %s", o.Check.ID, o.Finding)
			}
		}
		for _, m := range r.Missing() {
			for _, s := range m.Slots {
				if len(s.Tables) > 0 && !opens[s.Tables[len(s.Tables)-1].Key+"."+s.Field.Key] {
					t.Errorf("%s is asked for and not open in the draft", s.Key)
				}
			}
		}
	})
}

// The roofs close: their shape, size and heights are those that were said.
func TestRoofsAreTheDimensionsSaid(t *testing.T) {
	for _, roof := range find("roof").Words {
		for front, width := range map[string]string{"south": "28 ft", "100 deg": "48 ft", "-30 deg": "60 ft", "northwest": "14.5 m"} {
			t.Run(roof+"/"+front+"/"+width, func(t *testing.T) {
				a := least(roof, ofStrings)
				maps.Copy(a, Answers{"front": front, "width": width})
				d, err := New(a)
				if err != nil {
					t.Fatal(err)
				}
				tree, err := job.Read("job.toml", d.TOML(), os.ReadFile)
				if err != nil {
					t.Fatal(err)
				}
				drawn := job.Edits{Set: map[string]any{"building.length": "48 ft", "building.width": width, "building.eave_height": "9 ft"}}
				if width == "60 ft" {
					drawn.Set["building.length"], drawn.Set["building.width"] = width, "48 ft"
				}
				if shape := map[string]string{gable: "gable", hip: "hip", shed: "monoslope", flat: "flat"}[roof]; shape != "" {
					drawn.Set["building.roof_shape"] = shape
				}
				with, err := tree.With(drawn)
				if err != nil {
					t.Fatal(err)
				}
				j, err := with.Job()
				if err != nil {
					t.Fatal(err)
				}
				r, err := reviewed(j)
				if err != nil {
					t.Fatal(err)
				}
				agree := 0
				for i := range r.Outcomes {
					o := &r.Outcomes[i]
					if !strings.HasPrefix(o.Check.ID, "structural/") || !strings.HasSuffix(o.Check.ID, "-agrees") {
						continue
					}
					switch o.Result {
					case review.Met:
						agree++
					case review.NotMet, review.Undetermined:
						t.Errorf("%s is %s: %s%s", o.Check.ID, o.Result, o.Finding, o.Why())
					}
				}
				if want := len(drawn.Set); agree != want {
					t.Errorf("%d of %d values agree with the drawing", agree, want)
				}
			})
		}
	}
}

// An array that begins beyond its plane is refused before its modules are known,
// on each kind of roof as far as its planes go.
func TestSetbacksEndWithThePlane(t *testing.T) {
	for _, c := range []struct{ roof, plane, fits, beyond string }{
		{gable, "front", "15 ft above eave", "16 ft above eave"},         // half of 28 ft, up a slope of 6:12
		{gable, "Back", "47 ft from left", "48 ft from right"},           // of 48 ft
		{hip, "right", "15 ft below ridge", "16 ft below ridge"},         // as the front has it
		{hip, "right", "27 ft from left", "28 ft from left"},             // of the depth of the roof
		{gambrel, "lower front", "10 ft above eave", "11 ft above eave"}, // 5 ft 3 in up 60 degrees
		{flat, "roof", "28 ft below ridge", "29 ft below ridge"},
	} {
		a := least(c.roof, ofMicros)
		a["branches"] = "4"
		for setback, want := range map[string]string{c.fits: "", c.beyond: "and the plane is no longer"} {
			a["array"] = c.plane + ": 2 x 2, " + setback
			if _, err := New(a); err != nil && want == "" || want != "" && (err == nil || !strings.Contains(err.Error(), want)) {
				t.Errorf("%s roof, %s: %v", c.roof, a["array"], err)
			}
		}
	}
}

// A length in a message is one that a tape shows, never longer than the value,
// and reads back.
func TestLengthsOfATape(t *testing.T) {
	for _, c := range []struct {
		metres     float64
		unit, want string
	}{
		{15.652475842498529 * 0.3048, "ft", "15 ft 7 13/16 in"},
		{28 * 0.3048, "ft", "28 ft"},
		{10.5 * 0.3048, "ft", "10 ft 6 in"},
		{0.0254 / 4, "ft", "1/4 in"},
		{1.5 * 0.0254, "ft", "1 1/2 in"},
		{0.0001, "ft", "0 in"},
		{4.7709, "m", "4.770 m"},
		{9, "m", "9.000 m"},
	} {
		got := taped(c.metres, c.unit)
		if got != c.want {
			t.Errorf("%g m is taped %q, not %q", c.metres, got, c.want)
		}
		if v, err := quantity.Parse(got, quantity.Length); err != nil || v.SI > c.metres+1e-9 {
			t.Errorf("%q is read as %v, %v", got, v, err)
		}
	}
}
