package margins

import (
	"math"
	"os"
	"reflect"
	"runtime"
	"slices"
	"strings"
	"testing"

	"plumbrule/internal/job"
	"plumbrule/internal/parallel"
	"plumbrule/internal/quantity"
	"plumbrule/internal/reporttest"
	"plumbrule/internal/review"
)

func session(t *testing.T, name string) *review.Session {
	t.Helper()
	tree, err := job.LoadTree("../../testdata/jobs/" + name + ".toml")
	if err != nil {
		t.Fatal(err)
	}
	s, err := review.NewSession(tree, reporttest.OwnRules(t), reporttest.OwnTables(t), review.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// once keeps what was moved of a demo job: that takes some hundred reviews.
var once = map[string][]*Value{}

func valuesOf(t *testing.T, name string, s *review.Session) []*Value {
	t.Helper()
	if once[name] == nil {
		once[name] = Values(s)
	}
	return once[name]
}

// news are the checks with outcomes that are outstanding with a value and not without,
// by a review from the start.
func news(t *testing.T, s *review.Session, v *Value, x float64) []string {
	t.Helper()
	tree, err := s.Tree().With(job.Edits{Set: map[string]any{v.Key: v.written(x)}})
	if err != nil {
		t.Fatal(v.Key, x, err)
	}
	j, err := tree.Job()
	if err != nil {
		t.Fatal(v.Key, x, err)
	}
	r, err := review.Run(j, reporttest.OwnRules(t), reporttest.OwnTables(t), review.Options{})
	if err != nil {
		t.Fatal(v.Key, x, err)
	}
	var out []string
	for _, c := range review.Compare(s.Review(), r).New {
		out = append(out, c.After.Check.ID)
	}
	return out
}

// At the one value nothing of the check is outstanding, at the other something is, and
// they are next to each other.
func TestWhatTurnsTurnsThere(t *testing.T) {
	if testing.Short() {
		t.Skip("values are moved some hundred times; the full run does that")
	}
	jobs := []string{"house", "barn"}
	nth := 1
	if os.Getenv("PLUMBRULE_LONG") == "" { // each is a review from the start
		jobs, nth = jobs[1:], 8
	}
	turns := 0
	for _, name := range jobs {
		s := session(t, name)
		for n, v := range valuesOf(t, name, s) {
			for _, m := range []*Reach{v.Down, v.Up} {
				if m == nil {
					continue
				}
				for i, x := range m.Turns {
					if (n+i)%nth > 0 {
						continue
					}
					turns++
					if len(x.Changes) == 0 || math.Abs(x.Outside-x.Inside) > m.Step*(1+1e-9) {
						t.Errorf("%s %s: between %v and %v, steps of %v", name, v.Key, x.Inside, x.Outside, m.Step)
					}
					if at := news(t, s, v, x.Outside); !slices.Contains(at, x.Check().ID) {
						t.Errorf("%s %s: %s does not turn at %v", name, v.Key, x.Check().ID, x.Outside)
					}
					if at := news(t, s, v, x.Inside); slices.Contains(at, x.Check().ID) {
						t.Errorf("%s %s: %s turns at %v", name, v.Key, x.Check().ID, x.Inside)
					}
				}
			}
		}
	}
	if turns < 4 {
		t.Errorf("only %d values at which something turns were tried", turns)
	}
}

// told is what values say, for comparison.
func told(values []*Value) (out []string) {
	for _, v := range values {
		for _, m := range []*Reach{v.Down, v.Up} {
			if m == nil {
				continue
			}
			for _, x := range m.Turns {
				out = append(out, strings.Join([]string{v.Key, x.Check().ID, v.Print(x.Outside, quantity.SI)}, " "))
			}
		}
	}
	return out
}

func TestAnyNumberOfCoresSaysTheSame(t *testing.T) {
	if os.Getenv("PLUMBRULE_LONG") == "" {
		t.Skip("the values are moved twice more; the long run does that")
	}
	s := session(t, "barn")
	all := told(Values(s))
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	if alone := told(Values(s)); !reflect.DeepEqual(all, alone) {
		t.Errorf("on one core\n%s\non all\n%s", strings.Join(alone, "\n"), strings.Join(all, "\n"))
	}
}

// A record low that makes strings stand at more than the inverter takes is found, with
// the voltage of the string on both sides of its limit.
func TestRecordLowOfAString(t *testing.T) {
	if testing.Short() {
		t.Skip("values are moved some hundred times; the full run does that")
	}
	for _, v := range valuesOf(t, "barn", session(t, "barn")) {
		if v.Key != "site.record_low" {
			continue
		}
		if v.Down == nil || v.Up != nil {
			t.Fatalf("a record low is moved down: %+v", v)
		}
		for _, x := range v.Down.Turns {
			o := x.Changes[0].After
			if o.Check.ID == "electrical/string-voltage-inverter" && o.Utilisation != nil && *o.Utilisation < 1 {
				t.Errorf("it turns at a share of %v", *o.Utilisation)
			}
		}
		if len(v.Down.Turns) == 0 {
			t.Error("nothing turns")
		}
		return
	}
	t.Error("the record low is not moved")
}

func TestNearest(t *testing.T) {
	list := Nearest(session(t, "barn").Review())
	if len(list) < 20 {
		t.Fatalf("only %d checks", len(list))
	}
	for i, o := range list {
		if o.Result != review.Met || i > 0 && *o.Utilisation > *list[i-1].Utilisation {
			t.Errorf("%s is out of order", o.Check.ID)
		}
	}
}

// Two values of one session are moved at the same time.
func TestSideBySide(t *testing.T) {
	s := session(t, "barn")
	site := s.Review().Job.Site
	values := []*Value{{Key: "site.wind_speed", Dim: quantity.Speed, Now: site.WindSpeed.Value.SI}, {Key: "site.ground_snow", Dim: quantity.Pressure, Now: site.GroundSnow.Value.SI}}
	parallel.Each(len(values), func(i int) { values[i].Up = reach(s, values[i], 0.02*values[i].Now, 2) })
	for _, v := range values {
		if len(v.Up.Turns) == 0 || v.Up.Turns[0].Outside <= v.Now {
			t.Errorf("%s: %+v", v.Key, v.Up)
		}
	}
}
