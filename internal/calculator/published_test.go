package calculator

import (
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/BurntSushi/toml"

	"plumbrule/internal/table"
)

// published is one check case from outside the project: a worked example or a
// table cell that somebody else published.
type published struct {
	Title     string   `toml:"title"`     // what is worked out
	Work      string   `toml:"work"`      // title of the publication
	Publisher string   `toml:"publisher"` // who published it
	Year      int      `toml:"year"`      // 0: the publication is not dated
	Section   string   `toml:"section"`   // where in it, and the code section it applies
	Note      string   `toml:"note"`
	Calc      string   `toml:"calc"`
	Args      []string `toml:"args"`
	// Expect is what the calculator must give: a number within Tolerance, a
	// text or a yes/no.
	Expect    map[string]any `toml:"expect"`
	Tolerance float64        `toml:"tolerance"` // relative; 0: 0.0005
	// Printed is what the publication prints where that is wrong, and
	// WrongBecause why; such a case proves that the calculator does not give it.
	Printed      map[string]any `toml:"printed"`
	WrongBecause string         `toml:"wrong_because"`
}

// usualTolerance allows for a result that was printed to four figures.
const usualTolerance = 0.0005

func loadPublished(t testing.TB) map[string][]published {
	t.Helper()
	paths, err := filepath.Glob("../../testdata/published/*.toml")
	if err != nil || len(paths) == 0 {
		t.Fatalf("no published cases found: %v", err)
	}
	all := map[string][]published{}
	for _, p := range paths {
		var file struct {
			Case []published `toml:"case"`
		}
		md, err := toml.DecodeFile(p, &file)
		if err != nil {
			t.Fatalf("%s: %v", p, err)
		}
		for _, k := range md.Undecoded() {
			t.Errorf("%s: unknown key %q", p, k.String())
		}
		all[filepath.Base(p)] = file.Case
	}
	return all
}

func loadTables(t testing.TB) *table.Set {
	t.Helper()
	tables, err := table.Load(os.DirFS("../../rules"), "tables")
	if err != nil {
		t.Fatal(err)
	}
	return tables
}

// TestPublishedCases wants every case of testdata/published to name its source;
// TestOutside runs them.
func TestPublishedCases(t *testing.T) {
	for file, cases := range loadPublished(t) {
		for i, p := range cases {
			if p.Title == "" || p.Work == "" || p.Publisher == "" || p.Section == "" || len(p.Expect) == 0 {
				t.Errorf("%s/%d: a case needs title, work, publisher, section and expect", file, i+1)
			}
			if (len(p.Printed) > 0) != (p.WrongBecause != "") {
				t.Errorf("%s/%d %s: printed and wrong_because go together", file, i+1, p.Title)
			}
		}
	}
}

// compare holds a result against the case.
func (p published) compare(r *Result, fail func(format string, a ...any)) {
	for key, want := range p.Expect {
		if got, ok := resultOf(r, key); !ok {
			fail("no result %q", key)
		} else if !agrees(got, want, p.Tolerance) {
			fail("%s = %v, %s has %v\n%s", key, got, p.Publisher, want, strings.Join(r.Work, "\n"))
		}
	}
	for key, wrong := range p.Printed {
		if got, ok := resultOf(r, key); !ok || agrees(got, wrong, p.Tolerance) {
			fail("%s = %v is what the publication wrongly prints (%s)", key, got, p.WrongBecause)
		}
	}
}

func resultOf(r *Result, key string) (any, bool) {
	for _, it := range r.Items {
		if it.Key == key {
			return it.Value, true
		}
	}
	return nil, false
}

func agrees(got, want any, tolerance float64) bool {
	if tolerance == 0 {
		tolerance = usualTolerance
	}
	if n, ok := want.(int64); ok {
		want = float64(n)
	}
	w, isNumber := want.(float64)
	g, ok := got.(float64)
	if !isNumber || !ok {
		return got == want
	}
	return math.Abs(g-w) <= tolerance*math.Abs(w)
}
